"""Job books of the shipped jobs: time after the plan, size, scrolling on a slow phone. Prints a table.

`python tests/bench/bench_book.py [JOB...]`; without the extra `browser` and a Chromium the last columns are left out.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from book.worked import VEHICLES, answer, print_of

RUNS = 5
SLOWER = 6
"""A phone of the middle class against a desktop computer: so many times slower (a guess of common practice)."""
PHONE = {"width": 390, "height": 844}
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
SCROLL = """async () => {
  const gaps = [], tasks = [];
  new PerformanceObserver(l => l.getEntries().forEach(e => tasks.push(e.duration))).observe({type: "longtask"});
  let last = performance.now();
  const frame = () => new Promise(done => requestAnimationFrame(done));
  await frame(); last = performance.now();
  const end = document.documentElement.scrollHeight, step = 700;
  for (let y = 0; y < end; y += step) {
    scrollTo(0, y); await frame();
    const now = performance.now(); gaps.push(now - last); last = now;
  }
  gaps.sort((a, b) => a - b);
  return {frames: gaps.length, middle: gaps[gaps.length >> 1], late: gaps[Math.floor(gaps.length * .99)],
    longest: gaps[gaps.length - 1], task: Math.max(0, ...tasks), tasks: tasks.length};
}"""
TICK = """async () => {
  const frame = () => new Promise(done => requestAnimationFrame(done));
  const box = document.querySelectorAll("[data-tick]")[40];
  box.scrollIntoView(); await frame(); await frame();
  const start = performance.now(); box.click(); await frame(); await frame();
  return performance.now() - start;
}"""


def main(jobs: list[str]) -> None:
    """Print the table; the first run of each is told apart, for it also reads the templates."""
    heads = "frames  middle  99 %  longest  long tasks  longest   tick"
    print(f"{'job':14} {'steps':>6} {'first s':>8} {'median s':>9} {'bytes':>10}   {SLOWER} x slower, ms: {heads}")
    for job in jobs:
        found = answer(job)
        times, page = [], ""
        for _ in range(RUNS):
            start = time.perf_counter()
            page = print_of(job)
            times.append(time.perf_counter() - start)
        told = (len(found.plan.slots), times[0], statistics.median(times), len(page.encode()))
        print("{:14} {:6} {:8.2f} {:9.2f} {:10}".format(job, *told) + _scrolled(page), flush=True)


def _scrolled(text: str) -> str:
    """How it scrolls from top to bottom on a slow phone, a screen a frame, and how long a tick takes to be seen."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    try:
        from playwright.sync_api import sync_playwright  # noqa: PLC0415  # an extra that need not be there
    except ImportError:
        return ""
    if chromium is None:
        return ""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        path = Path(folder) / "book.html"
        path.write_text(text, encoding="utf-8")
        browser = play.chromium.launch(executable_path=chromium, args=FLAGS)
        context: Any = browser.new_context(viewport=PHONE, device_scale_factor=3, is_mobile=True, has_touch=True)
        page = context.new_page()
        context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
        page.goto(path.as_uri())
        seen = page.evaluate(SCROLL)
        tick = page.evaluate(TICK)
        browser.close()
    return (
        f"{'':22}{seen['frames']:6} {seen['middle']:7.0f} {seen['late']:5.0f} {seen['longest']:8.0f} {seen['tasks']:11}"
        f" {seen['task']:8.0f} {tick:6.0f}"
    )


if __name__ == "__main__":
    main(sys.argv[1:] or list(VEHICLES))
