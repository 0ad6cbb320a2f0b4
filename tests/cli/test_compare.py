"""`knockon compare`: what-ifs side by side, told and as JSON, and what cannot be asked."""

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import JOB_ID, catalog_at_hand, run, shed_files, write_project
from worked_once import worked_once

FROM = ("--from", "2027-01-09")


@pytest.fixture(autouse=True)
def _catalog() -> Iterator[None]:
    with catalog_at_hand(), worked_once():
        yield


def cases(folder: Path, *options: str) -> dict[str, dict]:
    ended = run("compare", write_project(folder, shed_files()), JOB_ID, *FROM, *options, "--limit", "1", "--json")
    assert ended.code == 0, ended.err
    return {c["case"]: c for c in json.loads(ended.out)["cases"]}


def test_a_late_parcel_is_never_sooner_and_more_time_never_later(tmp_path: Path) -> None:
    found = cases(
        tmp_path, "--late", "rear-cylinder=30", "--session", "2027-01-12 18:00-22:00", "--helper", "2027-01-23"
    )
    plain = found["as planned"]
    late = found["`rear-cylinder` 30 days later"]
    longer = found["a session on Tue 12 Jan 2027 18:00-22:00"]
    helped = found["a helper on Sat 23 Jan 2027"]
    assert late["finish"] > plain["finish"]
    assert longer["finish"] <= plain["finish"]
    assert helped["finish"] <= plain["finish"]
    assert "all of these together" in found
    assert all(c["checkpoints"] == plain["checkpoints"] for c in found.values())
    # The parcel was 9 days away; with 30 more nothing that needs it is done before 2027-02-17.
    assert late["finish"] >= "2027-02-17"


def test_the_table_tells_the_same(tmp_path: Path) -> None:
    ended = run("compare", write_project(tmp_path, shed_files()), JOB_ID, *FROM, "--late", "fluid=20", "--limit", "1")
    assert ended.code == 0, ended.err
    assert "as planned" in ended.out
    assert "`fluid` 20 days later" in ended.out.replace("\n", " ")
    assert "finish" in ended.out
    # The hose that is cut anew has no price in the files, and both plans need it.
    assert [line.split() for line in ended.out.splitlines() if line.startswith("no price  ")] == [
        ["no", "price", "1", "1"]
    ]
    told = " ".join(ended.out.split())
    assert "no price: things to buy whose price no file tells, so that the money leaves them out." in told
    assert re.search(r"finish +~?[A-Z][a-z]{2} \d+ [A-Z][a-z]{2} 20\d\d", ended.out)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--helper", "2027-01-12"], "there is no session on Tue 12 Jan 2027"),
        (["--helper", "every monday"], "there is never a session on that day"),
        (["--helper", "soon"], "'soon' is no date"),
        (["--late", "fluid"], "is not ID=DAYS"),
        (["--late", "wheels=3"], "nothing is bought as or for `wheels`"),
        (["--session", "2027-01-12 22:00-18:00"], "ends before it begins"),
        (["--session", "Tuesday"], "is no session"),
        (["--option", "a"], "has no options"),
    ],
)
def test_what_cannot_be_asked(tmp_path: Path, options: list[str], words: str) -> None:
    ended = run("compare", write_project(tmp_path, shed_files()), JOB_ID, *FROM, *options)
    assert ended.code == 2
    assert words in ended.err


@pytest.mark.parametrize("text", ["every sun", "Sundays", "every sunday"])
def test_a_helper_on_a_day_of_every_week(tmp_path: Path, text: str) -> None:
    """The shed works on Saturdays and Sundays: a second pair of hands every Sunday never makes it later."""
    found = cases(tmp_path, "--helper", text)
    assert found["a helper every Sunday"]["finish"] <= found["as planned"]["finish"]
