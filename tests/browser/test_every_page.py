"""Every page of the demo book: nothing wrong for assistive technology, nothing refused by the policy, nothing wider than the window.

Short form: each page is looked at on a phone or at a desk, light or dark, those in daily use in all four. Long form: SCIONARY_PAGES=all.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from served import environment, fetch, made_once, run, serving
from watched import DESKTOP, PHONE, Watched, watched

TESTS = Path(__file__).parent.parent
ALL = os.environ.get("SCIONARY_PAGES") == "all"
BEYOND = "document.documentElement.scrollWidth - window.innerWidth"
MOVING = """[...document.querySelectorAll('*')].filter(each => { const { transitionDuration, animationDuration } = getComputedStyle(each);
  return parseFloat(transitionDuration) > 0 || parseFloat(animationDuration) > 0; }).map(each => each.outerHTML.slice(0, 80))"""
LOOKS = [(theme, window) for window in (PHONE, DESKTOP) for theme in ("light", "dark")]
DAILY = ["/due/", "/bench/", "/domes/", "/plants/", "/plan/weeks/", "/findings/"]
# Pages that are asked in a way of their own, beside one of each route.
ASKED = [
    "/plants/nameless/?name=tarn&where=Dome+2+place+99&grafted=2026-06-20",
    "/plan/rare/?cultivar=Dew+Gimmer&scions=3&days=2&domes=3&methods=2",
    "/plan/tray/?length=540&width=280&pot=165&shape=round&other=98&cover=180&scion=90&bench_length=3000&bench_width=900",
    "/plan/weeks/?season=2040",
    "/bench/join/?stock=7&scion=3&unit=mm&method=side_veneer",
    "/findings/?factor=dome&stage=firm",
    "/nowhere/",
    "/bench/join/sheet.pdf",
]
REFUSED = {"/nowhere/": 404, "/bench/join/sheet.pdf": 422}


@dataclass(frozen=True)
class Demo:
    """Where it is served, and the addresses of its pages."""

    address: str
    pages: list[str]

    def first(self, begin: str, end: str = "/") -> str:
        """The page of a thing by how its address begins and ends."""
        return next(each for each in self.pages if each.startswith(begin) and each.endswith(end) and each != begin)

    def part(self, at: int) -> list[str]:
        """What is looked at in one of the looks."""
        return self.pages if ALL else list(dict.fromkeys([*DAILY, *self.pages[at :: len(LOOKS)]]))


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Demo]:
    folder = made_once(tmp_path_factory, "full-demo", full_demo)
    pages = [*(folder / "pages.txt").read_text().split(), *ASKED]
    assert {*DAILY} <= {*pages}
    with serving(folder) as address:
        fetch(f"{address}/due/")
        yield Demo(address, pages)


def full_demo(folder: Path) -> None:
    """The demo book with something on every page, and the addresses of its pages."""
    run(folder, "demo")
    if ALL:
        run(folder, "plan", "--solve", "--try", "one more dome")  # else a small plan that was worked out before stands there
    surroundings = environment(folder, DJANGO_SETTINGS_MODULE="scionary.settings", PYTHONPATH=os.pathsep.join(map(str, sys.path[1:])))
    filled = subprocess.run(
        [sys.executable, TESTS / "full_book.py"], env=surroundings, capture_output=True, text=True, timeout=120, check=False
    )
    assert filled.returncode == 0, filled.stderr
    (folder / "pages.txt").write_text(filled.stdout)


def look(seen: Watched, path: str) -> list[str]:
    """What is wrong with a page, in words; a door for what is sent alone is no page."""
    answer = seen.page.goto(f"{seen.address}{path}")
    assert answer is not None
    if answer.status == 405:
        return []
    assert answer.status == REFUSED.get(path, 200), f"{path}: {answer.status}"
    wider = seen.page.evaluate(BEYOND)
    results = Axe().run(seen.page).response["violations"]
    wrong = [f"{path}: {v['id']} ({v['impact']}): {v['nodes'][0]['html'][:120]}" for v in results if v["impact"] in ("serious", "critical")]
    return [*wrong, *([f"{path}: {wider} pixels wider than the window"] if wider > 0 else [])]


def refused(seen: Watched) -> list[str]:
    """What the policy refused and what scripts stumbled on; that a page answers 404, 405 or 422 is told there too."""
    return [each for each in seen.errors if "responded with a status of 4" not in each]


@pytest.mark.slow
@pytest.mark.parametrize(("theme", "window"), LOOKS, ids=[f"{theme}-{window['width']}" for theme, window in LOOKS])
def test_no_page_is_wrong(browser: Browser, demo: Demo, theme: Any, window: Any) -> None:
    context = browser.new_context(viewport=window, color_scheme=theme)
    seen = watched(context, demo.address)
    wrong = [words for path in demo.part(LOOKS.index((theme, window))) for words in look(seen, path)]
    context.close()
    assert [*wrong, *refused(seen)] == []


@pytest.mark.slow
@pytest.mark.skipif(not ALL, reason="the long form: SCIONARY_PAGES=all")
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_with_more_contrast_and_less_motion_nothing_is_wrong_and_nothing_moves(browser: Browser, demo: Demo, theme: Any) -> None:
    context = browser.new_context(viewport=PHONE, color_scheme=theme, contrast="more", reduced_motion="reduce")
    seen = watched(context, demo.address)
    pages = demo.pages if ALL else [*DAILY[:4], demo.first("/domes/", "/round/")]
    wrong = []
    for path in pages:
        wrong += look(seen, path)
        wrong += [f"{path}: moves: {each}" for each in seen.page.evaluate(MOVING)]
    context.close()
    assert wrong == []


@pytest.mark.slow
def test_a_round_can_be_walked_with_the_keyboard(browser: Browser, demo: Demo) -> None:
    context = browser.new_context(viewport=DESKTOP)
    seen = watched(context, demo.address)
    seen.go(demo.first("/domes/", "/round/"))
    first = seen.page.locator(".plant-row").first
    for _ in range(40):
        seen.page.keyboard.press("Tab")
        if seen.page.evaluate("document.activeElement.value") == "firm":
            break
    seen.page.keyboard.press("Enter")
    first.get_by_role("button", name="Undo").wait_for()
    focused = seen.page.evaluate("document.activeElement !== document.body")
    context.close()
    assert focused


@pytest.mark.slow
def test_what_is_said_of_a_very_long_name_stays_within_the_phone(browser: Browser, demo: Demo) -> None:
    context = browser.new_context(viewport=PHONE)
    seen = watched(context, demo.address)
    seen.go("/book/cultivars/new/")
    seen.page.get_by_label("The name said aloud").fill("x" * 60)
    seen.page.get_by_role("button", name="Keep").first.click()
    expect(seen.page.locator(".message").first).to_contain_text("Kept: xxx")
    wider = seen.page.evaluate(BEYOND)
    context.close()
    assert wider <= 0
