"""A walk past ten plants: the next stands where the last stood, a finger that trembles writes nothing on a plant that nobody looked at."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Route, expect

from served import fetch, run, serving
from watched import AHEAD, DESKTOP, PHONE, Watched, later, watched

COUNT = 10
FIRM = """() => { const {x, y, width, height} = document.querySelector('.plant-row.now [value=firm]').getBoundingClientRect();
  return [x + width / 2, y + height / 2] }"""
SEEN = "[...document.querySelectorAll('.plant-row')].map(row => row.querySelector('button.chosen')?.value ?? '')"
Opened = Callable[..., Watched]


@pytest.fixture(scope="module")
def nursery(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, str]]:
    """A book with a dome of ten plants for each test."""
    folder = tmp_path_factory.mktemp("walk")
    grafted = (date.today() - timedelta(days=30)).isoformat()
    for dome in range(1, 7):
        run(folder, "bench", "Red Tarn", str(COUNT), "--dome", f"Dome {dome}", "--on", grafted)
    with serving(folder) as address:
        fetch(f"{address}/due/")
        yield folder, address


@pytest.fixture
def opened(browser: Browser, nursery: tuple[Path, str]) -> Iterator[Opened]:
    contexts: list[BrowserContext] = []

    def open_round(dome: int, size: dict[str, int]) -> Watched:
        context = browser.new_context(viewport=size, has_touch=size is PHONE)  # type: ignore[arg-type]
        context.add_init_script(AHEAD)
        contexts.append(context)
        seen = watched(context, nursery[1])
        seen.go("/domes/")
        seen.page.get_by_role("link", name=f"Dome {dome}").first.click()
        seen.page.get_by_role("link", name="Walk the round").first.click()
        expect(seen.page.locator(".plant-row.now")).to_have_count(1)
        return seen

    yield open_round
    for context in contexts:
        context.close()


def came_to(seen: Watched, number: int) -> None:
    name = seen.page.locator(".plant-row").nth(number - 1).get_attribute("data-said")
    expect(seen.page.locator(".plant-row.now")).to_have_attribute("data-said", str(name))


# A tap, one more while the first is on its way, and one as the next plant comes up, sooner than a busy machine sends them.
THRICE = """([x, y]) => new Promise((done) => {
  const tap = () => document.elementFromPoint(x, y).dispatchEvent(new MouseEvent('click', { detail: 1, bubbles: true, cancelable: true }));
  const first = document.querySelector('.plant-row.now').id;
  const wait = () => {
    if (document.querySelector('.plant-row.now').id === first) return requestAnimationFrame(wait);
    tap();
    return done();
  };
  tap();
  tap();
  wait();
})"""


def written(seen: Watched) -> list[str]:
    found: list[str] = seen.page.evaluate(SEEN)
    return found


def slow(seconds: float) -> Callable[[Route], None]:
    """A book that takes its time to answer what is tapped."""

    def answer(route: Route) -> None:
        if route.request.method == "POST":
            time.sleep(seconds)
        route.continue_()

    return answer


def test_taps_in_one_place_go_plant_by_plant_from_the_first_to_the_last_and_write_nothing_more(opened: Opened) -> None:
    seen = opened(1, PHONE)
    x, y = seen.page.evaluate(FIRM)
    for number in range(1, COUNT + 1):
        came_to(seen, number)
        assert seen.page.evaluate(FIRM) == pytest.approx([x, y], abs=1)
        later(seen.page)
        seen.page.touchscreen.tap(x, y)
        expect(seen.page.locator("#seen-count")).to_contain_text(f"{number} of" if number < COUNT else "All 10 seen")
    expect(seen.page.locator(".plant-row [name=saw].chosen")).to_have_count(COUNT)
    assert written(seen) == ["firm"] * COUNT
    assert seen.page.evaluate(FIRM) == pytest.approx([x, y], abs=1)  # and it stays at the last one
    later(seen.page)
    seen.page.touchscreen.tap(x, y)
    expect(seen.page.locator("#walk-word")).to_contain_text("Firm is written down already")
    expect(seen.page.get_by_role("button", name="All the rest unchanged")).to_be_hidden()
    expect(seen.page.locator("#next")).to_have_text("Back to Dome 1→")  # the way out is the large button
    seen.page.locator("#next").tap()
    seen.page.wait_for_url("**/domes/*/")
    assert seen.errors == []


def test_the_first_plants_left_out_come_up_in_the_same_place_after_the_last(opened: Opened) -> None:
    seen = opened(2, PHONE)
    for _ in range(2):
        seen.page.locator("#next").tap()
    came_to(seen, 3)
    for number in [*range(3, COUNT + 1), 1, 2]:
        came_to(seen, number)
        place = seen.page.evaluate(FIRM)
        later(seen.page)
        seen.page.touchscreen.tap(*place)
        if number not in (2, COUNT):
            came_to(seen, number + 1)
            assert seen.page.evaluate(FIRM) == pytest.approx(place, abs=1)
    expect(seen.page.locator("#seen-count")).to_contain_text("All 10 seen")


def test_a_finger_that_touches_twice_writes_once_and_on_a_slow_book_is_told_so(opened: Opened) -> None:
    seen, posts = opened(3, PHONE), []
    seen.page.on("request", lambda request: posts.append(request.url) if request.method == "POST" else None)
    x, y = seen.page.evaluate(FIRM)
    seen.page.evaluate(THRICE, [x, y])
    came_to(seen, 2)
    seen.page.wait_for_timeout(400)
    assert (written(seen), len(posts)) == (["firm"] + [""] * 9, 1)
    later(seen.page)
    seen.page.touchscreen.tap(x, y)
    came_to(seen, 3)
    assert (written(seen)[:3], len(posts)) == (["firm", "firm", ""], 2)
    seen.page.route("**/round/**", slow(0.7))
    for _ in range(2):
        later(seen.page)
        seen.page.touchscreen.tap(x, y)
    expect(seen.page.locator("#walk-word")).to_contain_text("Firm is on its way to the book. Tapped again, it is written once")
    came_to(seen, 4)
    expect(seen.page.locator("#walk-word")).to_contain_text("Firm is written, once")
    assert (written(seen)[:4], len(posts)) == (["firm", "firm", "firm", ""], 3)


def test_keys_typed_while_the_book_is_slow_go_to_the_plants_they_were_meant_for(opened: Opened) -> None:
    seen = opened(4, DESKTOP)
    seen.page.route("**/round/**", slow(0.7))
    for key in "fnx":
        seen.page.keyboard.press(key)
    expect(seen.page.locator("#seen-count")).to_contain_text("3 of 10", timeout=30_000)  # a busy machine may take its time too
    assert written(seen)[:4] == ["firm", "unsure", "lost", ""]
    came_to(seen, 3)  # a loss waits for its sign
    seen.page.keyboard.press("f")
    expect(seen.page.locator("#walk-word")).to_contain_text("Firm instead of lost")


def test_when_the_book_does_not_answer_it_is_said_and_no_later_key_is_written(opened: Opened) -> None:
    seen = opened(5, DESKTOP)

    def lose(route: Route) -> None:
        time.sleep(0.5)
        route.abort()

    seen.page.route("**/round/**", lose)
    seen.page.evaluate("for (const key of 'fn') document.body.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true}))")
    expect(seen.page.locator("#walk-word")).to_contain_text("Firm was not written down, nor what came after it")
    came_to(seen, 1)
    seen.page.unroute("**/round/**")
    seen.page.keyboard.press("f")
    came_to(seen, 2)
    assert written(seen)[:2] == ["firm", ""]


def test_the_first_key_leads_to_a_plant_out_of_sight_and_the_second_writes(opened: Opened) -> None:
    seen = opened(6, DESKTOP)
    for number in range(1, 8):
        came_to(seen, number)
        seen.page.keyboard.press("f")
    came_to(seen, 8)
    seen.page.reload()
    came_to(seen, 8)
    seen.page.keyboard.press("f")
    seen.page.wait_for_timeout(300)
    assert written(seen)[7] == ""
    seen.page.keyboard.press("f")
    expect(seen.page.locator("#seen-count")).to_contain_text("8 of 10")
