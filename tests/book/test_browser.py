# ruff: noqa: ANN401  # the browser's own types come with an extra that may be absent
"""The job book in a real browser: ticks that stay, no sideways scrolling on a phone, whole steps on paper.

Run with `pytest -n 0 -m browser tests/book`; skips without Chromium or the extra `browser`.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from book.worked import answer, bare_book, facts_of, print_of
from export import nasty

from planner.book import Paper, session_page
from planner.model.steps import step_keys

sync_api = pytest.importorskip("playwright.sync_api", reason="the extra `browser` is not installed")
pdfium = pytest.importorskip("pypdfium2", reason="the extra `browser` is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="the extra `browser` is not installed")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = [pytest.mark.browser, pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed")]
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
JOBS = ("battery-aft", "hung-pedals", "battery", "cooling", "clutch", "gearbox")
ONE_OF_EACH = ("battery-aft", "battery", "clutch")
"""A job of each vehicle."""
ONE_SESSION = "one session of cooling"
PRINTED = ("hung-pedals", "battery", "clutch", ONE_SESSION)
ASKED_OVER = (*(job for job in JOBS if job != "hung-pedals"), ONE_SESSION)
"""For the slow checker of accessibility: `gearbox` is as large."""
LONG_WORDS = "long words"
PHONE = {"width": 390, "height": 844}
EVERY_PAGE = r".*: .*\r?\n|plan [0-9a-f]{12}|\d+ / \d+"
"""Name, plan and number, which stand on empty pages as well."""
POINTS_A_MM = 72.0 / 25.4
SIZES_MM = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}
"""ISO 216 and ANSI Y14.1."""


@lru_cache(maxsize=16)
def page_text(job: str, paper: Paper) -> str:
    if job == LONG_WORDS:
        hostile = nasty.answer()
        vehicle = replace(hostile.vehicle, name="x" * 300)
        points = {i: replace(c, limit="y" * 300) for i, c in hostile.work.checkpoints.items()}
        return bare_book(replace(hostile, vehicle=vehicle, work=replace(hostile.work, checkpoints=points)), paper)
    if job == ONE_SESSION:
        return session_page(facts_of("cooling", paper), 1)
    return print_of(job, paper)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_api.sync_playwright() as play:
        started = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield started
        started.close()


def written(folder: Path, job: str, paper: Paper = Paper.ANY) -> str:
    path = folder / f"{job}.html"
    path.write_text(page_text(job, paper), encoding="utf-8")
    return path.as_uri()


@pytest.fixture
def phone(browser: Any) -> Iterator[Any]:
    context = browser.new_context(viewport=PHONE, accept_downloads=True)
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("request", lambda request: faults.append(request.url) if not request.url.startswith(OWN) else None)
    yield page
    assert faults == []
    context.close()


OWN = ("file:", "blob:")


@pytest.mark.parametrize("job", ONE_OF_EACH)
def test_ticks_and_values_stay_and_come_out_as_lines(phone: Any, tmp_path: Path, job: str) -> None:
    keys = step_keys(answer(job).plan.slots)
    address = written(tmp_path, job)
    phone.goto(address)
    boxes = phone.locator("[data-tick]")
    for number in (0, 3):
        boxes.nth(number).check()
    blank = phone.locator("#checks .blanks").first
    check = blank.get_attribute("data-check")
    blank.locator("[data-field=text]").fill('0,05 "cold"')
    blank.locator("[data-field=by]").fill("AB")
    phone.reload()
    assert [boxes.nth(n).is_checked() for n in range(5)] == [True, False, False, True, False]
    assert f"2 of {len(keys)} steps" in phone.locator("#count").inner_text()
    # The bar leads to the first step that is not ticked, over all that stands before the sessions.
    phone.locator("#next").click()
    step = phone.locator(".step").nth(1)
    assert phone.locator("#next").inner_text() == f"Next: step {step.locator('.nr').inner_text()}"
    top, bar = step.bounding_box()["y"], phone.locator(".top").bounding_box()["height"]
    assert bar <= top < bar + 60
    at_step = phone.locator(f".step .blanks[data-check='{check}'] [data-field=text]")
    assert at_step.first.input_value() == '0,05 "cold"'
    with phone.expect_download() as waiting:
        phone.locator("#ticks-save").click()
    text = Path(waiting.value.path()).read_text(encoding="utf-8")
    phone.locator("#ticks-show").click()
    assert phone.locator("#ticks-text").input_value() == text
    lines = [json.loads(line) for line in text.splitlines()]
    moments = [line.pop("at") for line in lines]
    assert all(re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d", m) for m in moments)
    assert moments == sorted(moments)
    assert lines == [
        {"v": 1, "tick": keys[0]},
        {"v": 1, "tick": keys[3]},
        {"v": 1, "value": check, "text": '0,05 "cold"', "by": "AB"},
    ]
    signs = phone.locator("[data-signs]").first
    signs.check()
    phone.locator("#ticks-show").click()
    told = [json.loads(line) for line in phone.locator("#ticks-text").input_value().splitlines()]
    assert signs.get_attribute("data-tick") in {line.get("tick") for line in told}
    own = phone.locator(f'.step .blanks[data-check="{signs.get_attribute("data-signs")}"]').first
    own.locator("[data-field=text]").fill("1200")
    own.locator("[data-field=by]").fill("AB")
    phone.locator("#ticks-show").click()
    told = [json.loads(line) for line in phone.locator("#ticks-text").input_value().splitlines()]
    assert signs.get_attribute("data-tick") not in {line.get("tick") for line in told}
    assert signs.get_attribute("data-signs") in {line.get("value") for line in told}
    boxes.nth(0).uncheck()
    phone.reload()
    assert not boxes.nth(0).is_checked()


def test_ticks_of_one_plan_are_not_those_of_another(phone: Any, tmp_path: Path) -> None:
    text = page_text(JOBS[0], Paper.ANY)
    path = tmp_path / "book.html"
    path.write_text(text, encoding="utf-8")
    phone.goto(path.as_uri())
    phone.locator("[data-tick]").first.check()
    path.write_text(re.sub(r'(data-book="[^"]*)"', r'\1x"', text), encoding="utf-8")
    phone.reload()
    assert not phone.locator("[data-tick]").first.is_checked()


@pytest.mark.parametrize("job", [*JOBS, LONG_WORDS, ONE_SESSION])
def test_nothing_sticks_out_on_a_phone(phone: Any, tmp_path: Path, job: str) -> None:
    phone.goto(written(tmp_path, job))
    assert phone.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    wide = phone.evaluate(
        """() => [...document.querySelectorAll("main *")]
        .filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest(".sheet, .pair"))
        .map(e => e.outerHTML.slice(0, 80))"""
    )
    assert wide == []
    small = phone.evaluate(
        """() => [...document.querySelectorAll("input, button")].map(e => e.getBoundingClientRect())
        .filter(r => r.width > 0 && (r.width < 44 || r.height < 44)).length"""
    )
    assert small == 0


def test_it_can_be_read_without_script(browser: Any, tmp_path: Path) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(written(tmp_path, JOBS[0]))
    assert page.locator(".step").count() == len(answer(JOBS[0]).plan.slots)
    box = page.locator("[data-tick]").first
    box.check()
    assert box.is_checked()
    assert page.locator("#ticks-box").is_hidden()
    context.close()


@pytest.mark.parametrize("job", ASKED_OVER)
def test_an_accessibility_checker_finds_nothing(phone: Any, tmp_path: Path, job: str) -> None:
    phone.goto(written(tmp_path, job))
    results = axe.Axe().run(phone)
    told = [(v["id"], v["nodes"][0]["html"][:200]) for v in results.response["violations"]]
    assert told == []


def test_a_page_that_is_gone_to_shows_its_heading_below_the_bar(phone: Any, tmp_path: Path) -> None:
    address = written(tmp_path, "battery")
    for place in ("session-2", "checks", "road", "check-3"):
        phone.goto(f"{address}#{place}")
        bar = phone.locator(".top").bounding_box()
        heading = phone.locator(f"#h-{place}").bounding_box()
        assert heading["y"] >= bar["y"] + bar["height"]


WHOLE = ".step, .sheet-check, .label, .slice, .view, .make"
"""What is never split over two pages."""
MARK = """whole => document.querySelectorAll(whole).forEach((e, n) => {
  const put = (at, text) => {
    const mark = document.createElement("span");
    mark.textContent = text;
    mark.style.cssText = "position:absolute;font-size:1px;line-height:1px;color:#000;" + at;
    e.style.position = "relative";
    e.appendChild(mark);
  };
  put("top:0;left:3mm", "\\u2039" + n + "\\u203a");
  put("bottom:1mm;left:3mm", "\\u00ab" + n + "\\u00bb");
})"""


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
@pytest.mark.parametrize("job", PRINTED)
def test_on_paper_no_step_is_split_and_nothing_is_off_the_page(
    browser: Any, tmp_path: Path, job: str, paper: Paper
) -> None:
    page = browser.new_page()
    page.goto(written(tmp_path, job, paper))
    page.evaluate(MARK, WHOLE)
    count = page.locator(WHOLE).count()
    page.pdf(path=tmp_path / "book.pdf", prefer_css_page_size=True)
    page.close()
    document = pdfium.PdfDocument(tmp_path / "book.pdf")
    begins: dict[str, int] = {}
    ends: dict[str, int] = {}
    for index in range(len(document)):
        sheet = document[index]
        assert sorted(sheet.get_size()) == pytest.approx([s * POINTS_A_MM for s in SIZES_MM[paper]], abs=1.0)
        text = sheet.get_textpage()
        told = text.get_text_range()
        assert re.sub(EVERY_PAGE, "", told).strip(), f"page {index + 1} is empty"
        begins |= dict.fromkeys(re.findall("\u2039(\\d+)\u203a", told), index)
        ends |= dict.fromkeys(re.findall("\u00ab(\\d+)\u00bb", told), index)
        for n in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(n)
            assert left >= 0.0, told
            assert bottom >= 0.0, told
            assert right <= sheet.get_width() + 0.5, told
            assert top <= sheet.get_height() + 0.5, told
    document.close()
    assert len(begins) == count
    assert begins == ends


FOLLOWED = """() => [...document.querySelectorAll("main section > h2, main section > h3")].forEach((head, n) => {
  const next = head.nextElementSibling;
  const first = next.matches("p") && next.nextElementSibling ? next.nextElementSibling : next;
  const put = (e, text) => {
    const mark = document.createElement("span");
    mark.textContent = text;
    mark.style.cssText = "font-size:1px;line-height:1px;color:#000";
    e.prepend(mark);
  };
  put(head, "\\u2039" + n + "\\u203a");
  put(first.querySelector("tbody th, td, li, h3, p, figcaption") || first, "\\u00ab" + n + "\\u00bb");
})"""
"""A mark in each heading of the book, and one in what it is the heading of, past a line that introduces it."""


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
@pytest.mark.parametrize("job", ["battery", "clutch"])
def test_on_paper_no_heading_stands_alone_at_the_foot_of_a_page(
    browser: Any, tmp_path: Path, job: str, paper: Paper
) -> None:
    page = browser.new_page()
    page.goto(written(tmp_path, job, paper))
    page.evaluate(FOLLOWED)
    page.pdf(path=tmp_path / "book.pdf", prefer_css_page_size=True)
    page.close()
    document = pdfium.PdfDocument(tmp_path / "book.pdf")
    heads: dict[str, int] = {}
    firsts: dict[str, int] = {}
    for index in range(len(document)):
        told = document[index].get_textpage().get_text_range()
        heads |= dict.fromkeys(re.findall("\u2039(\\d+)\u203a", told), index)
        firsts |= dict.fromkeys(re.findall("\u00ab(\\d+)\u00bb", told), index)
    document.close()
    printed = heads.keys() & firsts.keys()
    assert len(printed) > 20
    assert {n: heads[n] for n in printed} == {n: firsts[n] for n in printed}
