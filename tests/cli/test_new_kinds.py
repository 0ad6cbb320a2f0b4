"""Kinds by plain words: near ones, lists, what to take for a thing the catalog lacks, and as what a word is taken."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.new_trial import ANSWERS, piped, typed
from cli.shed import catalog, read_project, shed_files, write_project

from planner.shelf.kind_words import (
    LACKED,
    LACKED_LINK,
    STAND_INS,
    kinds_by_any_word,
    kinds_by_words,
    kinds_listed,
    kinds_with_words,
    stand_ins,
)

LINES = [line for line in ANSWERS.splitlines() if not line.startswith("#")]
HEAD = LINES[: LINES.index("bulkhead")]


def told(*answers: str, folder: Path) -> str:
    """What is told of answers at the first part, on one line."""
    return " ".join(typed("\n".join([*HEAD, *answers]) + "\n", "new", folder / "car").out.split())


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("v twin engine", "engine"),
        ("big old radiator", "radiator"),
        ("engine bearers", "engine"),
        ("leather seats", "seat"),
        ("two batteries of 6 volt, battery", "battery"),
    ],
)
def test_one_word_is_enough_to_come_near(words: str, first: str) -> None:
    assert kinds_by_words(words, catalog().kinds) == ()
    assert kinds_by_any_word(words, catalog().kinds)[0] == first


def test_words_that_share_nothing_come_near_nothing() -> None:
    for words in ("", "xyzzy", "a", "of", "\x00", "z" * 500):
        assert kinds_by_any_word(words, catalog().kinds) == ()


def test_what_is_only_near_is_asked_about_even_when_it_is_one(tmp_path: Path) -> None:
    out = told("leather seats", "1", folder=tmp_path)
    assert "no kind is called `leather seats`; nearest: 1 seat" in out
    assert "none of these" in out
    assert "which [1]: taken as: seat" in out


def test_none_of_these_asks_again(tmp_path: Path) -> None:
    found = kinds_by_any_word("leather seats", catalog().kinds)
    out = told("leather seats", str(len(found) + 1), "horn", folder=tmp_path)
    assert out.endswith("called [horn]: # answers so far: keep these lines in a file, `--from FILE` goes on after the "
                        f"last of them {' '.join(' '.join(HEAD).split())} horn")  # fmt: skip


def test_words_for_an_engine(tmp_path: Path) -> None:
    for words in ("V-twin", "v twin", "V twin"):
        assert kinds_by_words(words, catalog().kinds) == ("engine",)
    assert "taken as: engine; stays" in told("V-twin", folder=tmp_path)


@pytest.mark.parametrize(("words", "kind"), [("firewall", "firewall"), ("petrol tank", "fuel tank"), ("seat", "seat")])
def test_as_what_a_word_is_taken_is_told(words: str, kind: str, tmp_path: Path) -> None:
    assert f"[that is all]: taken as: {kind}; " in told(words, folder=tmp_path)


def test_an_option_says_it_only_of_other_words(tmp_path: Path) -> None:
    words = ("--size", "60 x 60 x 60", "--at", "0 0 900", "--on", "bulkhead")
    shed = write_project(tmp_path / "shed", shed_files())
    assert "taken as" not in piped("", "new", "part", shed, "--kind", "Horn", *words).out
    assert "taken as: dashboard" in piped("", "new", "part", shed, "--kind", "dash", *words).out


def test_the_list_holds_every_kind_by_its_group() -> None:
    for kinds in (catalog().kinds, catalog().link_kinds):
        by_group = dict(line.split(": ", 1) for line in kinds_listed(kinds))
        assert set(by_group) == {k.group for k in kinds.values()}
        for kind in kinds.values():
            assert kind.name in by_group[kind.group]
        assert sum(len(k.name) + 2 for k in kinds.values()) == sum(len(names) + 2 for names in by_group.values())


def test_the_list_is_shown_and_narrowed(tmp_path: Path) -> None:
    out = told("?", folder=tmp_path)
    assert all(kind.name in out for kind in catalog().kinds.values())
    out = told("? tanks", folder=tmp_path)
    assert "cooling: header tank (expansion tank, swirl pot, coolant tank, water tank)" in " ".join(out.split())
    assert "fuel: fuel tank (petrol tank, gas tank)" in out
    assert "radiator: " not in out.partition("? tanks")[2]
    assert "brakes: brake pedal, " in told("?brakes", folder=tmp_path)
    out = told("? xyzzy", folder=tmp_path)
    assert "nothing like it; groups: structure, body" in out


def test_a_link_has_its_own_list(tmp_path: Path) -> None:
    shed = write_project(tmp_path / "shed", shed_files())
    out = typed("? fuel\n", "new", "link", shed).out
    wanted = "fuel: fuel pipe (petrol pipe, fuel line, gas line, gas pipe), fuel hose (gas hose), fuel tank vent hose ("
    assert wanted in " ".join(out.split())


def test_a_thing_that_the_catalog_lacks_has_its_nearest(tmp_path: Path) -> None:
    assert stand_ins("belt driven supercharger", catalog().kinds) == ("inlet-manifold",)
    assert kinds_by_words("chain", catalog().link_kinds) == ("drive-chain",)
    assert stand_ins("turbocharged melody", catalog().kinds) == ()
    out = told("supercharger", "1", folder=tmp_path)
    assert "no kind is called `supercharger`; nearest: 1 inlet manifold 2 none of these" in out


def test_a_thing_that_is_near_nothing_gets_advice(tmp_path: Path) -> None:
    out = told("xyzzy", folder=tmp_path)
    assert f"no kind is called `xyzzy`; `?` lists all, `? word` some; {LACKED}" in out
    shed = write_project(tmp_path / "shed", shed_files())
    out = " ".join(typed("xyzzy\n", "new", "link", shed).out.split())
    assert LACKED_LINK in out


def test_all_advice_names_kinds_of_the_catalog() -> None:
    names = {k.name for k in (*catalog().kinds.values(), *catalog().link_kinds.values())}
    advised = {w for text in (LACKED, LACKED_LINK) for w in text.split("`")[1::2]}
    assert advised | {n for near in STAND_INS.values() for n in near} <= names
    # Who takes a stand-in for what carries something gets the checks of what it carries.
    by_name = {k.name: k for k in catalog().kinds.values()}
    carries = {"fuel filter": "fuel", "brake pipe union": "hydraulic-brake", "oil cooler": "engine-oil",
               "dynamo control box": "low-voltage-wiring"}  # fmt: skip
    assert {name: by_name[name].opens for name in carries} == {name: (kind,) for name, kind in carries.items()}
    assert by_name["oil cooler"].hot


def test_no_stand_in_is_for_what_the_catalog_has() -> None:
    for words in STAND_INS:
        assert kinds_with_words(words, catalog().kinds) == () == kinds_with_words(words, catalog().link_kinds), words


@pytest.mark.parametrize("words", ["tool box", "toolbox", "tool chest", "luggage box"])
def test_a_box_that_only_takes_room_is_a_kind_of_its_own_that_stays_on_the_vehicle(words: str) -> None:
    """A glove box may be left out for room; what an owner bolted on for his tools may not."""
    assert kinds_with_words(words, catalog().kinds) == ("stowage-box",)
    assert catalog().kinds["stowage-box"].freedom.value == "moves"


@pytest.mark.parametrize("words", ["ice box", "number plate", "heavy case"])
def test_a_word_that_only_tells_a_shape_comes_near_nothing(words: str) -> None:
    """No ice box is a steering box: what to take instead is said."""
    assert kinds_by_any_word(words, catalog().kinds) == ()
    assert "a box that only takes room is a `stowage box`" in LACKED


def test_who_takes_none_of_the_near_ones_is_told_what_to_take(tmp_path: Path) -> None:
    found = kinds_by_any_word("leather seats", catalog().kinds)
    assert LACKED in told("leather seats", str(len(found) + 1), "horn", folder=tmp_path)


def test_a_link_asked_for_as_a_part_is_told_where_it_goes(tmp_path: Path) -> None:
    assert "a `coolant hose` is a link: `knockon new link` adds it between two parts" in told(
        "coolant hose", folder=tmp_path
    )
    assert "a `drive chain` is a link" in told("drive chain", folder=tmp_path)
    shed = write_project(tmp_path / "shed", shed_files())
    out = " ".join(typed("fuse box\n", "new", "link", shed).out.split())
    assert "a `fuse box` is a part: `knockon new part` adds it" in out


def test_an_option_that_is_only_near_is_refused(tmp_path: Path) -> None:
    shed = write_project(tmp_path / "shed", shed_files())
    before = read_project(shed)
    done = piped("", "new", "part", shed, "--kind", "v twin engine")
    assert (done.code, "no kind is called `v twin engine`" in done.err) == (2, True)
    assert "nearest: `engine`" in done.err
    assert read_project(shed) == before


@pytest.mark.parametrize(
    ("word", "names"),
    [
        ("fender", "wing"), ("hood", "bonnet"), ("gas pedal", "throttle pedal"), ("gas line", "fuel pipe"),
        ("gas tank", "fuel tank"), ("gas cap", "fuel filler"), ("trunk", "floor, body panel"), ("dash", "dashboard"),
        ("floor pan", "floor"), ("pan", "floor, sump"), ("e-brake", "handbrake lever"),
        ("hand brake", "handbrake lever"),
        ("emergency brake", "handbrake lever"), ("e-brake cable", "handbrake cable"), ("tranny", "gearbox"),
        ("gear box", "gearbox"), ("diff", "final drive"), ("A-arm", "wishbone"), ("control arm", "wishbone"),
        ("shock", "damper"), ("shocks", "damper"), ("strut", "damper"), ("muffler", "silencer"),
        ("header", "exhaust manifold, header tank"), ("battery box", "battery tray"), ("wiper motor", "wiper motor"),
        ("fire wall", "firewall"), ("roll hoop", "roll bar"), ("roll bar", "roll bar"), ("seat belt", "seat belt"),
        ("axle", "front axle, rear axle"), ("sway bar", "anti roll bar"), ("rotor", "brake disc"),
        ("tail light", "side, tail or direction lamp"), ("brake light switch", "stop lamp switch"),
        ("oil pan", "sump"), ("subframe", "crossmember"), ("brake line", "brake pipe"), ("push rod", "pedal push-rod"),
        ("driveshaft", "propeller shaft, drive shaft"), ("fan shroud", "fan cowl"), ("pitman arm", "steering arm"),
    ],
)  # fmt: skip
def test_everyday_words_mean_what_a_builder_means(word: str, names: str) -> None:
    """Left as British and American home builders say it, right as the catalog says it (value from memory)."""
    for kinds in (catalog().kinds, catalog().link_kinds):
        found = [kinds[i].name for i in kinds_with_words(word, kinds)]
        wanted = [n for n in names.split(", ") if n in {k.name for k in kinds.values()}]
        wanted = [names] if names in {k.name for k in kinds.values()} else wanted
        assert found[: len(wanted)] == wanted
        assert len(found) == len(wanted) or not wanted


def test_a_link_is_no_part_that_is_spelt_near_it(tmp_path: Path) -> None:
    shed = write_project(tmp_path / "shed", shed_files())
    out = " ".join(typed("brake hose\n", "new", "part", shed).out.split())
    assert "a `brake hose` is a link: `knockon new link` adds it between two parts" in out


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("gear cable", "gear-cable"),
        ("shifter cable", "gear-cable"),
        ("speedometer cable", "speedometer-cable"),
        ("hood cable", "bonnet-cable"),
        ("bonnet release", "bonnet-cable"),
        ("choke cable", "choke-cable"),
        ("hand brake cable", "handbrake-cable"),
        ("heater cable", "heater-cable"),
        ("brake rod", "brake-rod"),
        ("foot brake cable", "brake-cable"),
        ("vacuum line", "vacuum-hose"),
        ("breather", "breather-hose"),
        ("tank breather", "fuel-vent"),
        ("washer hose", "washer-hose"),
        ("demister hose", "air-duct"),
        ("air intake hose", "intake-hose"),
        ("oil cooler hose", "oil-pipe"),
    ],
)
def test_every_link_of_a_home_build_is_found_by_its_owners_words(said: str, meant: str) -> None:
    assert kinds_by_words(said, catalog().link_kinds) == (meant,)


def test_a_gear_cable_is_offered_beside_the_rod(tmp_path: Path) -> None:
    shed = write_project(tmp_path / "shed", shed_files())
    out = " ".join(typed("? gear\n", "new", "link", shed).out.split())
    assert "gear change rod" in out
    assert "gear change cable" in out
