"""The knock-on graph, by both engines: every effect in it, arcs from cause to effect, reasons where they end."""

import random
import signal
from collections.abc import Sequence
from pathlib import Path

import pytest
from small_plans import HOSTILE
from svg_reading import box_of, faults, labels, shapes

from planner.cli.picturing import dot_here
from planner.draw import Dot, DotError, draw_tree, draw_tree_words
from planner.model.effects import Cause, CauseKind, Effect, EffectKind, Knockons, Proof
from planner.model.vehicle import Vehicle

DOT = dot_here()
ENGINES = [
    pytest.param(None, id="own"),
    pytest.param(DOT, id="dot", marks=pytest.mark.skipif(DOT is None, reason="no dot program")),
]


def vehicle(name: str = "Shed special") -> Vehicle:
    found = object.__new__(Vehicle)
    object.__setattr__(found, "name", name)
    object.__setattr__(found, "units", "mm")
    return found


def effect(
    kind: EffectKind, subject: str, *causes: tuple[CauseKind, str], text: str = "", mm: float | None = None
) -> Effect:
    told = tuple(Cause(kind=k, source=s, text=f"why {k.value} {n}", mm=mm) for n, (k, s) in enumerate(causes))
    return Effect(
        id=f"{kind}:{subject}", kind=kind, subject=subject, text=text or f"{subject} {kind.value}", causes=told
    )


def knockons(effects: Sequence[Effect]) -> Knockons:
    return Knockons(
        effects=tuple(effects), homes={}, after={}, links_after={}, access={}, cut_rooms={}, hot_near={}, bare={},
        limits={}, proof=Proof.PROVED,
    )  # fmt: skip


ASKED = (CauseKind.ASKED, "")
SMALL = knockons(
    [
        effect(EffectKind.NEW, "cylinder", ASKED),
        effect(EffectKind.MOVES, "tank", (CauseKind.CLASH, "new:cylinder"), mm=75.5),
        effect(
            EffectKind.REMADE,
            "hose",
            (CauseKind.LINKED_TO, "moves:tank"),
            (CauseKind.KEEP_CLEAR, "new:cylinder"),
            mm=12.0,
        ),
        effect(EffectKind.RETESTED, "leaks", (CauseKind.RULE, "made anew:hose")),
        effect(EffectKind.RETESTED, "level", (CauseKind.RULE, "made anew:hose"), (CauseKind.RULE, "moves:tank")),
    ]
)


def wide_cascade(count: int, text: str = "") -> Knockons:
    """A root with many that each have a chain and several checks after them, and checks that hang on all."""
    effects = []
    for n in range(count // 5):
        effects.append(effect(EffectKind.NEW, f"n{n}", ASKED, text=text))
        effects.append(effect(EffectKind.MOVES, f"m{n}", (CauseKind.CLASH, f"new:n{n}"), text=text, mm=3.0))
        effects.append(effect(EffectKind.REMADE, f"r{n}", (CauseKind.LINKED_TO, f"moves:m{n}"), text=text))
        causes = [(CauseKind.RULE, f"made anew:r{k}") for k in range(n + 1)]
        effects.append(effect(EffectKind.RETESTED, f"q{n}", *causes[::-1], text=text))
        effects.append(effect(EffectKind.RETESTED, f"p{n}", (CauseKind.RULE, f"moves:m{n}"), text=text))
    return knockons(effects)


@pytest.mark.parametrize("engine", ENGINES)
def test_arcs_lead_from_cause_to_effect(engine: Dot | None) -> None:
    svg = draw_tree(vehicle(), SMALL, engine)
    assert sorted((d["from"], d["to"]) for d, _ in shapes(svg, "from")) == [
        ("made anew:hose", "tested again:leaks"),
        ("moves:tank", "made anew:hose"),
        ("new:cylinder", "made anew:hose"),
        ("new:cylinder", "moves:tank"),
        ("root", "new:cylinder"),
    ]


@pytest.mark.parametrize("engine", ENGINES)
def test_each_effect_is_below_its_cause_and_its_arc_ends_on_its_reason(engine: Dot | None) -> None:
    svg = draw_tree(vehicle(), SMALL, engine)
    at = {d["effect"]: box_of(p) for d, p in shapes(svg, "effect")}
    reasons = {w.text: w for w in labels(svg)}
    assert {"asked for", "1: clash 75.5 mm", "2: 12 mm too short", "1: too close 12 mm", "3: check"} <= set(reasons)
    for data, d in shapes(svg, "from"):
        x, y = (float(v) for v in d.split()[-2:])
        if data["from"] != "root":
            assert at[data["from"]][3] < at[data["to"]][1]
            begin = tuple(float(v) for v in d[1:].split("C")[0].split())
            assert begin[1] == pytest.approx(at[data["from"]][3], abs=0.03)
        if (data["from"], data["to"]) == ("new:cylinder", "made anew:hose"):
            tab = reasons["1: too close 12 mm"]
            assert tab.left < x < tab.right
            assert 0 < tab.top - y < 2


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("count", [0, 1, 20, 120, 400])
def test_all_are_there_and_on_the_paper(engine: Dot | None, count: int) -> None:
    chain = wide_cascade(count)
    svg = draw_tree(vehicle(HOSTILE), chain, engine, job=HOSTILE)
    assert faults(svg) == []
    assert sorted(d["effect"] for d, _ in shapes(svg, "effect")) == sorted(e.id for e in chain.effects)


@pytest.mark.parametrize("engine", ENGINES)
def test_bad_names_are_escaped_and_shortened(engine: Dot | None) -> None:
    svg = draw_tree(vehicle(HOSTILE), wide_cascade(40, HOSTILE), engine, name='"><script>')
    assert faults(svg) == []
    assert not set("\x1b\x00\u202e\u202c") & set(svg)


@pytest.mark.parametrize("engine", ENGINES)
def test_boxes_do_not_overlap(engine: Dot | None) -> None:
    boxes = [box_of(p) for _, p in shapes(draw_tree(vehicle(), wide_cascade(120), engine), "effect")]
    for n, one in enumerate(boxes):
        for other in boxes[n + 1 :]:
            across = min(one[2], other[2]) - max(one[0], other[0])
            assert across < 0.05 or min(one[3], other[3]) - max(one[1], other[1]) < 0.05


@pytest.mark.parametrize("engine", ENGINES)
def test_causes_in_a_circle_are_told_and_have_no_arc(engine: Dot | None) -> None:
    round_about = knockons(
        [
            effect(EffectKind.MOVES, "a", ASKED, (CauseKind.CLASH, "moves:b"), (CauseKind.CLASH, "moves:a")),
            effect(EffectKind.MOVES, "b", (CauseKind.CLASH, "moves:a")),
        ]
    )
    svg = draw_tree(vehicle(), round_about, engine)
    assert [(d["from"], d["to"]) for d, _ in shapes(svg, "from")] == [("root", "moves:a"), ("moves:a", "moves:b")]
    assert "2: clash" in [w.text for w in labels(svg)]
    told = draw_tree_words(vehicle(), round_about)
    assert "    because why clash 1 (from 2)" in told


def test_quiet_effects_share_boxes_of_eight_under_their_cause() -> None:
    checks = [effect(EffectKind.RETESTED, f"q{n}", (CauseKind.RULE, "new:a")) for n in range(20)]
    svg = draw_tree(vehicle(), knockons([effect(EffectKind.NEW, "a", ASKED), *checks]))
    assert faults(svg) == []
    assert len(shapes(svg, "effect")) == 21
    assert [(d["from"], d["to"]) for d, _ in shapes(svg, "from")] == [
        ("root", "new:a"),
        ("new:a", "tested again:q0"),
        ("new:a", "tested again:q8"),
        ("new:a", "tested again:q16"),
    ]


def test_many_boxes_have_only_the_arcs_of_nearest_causes() -> None:
    chain = [effect(EffectKind.MOVES, "m0", ASKED)]
    for n in range(1, 40):
        also = [(CauseKind.KEEP_CLEAR, f"moves:m{n - 2}")] if n > 1 else []
        chain.append(effect(EffectKind.MOVES, f"m{n}", (CauseKind.CLASH, f"moves:m{n - 1}"), *also))
    few, many = (draw_tree(vehicle(), knockons(chain[:n])) for n in (20, 40))
    assert len(shapes(few, "from")) == 20 + 18
    assert len(shapes(many, "from")) == 40
    assert "38: too close" in [w.text for w in labels(many)]


def test_the_twin_tells_every_effect_and_every_cause() -> None:
    chain = wide_cascade(100)
    told = draw_tree_words(vehicle(), chain, job="pedals")
    assert told[0] == "Shed special: pedals"
    assert [line.split(" ", 2)[2] for line in told if line[0].isdigit()] == [e.text for e in chain.effects]
    assert sum(line.startswith("    because") for line in told) == sum(len(e.causes) for e in chain.effects)
    assert "1 N cylinder new" in draw_tree_words(vehicle(), SMALL)
    assert "    because why too close 1 (from 1)" in draw_tree_words(vehicle(), SMALL)


def test_a_cause_that_is_no_effect_is_told_without_an_arc() -> None:
    lost = knockons([effect(EffectKind.MOVES, "a", (CauseKind.CLASH, "gone:with the wind"))])
    svg = draw_tree(vehicle(), lost)
    assert faults(svg) == []
    assert [d["effect"] for d, _ in shapes(svg, "effect")] == ["moves:a"]


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("seed", range(12))
def test_whatever_hangs_on_whatever(seed: int, engine: Dot | None) -> None:
    """Circles, causes told twice, effects of nobody and causes that are no effects."""
    chance = random.Random(seed)
    count = chance.randrange(1, 60)
    kinds = [chance.choice(list(EffectKind)) for _ in range(count)]
    known = ["", "nobody", *(f"{k}:s{n}" for n, k in enumerate(kinds))]
    chain = knockons(
        [
            effect(
                k,
                f"s{n}",
                *((chance.choice(list(CauseKind)), chance.choice(known)) for _ in range(chance.randrange(5))),
            )
            for n, k in enumerate(kinds)
        ]
    )
    svg = draw_tree(vehicle(), chain, engine)
    assert faults(svg) == []
    assert sorted(d["effect"] for d, _ in shapes(svg, "effect")) == sorted(e.id for e in chain.effects)
    assert sum(line.startswith("    because") for line in draw_tree_words(vehicle(), chain)) == sum(
        len(e.causes) for e in chain.effects
    )


def test_how_many_causes_have_no_arc_is_told() -> None:
    sources = [effect(EffectKind.NEW, f"n{n}", ASKED) for n in range(5)]
    last = effect(EffectKind.OPENED, "fuel", *((CauseKind.PART_OF, e.id) for e in sources))
    after = effect(EffectKind.RETESTED, "leaks", (CauseKind.RULE, last.id))
    svg = draw_tree(vehicle(), knockons([*sources, last, after]))
    drawn = [d for d, _ in shapes(svg, "from") if d["to"] == last.id]
    assert len(drawn) == 3
    assert "+2" in [w.text for w in labels(svg)]


def test_nothing_that_follows_is_said() -> None:
    assert "Nothing else follows from it." in [w.text for w in labels(draw_tree(vehicle(), knockons([])))]
    assert draw_tree_words(vehicle(), knockons([]))[-1] == "nothing else follows from it"


@pytest.mark.parametrize("engine", ENGINES)
def test_the_same_twice(engine: Dot | None) -> None:
    chain = wide_cascade(60)
    assert draw_tree(vehicle(), chain, engine) == draw_tree(vehicle(), chain, engine)


def test_own_layout_keeps_to_the_room_it_is_given() -> None:
    narrow = draw_tree(vehicle(), wide_cascade(60), wide_mm=150.0)
    lefts = {round(box_of(p)[1]): 0 for _, p in shapes(narrow, "effect")}
    assert len(lefts) >= 60 / 2 / 4
    rows: dict[float, set[float]] = {}
    for _, p in shapes(narrow, "effect"):
        left, top, *_ = box_of(p)
        rows.setdefault(top, set()).add(left)
    assert max(len(r) for r in rows.values()) <= 2


@pytest.mark.skipif(DOT is None, reason="no graphviz package")
def test_a_program_that_is_not_there_or_is_no_dot_is_told(tmp_path: Path) -> None:
    with pytest.raises(DotError):
        draw_tree(vehicle(), SMALL, Dot(program=tmp_path / "nothing"))
    wrong = tmp_path / "wrong"
    wrong.write_text("#!/bin/sh\necho node b0 one\n", encoding="utf-8")
    wrong.chmod(0o755)
    with pytest.raises(DotError):
        draw_tree(vehicle(), SMALL, Dot(program=wrong))


@pytest.mark.skipif(DOT is None, reason="no graphviz package")
def test_a_program_that_reads_nothing_does_not_end_this_one(tmp_path: Path) -> None:
    """The command line leaves the signal of a closed pipe to the system, as `| head` wants it."""
    wrong = tmp_path / "wrong"
    wrong.write_text("#!/bin/sh\nexit 1\n", encoding="utf-8")
    wrong.chmod(0o755)
    before = signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    try:
        for _ in range(20):
            with pytest.raises(DotError):
                draw_tree(vehicle(), SMALL, Dot(program=wrong))
    finally:
        signal.signal(signal.SIGPIPE, before)
