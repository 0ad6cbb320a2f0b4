"""The job book of the shipped second job, and of an answer that tries to break out of it."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
import unicodedata
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from xml.etree.ElementTree import Element  # the type only: html5lib parses

import numpy as np
import pytest
from book.reading import XHTML, Read, having, texts_of, with_id, words
from book.worked import answer, bare_book, print_of, project
from export import nasty
from shed import catalog_at_hand, run
from trials import catalog

from planner.book import BookFacts, Paper, Signature, book_page
from planner.book.labels import QR_MM, SHEETS, labels_of
from planner.cli.sums import job_done, sums_there
from planner.export.plan_words import DEFER, checks_of, piece_of, slot_title
from planner.model.answer import Answer
from planner.model.figures import BracketFigures, Figure
from planner.model.steps import step_keys
from planner.model.work import Feature
from planner.sums.sheet import sums_of

JOB = "battery-aft"
LARGEST_BYTES = 3_000_000


@lru_cache(maxsize=2)
def book(job: str = JOB) -> Read:
    return Read(print_of(job))


@lru_cache(maxsize=1)
def hostile() -> Read:
    return Read(bare_book(nasty.answer()))


def flat(text: str) -> str:
    return " ".join(text.split())


def titled(sheet: Element) -> str:
    """What a checkpoint sheet is about, without its number."""
    return words(sheet.find(f"{XHTML}h3")).partition(". ")[2]


@pytest.mark.parametrize("read", [book, hostile])
def test_ids_are_its_own_and_every_reference_stays_inside(read: Callable[[], Read]) -> None:
    ids = [e.get("id") for e in read().root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    for element in read().root.iter():
        for name, value in element.attrib.items():
            plain = name.rpartition("}")[2]
            assert plain not in {"src", "srcset", "action", "data", "poster", "background", "ping"}
            assert not plain.startswith("on")
            if plain == "href":
                assert value.startswith("#")
                assert value[1:] in ids
            if plain in {"for", "aria-labelledby", "aria-describedby"}:
                assert set(value.split()) <= set(ids)
            for reference in re.findall(r"url\(([^)]*)\)", value):
                assert reference.startswith("#")


def test_nothing_of_it_comes_from_elsewhere() -> None:
    page = book().page
    assert not re.search(r"https?:|//[a-z]|@import|<link|<iframe|<object|<embed|<base|fetch\(|XMLHttp|WebSocket", page)
    assert set(re.findall(r"url\((.)", page)) <= {"#"}


def test_every_step_of_the_plan_is_there_once_with_all_it_needs() -> None:
    found = answer(JOB)
    assert book().keys() == list(step_keys(found.plan.slots))
    for number, (slot, shown) in enumerate(zip(found.plan.slots, book().steps, strict=True)):
        item, text = piece_of(found.work, slot.step), words(shown)
        assert texts_of(shown, "h3") == [flat(slot_title(found.work, slot))]
        assert words(having(shown, "nr")[0]) == str(found.number(number))
        assert f"{slot.start:%H:%M}" in text
        assert flat(found.plan.why[number]) in text
        for told in (*item.tools, *item.cautions):
            assert flat(told) in text
        if item.hands > 1:
            assert f"{item.hands} pairs of hands" in text


def test_every_checkpoint_stands_at_its_steps_and_on_a_sheet_with_limit_caution_and_blanks() -> None:
    found = answer(JOB)
    headings = [words(e.find(f"{XHTML}h3")) for e in having(book().root, "sheet-check")]
    assert [int(h.partition(".")[0]) for h in headings] == list(range(1, len(headings) + 1))
    sheets = {titled(e): e for e in having(book().root, "sheet-check")}
    made: dict[str, list[str]] = {c: [] for c in found.work.checkpoints}
    for key, slot, shown in zip(step_keys(found.plan.slots), found.plan.slots, book().steps, strict=True):
        for check in checks_of(piece_of(found.work, slot.step)):
            made[check].append(key)
            point = found.work.checkpoints[check]
            for told in (point.measure, point.limit, point.caution):
                assert flat(told) in words(shown)
            number = re.match(r"\d+", next(h for h in headings if h.endswith(flat(point.title))))
            assert number is not None
            assert f"CHECK {number[0]}" in words(shown)
            (blank,) = having(shown, "blanks")
            assert (blank.get("data-check"), blank.get("data-key")) == (check, key)
    assert set(sheets) == {flat(c.title) for c in found.work.checkpoints.values()}
    for check, point in found.work.checkpoints.items():
        sheet = sheets[flat(point.title)]
        for told in (point.measure, point.limit, point.caution, point.source):
            assert flat(told) in words(sheet)
        assert [b.get("data-key") for b in having(sheet, "blanks")] == made[check]
        assert made[check], check
        for blank in having(sheet, "blanks"):
            assert {e.get("data-field") for e in blank.iter() if e.get("data-field")} == {"text", "by", "at"}
            # Without numbers it is a yes or no: the paper says which passes, and has room for what was seen.
            free = point.low is None and point.high is None
            assert ("Is it so? Yes passes, no does not" in words(blank), "Noted" in words(blank)) == (free, free)
            # A phone's keys for numbers alone have no yes on them.
            more = bool(point.beside)
            assert ("then yes if all else is so as well" in words(blank)) is more
            assert any(e.get("inputmode") for e in blank.iter()) is (not free and not more)


def test_every_purchase_with_its_days_and_price_and_every_question_is_there() -> None:
    found = answer(JOB)
    rows = [words(e) for e in with_id(book().root, "buy").iter(f"{XHTML}tr")][1:]
    assert len(rows) == len(found.work.bought)
    for buy in found.work.bought:
        (row,) = [r for r in rows if f" {flat(buy.what)} " in f" {r} "]
        assert buy.used_up or f"{buy.price:.2f}" in row
        assert not buy.lead_days or f"{buy.lead_days} days" in row
        assert f"{found.plan.order_by[buy.id]:%d %b %Y}".lstrip("0") in row
    assert f"{sum(b.price for b in found.work.bought):.2f} GBP" in book().section("buy")
    measured = [e for e in found.knockons.effects if e.kind.value == "to be measured"]
    assert measured
    for effect in measured:
        assert flat(effect.text) in book().section("decide")
        assert flat(effect.causes[0].text) in book().section("decide")


def test_every_knockon_and_its_reasons_are_told() -> None:
    text = book().section("knockons")
    for effect in answer(JOB).knockons.effects:
        if effect.kind.value != "to be measured":
            assert flat(effect.text) in text
        if effect.kind.value not in {"to be measured", "tested again"}:
            for cause in effect.causes:
                assert flat(cause.text) in text or cause.text == "the job asks for it"


def test_a_part_goes_back_from_the_bag_that_it_went_into() -> None:
    """Followed by hand through the plan: the last step that took the part off names the bag."""
    found = answer(JOB)
    last: dict[str, int] = {}
    checked = 0
    for number, (slot, shown) in enumerate(zip(found.plan.slots, book().steps, strict=True), start=1):
        bag = re.search(r"BAG (\d+)", words(shown))
        told = int(bag[1]) if bag else None
        if slot.step.on is None or ":" in slot.step.ref:
            assert told is None
            continue
        part = found.work.features[slot.step.ref].subject
        if slot.step.on:
            assert told == last.pop(part, None)
            checked += told is not None
        else:
            assert told == number
            last[part] = number
    assert checked >= 3
    rows = [words(e) for e in with_id(book().root, "refit").iter(f"{XHTML}tr")]
    assert sum("not in this plan" in r for r in rows) == len(last)


def test_bags_filled_before_this_plan_and_what_was_signed_by_then_are_told() -> None:
    found = nasty.answer()
    slots = (found.plan.slots[3],)
    plan = replace(found.plan, slots=slots, why=found.plan.why[3:4])
    left = replace(found, plan=plan, numbers=(7,), chain=None)
    signed = {"lost": Signature(words="12 passed, AB", stands=True), "bolts": Signature(words="3 failed", stands=False)}
    read = Read(book_page(BookFacts(answer=left, keys=("seat:on#2",), bags={"seat": 4}, signed=signed)))
    assert read.keys() == ["seat:on#2"]
    assert "BAG 4" in words(read.steps[0])
    sheets = {titled(e): words(e) for e in having(read.root, "sheet-check")}
    assert "Signed before: 12 passed, AB" in sheets["Nobody's checkpoint"]
    assert "No step of this plan makes it" not in sheets["Nobody's checkpoint"]
    assert "3 failed" in sheets["Seat bolts torqued"]
    assert "No step of this plan makes it" in sheets["Seat bolts torqued"]
    boxes = {words(e): len(having(e, "full")) for e in with_id(read.root, "road").iter(f"{XHTML}li")}
    assert [n for t, n in boxes.items() if t.startswith("Nobody's checkpoint")] == [1]
    assert [n for t, n in boxes.items() if t.startswith("Seat bolts torqued")] == [0]


def test_the_gates_name_all_that_blocks_them() -> None:
    found = answer(JOB)
    text = book().section("road")
    engine, moving, road = (text.index(f"Before {w}") for w in ("the engine", "it moves", "it goes on the road"))
    # Whatever stands above a gate has to be passed before it as well.
    parts = {"first-start": text[engine:moving], "first-move": text[engine:road], "road-test": text[engine:]}
    for point in found.work.checkpoints.values():
        for task in point.blocked:
            assert flat(point.title) in parts[task]
        assert text.count(f"{flat(point.title)} sheet") <= 1
    assert text[moving:].count("Everything above, and:") == 2
    assert DEFER in text
    assert DEFER in book().section("care")


def test_the_cover_says_the_checkers_word() -> None:
    assert "no fault found" in words(having(book().root, "cover")[0])
    wrong = replace(nasty.answer(), violations=("step 2 comes <before> step 1",))
    text = words(having(Read(bare_book(wrong)).root, "cover")[0])
    assert "THIS PLAN IS WRONG" in text
    assert "step 2 comes <before> step 1" in text
    assert "no fault found" not in text


def test_a_job_without_a_plan_still_has_a_book_that_says_so() -> None:
    read = Read(bare_book(nasty.without_plan()))
    assert "Cannot be planned: the seat cannot come off" in words(read.root)
    assert read.keys() == []
    for title in ("Seat bolts torqued", "Seat rocked by hand", "Nobody's checkpoint"):
        assert title in read.section("checks")


def test_hostile_texts_stay_texts() -> None:
    read = hostile()
    assert len(list(read.root.iter(f"{XHTML}script"))) == 1
    assert "alert(1)" not in next(iter(read.root.iter(f"{XHTML}script"))).text
    assert [e for e in read.root.iter(f"{XHTML}a") if "javascript" in e.get("href")] == []
    assert "<script>alert(1)</script> & [link](javascript:x)" in words(read.steps[1])
    assert {c for c in read.page if unicodedata.category(c) == "Cc"} <= {"\n"}
    assert not set(read.page) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")
    (style,) = [e.text for e in read.root.iter(f"{XHTML}style") if "@page" in (e.text or "")]
    assert "Trials \\3c car\\3e \\2c  no\\2e  1" in style.replace("\\20 ", " ")
    body = next(iter(read.root.iter(f"{XHTML}body")))
    assert body.get("data-book").startswith("Trials <car>, no. 1 / seat-slot / ")


def test_a_split_task_has_a_key_for_each_part() -> None:
    assert hostile().keys() == ["seat:off#1", "cut~1", "cut~2", "seat:on#1", "@look"]


def test_plans_that_differ_keep_their_ticks_apart() -> None:
    one = nasty.answer()
    other = replace(one, plan=replace(one.plan, slots=one.plan.slots[:-1], why=one.plan.why[:-1]))
    kept = [re.search(r'data-book="([^"]*)"', bare_book(a))[1] for a in (one, other, one)]  # type: ignore[index]
    assert kept[0] == kept[2] != kept[1]


def test_same_answer_same_bytes_whatever_the_order_of_sets() -> None:
    tests = Path(__file__).parents[1]
    code = """
import hashlib
from export.nasty import answer
from book.worked import bare_book
print(hashlib.sha256(bare_book(answer()).encode()).hexdigest())
"""
    elsewhere = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONHASHSEED": "1", "PYTHONPATH": f"{tests}:{tests.parent}"},
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    assert elsewhere.strip() == hashlib.sha256(bare_book(nasty.answer()).encode()).hexdigest()
    assert print_of(JOB) == book().page


@pytest.mark.parametrize("paper", list(Paper))
def test_each_paper_has_a_sheet_that_holds_its_labels(paper: Paper) -> None:
    """ISO 216 and ANSI Y14.1 sizes of paper [mm]; of any paper, what both have left inside margins of 15 mm."""
    wide, high = {Paper.ANY: (180.0, 249.4), Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}[paper]
    sheet = SHEETS[paper]
    assert sheet.left_mm + sheet.columns * sheet.wide_mm <= wide + 0.01
    assert sheet.top_mm + sheet.rows * sheet.high_mm <= high + 0.01
    assert min(sheet.wide_mm / 2, sheet.high_mm) >= QR_MM
    page = bare_book(nasty.answer(), paper)
    assert f"repeat({sheet.columns}, {sheet.wide_mm}mm); grid-auto-rows: {sheet.high_mm}mm" in page
    assert ("size: A4" in page, "size: letter" in page) == (paper is Paper.A4, paper is Paper.LETTER)


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
def test_nothing_on_a_label_is_nearer_than_5_mm_to_the_edge_of_the_paper(paper: Paper) -> None:
    """Office printers leave 4 to 5 mm at each edge unprinted (common practice, no published source)."""
    wide, high = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}[paper]
    sheet = SHEETS[paper]
    label = having(Read(bare_book(nasty.answer(), paper)).root, "label")[0]
    above, aside = (float(v) for v in re.findall(r"([\d.]+)mm", label.get("style", "")))
    assert sheet.left_mm + aside >= 5.0
    assert sheet.top_mm + above >= 5.0
    assert wide - sheet.left_mm - sheet.columns * sheet.wide_mm + aside >= 5.0
    assert high - sheet.top_mm - sheet.rows * sheet.high_mm + above >= 5.0
    assert sheet.wide_mm - 2 * aside >= 1.5 * QR_MM
    assert sheet.high_mm - 2 * above >= QR_MM


def test_only_links_that_the_plan_undoes_or_makes_have_labels() -> None:
    """A state wished for at the end of a session names a link that nobody touches: it needs no label."""
    found = answer(JOB)

    def labelled(of: Answer) -> set[str]:
        facts = BookFacts(answer=of, keys=step_keys(of.plan.slots))
        heads = (label.head for page in labels_of(facts).pages for label in page)
        return {head.removesuffix(" A") for head in heads if head.endswith(" A")}

    toggled = {found.work.features[s.step.ref].subject for s in found.plan.slots if s.step.on is not None}
    links = {**found.vehicle.links, **found.knockons.links_after}
    idle = min(set(links) - toggled)
    feature = Feature(id=idle, name=idle, start=True, goal=True, turn_on=None, turn_off=None, subject=idle)
    wished = replace(found, work=replace(found.work, features={**found.work.features, idle: feature}))
    assert labelled(wished) == labelled(found) == toggled & set(links) != set()


def test_codes_say_what_is_printed_beside_them() -> None:
    """Read by an independent reader of codes from the picture as it is drawn."""
    zxing = pytest.importorskip("zxingcpp")
    labels = having(book().root, "label")
    heads = [words(having(label, "label-head")[0]) for label in labels]
    assert any(re.fullmatch(r"BAG \d+", head) for head in heads)
    for label, head in list(zip(labels, heads, strict=True))[::3]:
        (code,) = having(label, "code")
        size = int(code.get("viewBox").split()[2])
        picture = np.full((size, size), 255, np.uint8)
        path = next(e.get("d") for e in code.iter() if e.get("d"))
        for x, y, dark in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", path):
            picture[int(y), int(x) : int(x) + int(dark)] = 0
        (read,) = zxing.read_barcodes(picture.repeat(4, axis=0).repeat(4, axis=1))
        assert head in {f"BAG {read.text}", f"{read.text} A", f"{read.text} B"}


def test_made_parts_have_their_sizes_and_are_drawn_to_scale() -> None:
    """The battery box is 190 x 276 x 10 mm in its file."""
    sheets = {words(e.find(f"{XHTML}h3")): e for e in having(book().root, "make")}
    sheet = sheets["battery box on the rear deck"]
    assert "block 190 mm x 276 mm x 10 mm" in words(sheet)
    assert "Flat pattern: not here" in words(sheet)
    (drawn,) = having(sheet, "views")
    texts = ["".join(e.itertext()) for e in drawn.iter() if e.tag.endswith("}text")]
    assert {"190 mm", "276 mm", "10 mm"} <= set(texts)
    scale = float(re.search(r"1 : ([\d.]+)", " ".join(texts))[1])  # type: ignore[index]
    lengths = sorted({round(_wide(e.get("d")) * scale, 1) for e in having(drawn, "vo")})
    assert lengths == [pytest.approx(190.0, abs=0.1), pytest.approx(276.0, abs=0.1)]
    assert drawn.get("width") == f"{float(drawn.get('viewBox').split()[2]):g}mm"


def _wide(path: str) -> float:
    across = [float(x) for x, _ in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)]
    return max(across) - min(across)


def test_sums_stand_with_their_margins_and_the_word_that_they_are_no_approval() -> None:
    text = book().section("sums")
    assert "not an approval" in text
    found = answer(JOB)
    names = {i: x.name for i, x in (*found.knockons.after.items(), *found.vehicle.components.items())}
    lines = sums_of(found.knockons.after, found.knockons.links_after, found.vehicle.figures)
    assert any("`" in line.title for line in lines)
    for line in lines:
        assert flat(re.sub("`([^`]*)`", lambda m: names[m[1]], line.title)) in text


def test_the_sums_are_those_of_the_sums_verb_with_where_the_drivers_feet_land() -> None:
    found = answer(JOB)
    with catalog_at_hand():
        ended = run("sums", project(JOB), JOB, "--json")
    told = json.loads(ended.out)["sums"]
    there = sums_there(project(JOB), job_done(found), found.vehicle, catalog())
    assert [x["id"] for x in told] == [x.id for x in there]
    feet = [
        x for x in there if x not in sums_of(found.knockons.after, found.knockons.links_after, found.vehicle.figures)
    ]
    assert feet
    for line in feet:
        names = {i: x.name for i, x in found.knockons.after.items()}
        assert flat(re.sub("`([^`]*)`", lambda m, n=names: n.get(m[1], m[0]), line.title)) in book().section("sums")


def test_it_is_small() -> None:
    assert len(book().page.encode()) < LARGEST_BYTES


@pytest.mark.slow
def test_the_largest_job_has_every_step_and_checkpoint_and_is_small() -> None:
    found: Answer = answer("hung-pedals")
    read = book("hung-pedals")
    assert len(read.page.encode()) < LARGEST_BYTES
    assert read.keys() == list(step_keys(found.plan.slots))
    text = read.section("checks")
    for point in found.work.checkpoints.values():
        for told in (point.title, point.measure, point.caution):
            assert flat(told) in text
    for buy in found.work.bought:
        assert flat(buy.what) in read.section("buy")
    levers = [e for e in having(read.root, "make") if "through its travel" in words(e)]
    assert len(levers) == 3
    pages = [e.get("id") for e in read.root.iter() if e.get("id")]
    assert len(pages) == len(set(pages))


def test_a_folded_part_gets_its_flat_pattern_to_scale() -> None:
    """Legs of 40 and 60 mm outside, folded once by 90 degrees, 3 mm thick, radius 3: the blank is 40 + 60 less 2 x 6 mm
    plus the arc of radius 3 + 0.44 x 3 through 90 degrees, 6.79 mm, so 94.79 mm long (worked by hand)."""
    plain = answer(JOB)
    assert plain.vehicle.figures is not None
    bracket = BracketFigures(
        legs_mm=(Figure(value=40.0), Figure(value=60.0)),
        widths_mm=(Figure(value=30.0), Figure(value=30.0)),
        angles_deg=(90.0,),
        radius_mm=Figure(value=3.0),
        thick_mm=Figure(value=3.0),
        neutral=Figure(value=0.44),
    )
    figures = replace(plain.vehicle.figures, brackets={"battery-box": bracket})
    page = bare_book(replace(plain, vehicle=replace(plain.vehicle, figures=figures)))
    assert "flat pattern" not in bare_book(plain)
    assert "battery box on the rear deck, flat pattern" in page
    assert "94.8 mm" in page
