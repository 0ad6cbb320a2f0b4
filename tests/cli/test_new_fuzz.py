"""Random answers and options: no traceback, nothing half-written, whatever is written loads."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest
from cli.new_trial import ANSWERS, piped, typed
from cli.shed import Ended, catalog, read_project, shed_files, write_project

from planner.finding import has_errors
from planner.shelf import list_jobs, load_job, load_vehicle

NONSENSE = (
    "", "", "", "", "?", "\x00", "\x1b[31m", "\u00e9", "\u65e5\u672c", "1e400", "99999999999", "-5", "0 0 0", "1 2",
    "a/b", "../x", "x" * 500, "'\"", "{", "}: &a", "*b", "!!t", "# c", "true", "null", "620 +/- 5", "1/0 x 2 x 3",
    "5 swg x 3 x 4", "1 1/4 in x 3 in x 5 in", "62 x 18 x 24 cm", "left right 1 2 3", "engine", "tank", "bracket",
    "fan", "undo", "nothing", "1", "2", "9", "keep", "so", "again", "inch", "floor", "other", "\u2028", "\ud800",
    "\ufeff", "\u0967 x \u0968 x \u0969", "round 1 x 2", "round 40 x 90 along y", "on", "mm", "to 1 2 3", "remove",
    "add", "replace", "take-off", "sat 9:00-8:00", "2027-02-30 09:00-10:00", "none", "- a", "[1,2]", "1:30", "012",
    "con", "spare wheel", "x=1 y=2 z=3", "\u221e", "\u00bd x \u00bc x 1", "100000 x 1 x 1", "19 m x 2 m x 2 m",
    "8 m x 2 m x 2 m", "bulkhead", "header tank", "battery", "0 0 300", "bottom 300, 0 +/- 9, 100", "50 x 50 x 50",
    "back", "back", "back", "allow", "leave", "retype", "no", "? brake", "V-twin", "chain", "coolant hose", "back 1 2",
    "0.0001 x 1 x 1", "nan x nan x nan", "1 x 1 x 1 x 1", "front front left 1 2 3", "top", "any", "%s %d {0}", "yes",
)  # fmt: skip


def stream(rng: random.Random) -> list[str]:
    """The newcomer's answers with slips in them, or words drawn from a hat."""
    lines = [line for line in ANSWERS.splitlines() if not line.startswith("#")]
    if rng.random() < 0.3:
        return [rng.choice((*NONSENSE, *lines)) for _ in range(rng.randint(0, 120))]
    for _ in range(rng.randint(1, 8)):
        at = rng.randrange(len(lines) + 1)
        match rng.randrange(5):
            case 0 | 1:
                lines[at : at + 1] = [rng.choice(NONSENSE)]
            case 2:
                lines.insert(at, rng.choice(NONSENSE))
            case 3:
                del lines[at : at + 1]
            case _:
                lines[at:at] = [rng.choice(NONSENSE) for _ in range(rng.randint(1, 6))]
    if rng.random() < 0.2:
        return lines[: rng.randrange(len(lines) + 1)]
    return lines + [""] * 30


def see_whole(project: Path) -> bool:
    """Whether a project was written, and see that all of it loads."""
    files = read_project(project)
    assert all(name == "vehicle.yaml" or name.startswith("jobs/") for name in files)
    assert not any(name.endswith(".part") for name in files)
    if not files:
        return False
    vehicle, findings = load_vehicle(project, catalog())
    assert vehicle is not None
    assert not has_errors(findings)
    for name in list_jobs(project):
        job, findings = load_job(project, name, vehicle, catalog())
        assert job is not None
        assert not has_errors(findings)
    return True


def see_ended(done: Ended, *, written: bool) -> None:
    assert done.code in {0, 1, 2, 3}, done.err
    assert "Traceback" not in done.err
    assert written == (done.code == 0)


def answered(seed: int, folder: Path) -> Counter[str]:
    rng = random.Random(seed)
    text = "\n".join(stream(rng))
    give = rng.choice((piped, typed, typed, typed))
    done = give(text, "new", folder / "car")
    written = see_whole(folder / "car") if (folder / "car").exists() else False
    see_ended(done, written=written)
    return Counter({"written": int(written), "stopped": int(not written)})


def test_a_few_random_answers(tmp_path: Path) -> None:
    for seed in range(4):
        answered(seed, tmp_path / str(seed))


@pytest.mark.slow
def test_300_random_answers(tmp_path: Path) -> None:
    told: Counter[str] = Counter()
    for seed in range(1000, 1300):
        told += answered(seed, tmp_path / str(seed))
    print(told)
    assert min(told["written"], told["stopped"]) > 50


@pytest.mark.slow
def test_answers_that_end_at_every_line_leave_nothing(tmp_path: Path) -> None:
    lines = ANSWERS.splitlines()
    for cut in range(len(lines)):
        give = (piped, typed)[cut % 2]
        done = give("\n".join(lines[:cut]) + "\n" * (cut > 0), "new", tmp_path / str(cut) / "car")
        assert done.code in {1, 2}
        assert not (tmp_path / str(cut)).exists()


def options(rng: random.Random) -> list[str]:
    """One of the four additions with random values, most of them sensible."""
    sensible = {
        "--kind": ("battery", "bracket", "fuse box", "wire", "coolant hose", "radiator"),
        "--size": ("90 x 50 x 40", "round 40 x 90 along x", "4 in x 2 in x 1 in"),
        "--at": ("0 0 900", "bottom 300 200 100", "front left top 100, 0 +/- 4, 600"),
        "--on": ("bulkhead", "radiator", "nothing"),
        "--name": ("my thing", "other thing", "thing 3"),
        "--from-part": ("radiator.top", "header tank left", "fuse box"),
        "--to-part": ("bulkhead", "radiator front", "fuse-box top"),
        "--via": ("300 0 500", "300 0 500; 400 10 500", "straight"),
        "--across": ("19", "1/2 in"),
        "--takes": ("any", "fuse box, battery"),
        "--against": ("down", "rearwards", "none"),
        "--do": ("move", "remove", "grow", "add", "replace", "take-off"),
        "--part": ("header tank", "radiator", "fuse box"),
        "--by": ("0 40 0", "0, 1/2 in, 0"),
        "--when": ("sat 09:00-13:00", "2027-01-10 10:00-12:00 2"),
        "--system": ("cooling", "rear-brakes"),
    }
    verb = rng.choice(("part", "link", "space", "job"))
    takes = {
        "part": ("--kind", "--size", "--at", "--on", "--name", "--system"),
        "link": ("--kind", "--from-part", "--to-part", "--via", "--across", "--name", "--system"),
        "space": ("--on", "--size", "--at", "--takes", "--against", "--name"),
        "job": ("--do", "--part", "--by", "--when", "--kind", "--size", "--at", "--on"),
    }[verb]
    given = [option for option in takes if rng.random() < 0.85]
    return [verb, *(f"{o}={rng.choice(NONSENSE if rng.random() < 0.12 else sensible[o])}" for o in given)]


def added(seed: int, folder: Path) -> Counter[str]:
    rng = random.Random(seed)
    project = write_project(folder / "shed", shed_files())
    told: Counter[str] = Counter()
    for _ in range(4):
        before = read_project(project)
        verb, *words = [w.encode("utf-8", "replace").decode() for w in options(rng)]
        name = [rng.choice(("job one", "job two", "../x"))] if verb == "job" else []
        done = piped("\n" * 12, "new", verb, project, *name, *words)
        assert done.code in {0, 1, 2}, done.err
        if done.code:
            assert read_project(project) == before
        assert see_whole(project)
        told[f"{verb} {done.code}"] += 1
    return told


def test_a_few_random_options(tmp_path: Path) -> None:
    for seed in range(2):
        added(seed, tmp_path / str(seed))


@pytest.mark.slow
def test_300_random_options(tmp_path: Path) -> None:
    told: Counter[str] = Counter()
    for seed in range(2000, 2075):
        told += added(seed, tmp_path / str(seed))
    print(told)
    assert all(told[f"{verb} 0"] > 5 for verb in ("part", "link", "space", "job"))
