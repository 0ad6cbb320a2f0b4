"""`knockon new part`, `link`, `space` and `job`: added to a project, every other line left alone."""

from __future__ import annotations

import difflib
import shutil
from pathlib import Path
from unittest.mock import patch

import pytest
from cli.new_trial import piped, typed
from cli.shed import catalog, read_project, shed_files, write_project

from planner.finding import has_errors
from planner.model.shapes import Box, Cylinder
from planner.shelf import load_job, load_vehicle, projects_folder
from planner.space import extent_mm, port_mm

PART = ("--kind", "battery", "--size", "170 x 240 x 190", "--at", "left bottom 300 -400 0", "--on", "bulkhead")


@pytest.fixture
def shed(tmp_path: Path) -> Path:
    return write_project(tmp_path / "shed", shed_files())


def added_lines(before: str, after: str) -> list[str]:
    """Lines that are new, once no line is found gone."""
    changes = list(difflib.ndiff(before.splitlines(), after.splitlines()))
    assert [c for c in changes if c.startswith("- ")] == []
    return [c[2:] for c in changes if c.startswith("+ ")]


def text_of(project: Path) -> str:
    return (project / "vehicle.yaml").read_text(encoding="utf-8")


def test_a_part_by_options_asks_nothing(shed: Path) -> None:
    before = text_of(shed)
    done = piped("", "new", "part", shed, *PART)
    assert (done.code, done.err) == (0, "")
    assert "battery is added, and the circuit wiring for it" in done.out
    new = added_lines(before, text_of(shed))
    assert new[0] == "  wiring: {kind: low-voltage-wiring}"
    assert new[1:] == [
        "  battery:",
        "    kind: battery",
        "    at: [300, -400, 0]",
        "    solids: [{box: [170, 240, 190], at: [0, 120, 95]}]",
        "    mounted_on: bulkhead",
        "    systems: [wiring]",
    ]
    vehicle, findings = load_vehicle(shed, catalog())
    assert vehicle is not None
    assert not has_errors(findings)
    # y -400 is its left face, z 0 its underside, x 300 its middle.
    part = vehicle.components["battery"]
    assert extent_mm(part.solids, part.pose) == ((215, -400, 0), (385, -160, 190))


RELAY = ("--kind", "relay", "--size", "30 x 30 x 40", "--at", "bottom 0 0 900", "--on", "bulkhead")


def see_only_added(project: Path) -> None:
    """Every byte of a file with remarks, a mark at its start and two characters at line ends stays where it is."""
    text = (project / "vehicle.yaml").read_bytes()
    before = b"\xef\xbb\xbf" + text.replace(b"\n", b"\r\n")
    (project / "vehicle.yaml").write_bytes(before)
    done = piped("", "new", "part", project, *RELAY)
    assert (done.code, done.err) == (0, "")
    after = (project / "vehicle.yaml").read_bytes()
    assert b"\n" not in after.replace(b"\r\n", b"")
    start = after.index(b"  relay:")
    end = after.index(b"\r\n", after.index(b"systems: [wiring]", start)) + 2
    assert after[:start] + after[end:] == before


def test_remarks_and_line_ends_of_the_file_stay(tmp_path: Path) -> None:
    text = shed_files()["vehicle.yaml"].decode()
    text = text.replace("systems:\n", "systems:      # circuits\n  wiring: {kind: low-voltage-wiring}\n", 1)
    remarked = text.replace("links:\n", "  # the last of the parts\n\nlinks:   # hoses\n", 1) + "# the end"
    see_only_added(write_project(tmp_path / "shed", shed_files("# mine\n" + remarked)))


@pytest.mark.slow
def test_remarks_and_line_ends_of_a_whole_car_stay(tmp_path: Path) -> None:
    see_only_added(shutil.copytree(projects_folder() / "trials-car", tmp_path / "car"))


def two_circuits(folder: Path) -> Path:
    """The shed special with brakes front and rear."""
    text = shed_files()["vehicle.yaml"].decode()
    return write_project(
        folder, shed_files(text.replace("  rear-brakes:", "  front-brakes: {kind: hydraulic-brake}\n  rear-brakes:"))
    )


def test_a_round_part_lies_as_it_is_told(shed: Path) -> None:
    done = piped("", "new", "part", shed, "--kind", "brake cylinder", "--size", "round 1 1/2 in x 138 along x",
                 "--at", "rear 758 300 300", "--on", "bulkhead")  # fmt: skip
    assert (done.code, done.err) == (0, "")
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    part = vehicle.components["brake-master-cylinder"]
    assert isinstance(part.solids[0], Cylinder)
    assert (part.solids[0].across_mm, part.solids[0].along) == (38.1, "x")
    assert extent_mm(part.solids, part.pose)[1][0] == pytest.approx(758)
    assert part.systems == ("rear-brakes",)


def test_a_second_of_its_kind_gets_a_name_of_its_own(shed: Path) -> None:
    piped("", "new", "part", shed, *PART)
    piped("", "new", "part", shed, "--kind", "battery", "--size", "9 x 9 x 9", "--at", "0 0 0", "--on", "nothing")
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    assert {"battery", "battery-2"} <= set(vehicle.components)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--name", "header tank", *PART), "`header-tank` is there already"),
        (("--name", "../x", *PART), "cannot be a name"),
        (("--name", "a/b", *PART), "cannot be a name"),
        (("--name", "a\x07b", *PART), "cannot be a name"),
        (("--name", "nul", *PART), "a device's name"),
        (("--name", "x" * 81, *PART), "80 are allowed"),
        (("--name", "cooling", *PART), "`cooling` is there already"),
        (("--name", "on stands", *PART), "`on-stands` is there already"),
        (("--kind", "tank", "--size", "1 x 2 x 3"), "may be several kinds"),
        (("--kind", "sofa", "--size", "1 x 2 x 3"), "no kind is called `sofa`"),
        ((*PART[:2], "--size", "5 x 5", *PART[4:]), "--size: three lengths are wanted"),
        ((*PART[:4], "--at", "front rear 1 2 3", *PART[6:]), "names both front and rear"),
        ((*PART[:6], "--on", "bulkhaed"), "did you mean `bulkhead`?"),
        ((*PART[:2], "--size", "5 m x 5 m x 5 m", *PART[4:]), "the largest believed is `450 mm`"),
        ((*PART[:4], "--at", "0 0 30 m", *PART[6:]), "three lengths are wanted"),
        ((*PART[:4], "--at", "0, 0, 30 m", *PART[6:]), "is beyond `20000 mm`"),
        ((*PART, "--system", "ignition"), "--system: there is no circuit `ignition`"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_changed(words: tuple[str, ...], told: str, shed: Path) -> None:
    before = read_project(shed)
    done = piped("", "new", "part", shed, *words)
    assert done.code in {1, 2}
    assert told in done.err
    assert read_project(shed) == before


def test_of_several_circuits_one_has_to_be_named(tmp_path: Path) -> None:
    project = two_circuits(tmp_path / "shed")
    words = ("--kind", "brake union", "--size", "9 x 9 x 9", "--at", "0 0 900", "--on", "bulkhead")
    done = piped("", "new", "part", project, *words)
    assert done.code == 2
    assert "several circuits it may belong to: front-brakes, rear-brakes" in done.err
    done = piped("", "new", "part", project, *words, "--system", "rear-brakes")
    assert done.code == 0
    done = piped("brake union\n\nbulkhead\n9 x 9 x 9\n0 0 950\nfront-brakes\n", "new", "part", project)
    assert (done.code, done.err) == (0, "")
    vehicle, _ = load_vehicle(project, catalog())
    assert vehicle is not None
    assert vehicle.components["brake-union"].systems == ("rear-brakes",)
    assert vehicle.components["brake-union-2"].systems == ("front-brakes",)


def test_an_overlap_is_told_and_written_all_the_same(shed: Path) -> None:
    done = piped("", "new", "part", shed, *PART[:4], "--at", "80 0 250", *PART[6:])
    assert done.code == 0
    assert "battery: radiator overlaps it by" in done.out
    assert f"`knockon check {shed}` says what to do about it" in done.out


def test_what_is_missing_is_asked_on_a_terminal(shed: Path) -> None:
    done = typed(
        "170 x 240 x 190\nleft bottom 300 -400 0\n", "new", "part", shed, "--kind", "battery", "--on", "bulkhead"
    )
    assert (done.code, done.err) == (0, "")
    assert "size [not measured]: " in done.out
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    assert isinstance(vehicle.components["battery"].solids[0], Box)


def test_so_writes_down_what_touches_and_what_is_near(shed: Path) -> None:
    # A bracket through the bulkhead, 8 mm beside the fuse box that wants 5 and the bracket's own keep-clear of 0.
    answers = "bracket\n\nbulkhead\n100 x 20 x 20\n760 200 250\n"
    done = piped(answers, "new", "part", shed)
    assert done.code == 0
    answers = "battery\n\nnothing\n100 x 100 x 100\nfront 116 0 200\nallow\n"
    done = piped(answers, "new", "part", shed)
    assert (done.code, done.err) == (0, "")
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    # Radiator's rear face at 110, so 6 mm between them; it keeps 15 clear.
    assert vehicle.components["battery"].near_mm == {"radiator": 6}


def test_a_link_with_new_ports_goes_from_face_to_face(shed: Path) -> None:
    before = text_of(shed)
    words = ("--kind", "heater hose", "--from-part", "radiator top right", "--to-part", "header-tank.out")
    done = piped("", "new", "link", shed, *words, "--via", "300 210 500; 600 150 470", "--across", "19")
    assert (done.code, done.err) == (0, "")
    new = added_lines(before.replace("ports: {top: [0, 150, 170]}", "ports: {}"), text_of(shed).replace(
        "ports: {top: [0, 150, 170], top-right: [0, 210, 170]}", "ports: {}"))  # fmt: skip
    assert any(line.strip().startswith("heater-hose:") for line in new)
    vehicle, findings = load_vehicle(shed, catalog())
    assert vehicle is not None
    assert not has_errors(findings)
    link = vehicle.links["heater-hose"]
    # The radiator is 60 x 420 x 340 about (80, 0, 250).
    assert port_mm(vehicle.components["radiator"], link.ends[0].port) == (80, 210, 420)
    assert (link.across_mm, link.system, link.via_mm) == (19, "cooling", ((300, 210, 500), (600, 150, 470)))


def test_a_port_is_named_like_a_face(shed: Path) -> None:
    """The shed's header tank has a port `out`, its radiator one called `top`."""
    words = ("--kind", "heater hose", "--from-part", "radiator top", "--to-part", "header tank out", "--across", "19")
    before = text_of(shed)
    done = piped("", "new", "link", shed, *words)
    assert (done.code, done.err) == (0, "")
    assert before.count("ports:") == text_of(shed).count("ports:")
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    ends = [(e.component, e.port) for e in vehicle.links["heater-hose"].ends]
    assert ends == [("radiator", "top"), ("header-tank", "out")]


def test_a_link_goes_into_the_circuit_of_its_ends(tmp_path: Path) -> None:
    project = two_circuits(tmp_path / "shed")
    words = ("--kind", "brake union", "--size", "9 x 9 x 9", "--on", "bulkhead", "--system", "rear-brakes")
    for x in ("0", "100"):
        assert piped("", "new", "part", project, *words, "--at", f"{x} 0 900").code == 0
    ends = ("--from-part", "brake union rear", "--to-part", "brake union 2 front")
    done = piped("", "new", "link", project, "--kind", "brake pipe", *ends)
    assert (done.code, done.err) == (0, "")
    vehicle, _ = load_vehicle(project, catalog())
    assert vehicle is not None
    assert vehicle.links["brake-pipe"].system == "rear-brakes"
    assert [e.component for e in vehicle.links["brake-pipe"].ends] == ["brake-union", "brake-union-2"]


def test_a_first_link_brings_its_section(tmp_path: Path) -> None:
    vehicle = shed_files()["vehicle.yaml"].decode()
    start, end = vehicle.index("links:"), vehicle.index("spaces:")
    project = write_project(tmp_path / "shed", shed_files(vehicle[:start] + vehicle[end:]))
    done = piped("", "new", "link", project, "--kind", "coolant hose", "--from-part", "header-tank.out",
                 "--to-part", "radiator.top")  # fmt: skip
    assert (done.code, done.err) == (0, "")
    found, _ = load_vehicle(project, catalog())
    assert found is not None
    assert list(found.links) == ["coolant-hose"]


@pytest.mark.parametrize(
    ("end", "told"),
    [
        ("header-tank.inn", "has no port `inn`"),
        ("sofa", "there is no part `sofa`"),
        ("header tank sideways", "is no side of a part"),
        ("", "is no end of a link"),
    ],
)
def test_an_end_that_is_none_is_told(end: str, told: str, shed: Path) -> None:
    before = read_project(shed)
    done = piped("", "new", "link", shed, "--kind", "wire", "--from-part", "fuse box", "--to-part", end)
    assert (done.code, told in done.err) == (2, True)
    assert "--to-part: " in done.err
    turned = piped("", "new", "link", shed, "--kind", "wire", "--from-part", end, "--to-part", "fuse box")
    assert "--from-part: " in turned.err
    assert read_project(shed) == before


def test_a_space_faces_what_it_is_on(shed: Path) -> None:
    # Its rear face is at 759, where the bulkhead's front face is.
    done = piped("\n\n60 x 300 x 150\nrear bottom 759 -300 200\n\nfuse box, battery\n", "new", "space", shed)
    assert (done.code, done.err) == (0, "")
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    space = vehicle.spaces["bulkhead-space"]
    assert (space.on, space.against, space.takes) == ("bulkhead", "rearwards", ("fuse-box", "battery"))
    assert (space.box.size_mm, space.box.pose.at_mm) == ((60, 300, 150), (729, -300, 275))


def test_a_space_by_options_asks_nothing(shed: Path) -> None:
    words = ("--on", "bulkhead", "--size", "60 x 300 x 150", "--at", "front 762 -300 200")
    done = piped("", "new", "space", shed, *words)
    assert (done.code, done.err) == (0, "")
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    assert vehicle.spaces["bulkhead-space"].against == "forwards"
    assert vehicle.spaces["bulkhead-space"].takes == ()


@pytest.mark.parametrize(
    ("words", "change"),
    [
        (("--do", "move", "--part", "header tank", "--by", "0 40 0"), "{do: move, part: header-tank, by: [0, 40, 0]}"),
        (("--do", "move", "--part", "fuse-box", "--to", "730 -300 560"), "to: [730, -300, 560]"),
        (("--do", "grow", "--part", "header tank", "--by", "0, 2 in, 0"), "by: [0, 2 in, 0]"),
        (("--do", "remove", "--part", "fuse box"), "{do: remove, part: fuse-box}"),
        (("--do", "take-off", "--part", "radiator"), "{do: take-off, part: radiator}"),
        (("--do", "replace", "--part", "radiator", "--kind", "radiator", "--size", "60 x 480 x 340", "--at",
          "80 0 250"),
         "with: new-radiator"),
        (("--do", "add", "--kind", "brake cylinder", "--size", "round 40 x 138 along x", "--at", "690 150 500", "--on",
          "bulkhead"), "part: brake-master-cylinder"),
    ],
)  # fmt: skip
def test_a_job_by_options(words: tuple[str, ...], change: str, shed: Path) -> None:
    before = read_project(shed)
    done = piped(
        "", "new", "job", shed, "What I want", *words, "--when", "sat 9:00-13:00 2", "--when", "2027-01-10 10:00-12:00"
    )
    assert (done.code, done.err) == (0, "")
    text = (shed / "jobs" / "what-i-want.yaml").read_text(encoding="utf-8")
    assert change in " ".join(text.split())
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    job, findings = load_job(shed, "what-i-want", vehicle, catalog())
    assert job is not None
    assert not has_errors(findings)
    assert [(s.hands, s.day.isoformat(), s.start.hour) for s in job.sessions] == [(1, "2027-01-10", 10)]
    assert len(job.repeating) == 1
    after = read_project(shed)
    assert {k: v for k, v in after.items() if k in before} == before


def test_what_replaces_a_part_is_guessed_as_large_as_that_and_in_its_place(shed: Path) -> None:
    """The radiator, 60 x 420 x 340 about 80, 0, 250, stands on 250 - 170 = 80; a fifth of a guess is in doubt."""
    words = ("--do", "replace", "--part", "radiator", "--when", "sat 9:00-13:00")
    done = piped("\n\n\n\n\n\n\n\n", "new", "job", shed, "other radiator", *words)
    assert done.code == 0, done.err
    assert "guessed from radiator, which it replaces: as large and where it stands" in done.out
    text = (shed / "jobs" / "other-radiator.yaml").read_text(encoding="utf-8")
    assert "box: [60 +/- 12, 420 +/- 84, 340 +/- 68]" in text
    assert "at: [80 +/- 50, 0 +/- 50, 80 +/- 50]" in text
    assert all(line.count("#") == 2 for line in text.splitlines() if line.startswith(("# start:", "# hour_worth:")))
    assert "the plan has a step to measure it" in " ".join(done.out.split())


def test_a_job_that_brings_a_new_circuit_writes_it_too(shed: Path) -> None:
    words = ("--do", "add", "--kind", "battery", "--size", "9 x 9 x 9", "--at", "0 0 900", "--on", "bulkhead")
    done = piped("", "new", "job", shed, "battery", *words, "--when", "sat 9:00-13:00")
    assert (done.code, done.err) == (0, "")
    assert "  wiring: {kind: low-voltage-wiring}\n" in text_of(shed)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("../x", "cannot be a name"),
        ("a/b", "cannot be a name"),
        ("a\\b", "cannot be a name"),
        ("a\nb\x00", "cannot be a name"),
        ("aux", "a device's name"),
        ("second cylinder", "is there already: nothing is changed"),
        (".hidden", "cannot be a name"),
    ],
)
def test_a_job_that_cannot_be_called_so_is_told(name: str, told: str, shed: Path) -> None:
    before = read_project(shed)
    done = piped("\n" * 9, "new", "job", shed, name)
    assert (done.code, told in done.err) == (2, True)
    assert read_project(shed.parent) == {f"shed/{k}": v for k, v in before.items()}


@pytest.mark.parametrize(
    "words",
    [
        ("--do", "move", "--part", "header tank", "--by", "0 0 0"),
        ("--do", "move", "--part", "header tank", "--by", "0 9 0", "--when", "someday"),
        ("--do", "move", "--part", "header tank", "--by", "0 9 0", "--when", "sat 13:00-09:00"),
        ("--do", "move", "--part", "header tank", "--by", "0 9 0", "--when", "2027-02-30 09:00-10:00"),
        ("--do", "paint", "--part", "header tank"),
        ("--do", "remove", "--part", "sofa"),
    ],
)
def test_a_job_that_cannot_be_is_told(words: tuple[str, ...], shed: Path) -> None:
    before = read_project(shed)
    done = piped("\n" * 9, "new", "job", shed, "job", *words)
    assert done.code in {1, 2}
    assert done.err.startswith("knockon: ")
    assert read_project(shed) == before


def test_what_was_written_in_an_editor_meanwhile_stays(shed: Path) -> None:
    def meanwhile(*_: object) -> None:
        text = text_of(shed).replace("ground: -300\n", "ground: -310     # on new tyres\n")
        (shed / "vehicle.yaml").write_text(text, encoding="utf-8")

    with patch("planner.cli.new_asking.Talk.see_end", meanwhile):
        done = piped("", "new", "part", shed, *PART)
    assert (done.code, done.err) == (0, "")
    assert "ground: -310     # on new tyres\n" in text_of(shed)
    assert "  battery:\n" in text_of(shed)


def test_a_vehicle_with_errors_is_told_of_and_left(shed: Path) -> None:
    (shed / "vehicle.yaml").write_text("knockon: 1\n", encoding="utf-8")
    done = piped("", "new", "part", shed, *PART)
    assert (done.code, "[missing-key]" in done.err) == (1, True)
    assert text_of(shed) == "knockon: 1\n"


def test_a_dry_run_writes_nothing(shed: Path) -> None:
    before = read_project(shed)
    done = piped("", "new", "part", shed, *PART, "-n")
    assert (done.code, "battery:" in done.out) == (0, True)
    done = piped(
        "", "new", "job", shed, "job", "--do", "remove", "--part", "fuse box", "--when", "sat 9:00-10:00", "-n"
    )
    assert (done.code, "do: remove" in done.out) == (0, True)
    assert read_project(shed) == before


def test_a_file_that_cannot_be_written_is_told(shed: Path) -> None:
    before = read_project(shed)
    with patch("planner.files.write.os.fsync", side_effect=PermissionError(13, "Permission denied")):
        done = piped("", "new", "part", shed, *PART)
    assert (done.code, "cannot be written: permission denied" in done.err) == (3, True)
    assert read_project(shed) == before
