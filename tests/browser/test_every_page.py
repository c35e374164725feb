"""Every page of the demo book: nothing wrong for assistive technology, nothing refused by the policy, nothing wider than the phone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from served import fetch, run, serving
from watched import DESKTOP, PHONE, Watched, watched

BEYOND = "document.documentElement.scrollWidth - window.innerWidth"
PAGES = [
    "/due/",
    "/due/calendar/",
    "/plan/",
    "/bench/",
    "/bench/new/",
    "/bench/standing/",
    "/bench/yard/",
    "/domes/",
    "/domes/new/",
    "/plants/",
    "/plants/photo/",
    "/plants/nameless/",
    "/plants/nameless/?name=tarn&where=Dome+2+place+99&grafted=2026-06-20",
    "/findings/",
    "/findings/difference/",
    "/findings/trials/",
    "/findings/trials/new/",
    "/plan/tray/",
    "/plan/weeks/",
    "/plan/weeks/?season=2040",
    "/plan/weeks/lists/",
    "/plan/rare/",
    "/plan/rare/?cultivar=Dew+Gimmer&scions=3&days=2&domes=3&methods=2",
    "/book/",
    "/book/weather/",
    "/book/weather/windows/",
    "/paper/",
]
DEEPER = [
    "/book/settings/",
    "/book/weather/limits/",
    "/book/import/",
    "/book/methods/",
    "/book/lots/",
    "/book/trees/",
    "/book/cultivars/",
    "/book/names/",
    "/book/phones/",
]
FIRST_OF = {
    "/domes/": r"/domes/[0-9a-f-]{36}/",
    "/plants/": r"/plants/[0-9a-f-]{36}/",
    "/bench/": r"/bench/[0-9a-f-]{36}/",
    "/book/methods/": r"/book/methods/[0-9a-f-]{36}/",
    "/findings/trials/": r"/findings/trials/[0-9a-f-]{36}/",
    "/bench/yard/": r"/bench/yard/trees/[0-9a-f-]{36}/",
}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder: Path = tmp_path_factory.mktemp("demo")
    run(folder, "demo")
    run(folder, "plan", "--solve", "--try", "one more dome")  # so that the weeks are filled, and another plan stands beside
    with serving(folder) as address:
        fetch(f"{address}/due/")
        yield address


def addresses(demo: str) -> list[str]:
    """The pages by name, and the first dome, round, plant, bench day, method and trial."""
    found = [re.search(pattern, fetch(f"{demo}{page}")[2]) for page, pattern in FIRST_OF.items()]
    assert all(found)
    single = [match[0] for match in found if match]
    shared = [f"/plants/spread/?from={noun}:{single[at].split('/')[-2]}" for noun, at in (("dome", 0), ("plant", 1))]
    shared.append(f"/photos/new/?of=plant:{single[1].split('/')[-2]}")
    return [*PAGES, *DEEPER, *single, *shared, f"{single[0]}round/"]


def look(seen: Watched, path: str) -> list[str]:
    """What is wrong with a page, in words."""
    seen.go(path)
    wider = seen.page.evaluate(BEYOND)
    results = Axe().run(seen.page).response["violations"]
    wrong = [f"{path}: {v['id']} ({v['impact']}): {v['nodes'][0]['html'][:120]}" for v in results if v["impact"] in ("serious", "critical")]
    return [*wrong, *([f"{path}: {wider} pixels wider than the window"] if wider > 0 else [])]


@pytest.mark.slow
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_no_page_is_wrong_on_a_phone(browser: Browser, demo: str, theme: str) -> None:
    context = browser.new_context(viewport=PHONE, color_scheme=theme, bypass_csp=True)  # type: ignore[arg-type] # axe is put into the page
    seen = watched(context, demo)
    wrong = [words for path in addresses(demo) for words in look(seen, path)]
    context.close()
    assert wrong == []


@pytest.mark.slow
def test_no_page_breaks_the_policy_or_the_window_of_a_desktop(browser: Browser, demo: str) -> None:
    context = browser.new_context(viewport=DESKTOP)
    seen = watched(context, demo)
    wider = []
    for path in addresses(demo):
        seen.go(path)
        if seen.page.evaluate(BEYOND) > 0:
            wider.append(path)
    context.close()
    assert (seen.errors, wider) == ([], [])


@pytest.mark.slow
def test_a_round_can_be_walked_with_the_keyboard(browser: Browser, demo: str) -> None:
    context = browser.new_context(viewport=DESKTOP)
    seen = watched(context, demo)
    seen.go(addresses(demo)[-1])
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
def test_what_is_said_of_a_very_long_name_stays_within_the_phone(browser: Browser, demo: str) -> None:
    context = browser.new_context(viewport=PHONE)
    seen = watched(context, demo)
    seen.go("/book/cultivars/new/")
    seen.page.get_by_label("The name said aloud").fill("x" * 60)
    seen.page.get_by_role("button", name="Keep").first.click()
    expect(seen.page.locator(".message").first).to_contain_text("Kept: xxx")
    wider = seen.page.evaluate(BEYOND)
    context.close()
    assert wider <= 0
