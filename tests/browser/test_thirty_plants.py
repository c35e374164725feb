"""A round past thirty plants, on a phone and on a laptop: every tap and every key is counted."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from served import ask, fetch, run, serving
from watched import AHEAD, DESKTOP, PHONE, Watched, later, watched

COUNT = 30
PLACE = "document.querySelector('.plant-row.now [value=firm]').getBoundingClientRect()"


@pytest.fixture
def book(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    grafted = (date.today() - timedelta(days=30)).isoformat()
    run(tmp_path, "bench", "Red Tarn", str(COUNT), "--dome", "Dome 1", "--method", "Side graft, leafy, summer", "--on", grafted)
    with serving(tmp_path) as address:
        fetch(f"{address}/due/")
        yield tmp_path, address


def opened(browser: Browser, address: str, size: dict[str, int]) -> Watched:
    context = browser.new_context(viewport=size, has_touch=size is PHONE)  # type: ignore[arg-type]
    context.add_init_script(AHEAD)
    seen = watched(context, address)
    seen.go("/domes/")
    seen.page.locator("a[href*='/domes/0']").first.click()
    seen.page.get_by_role("link", name="Walk the round").first.click()
    expect(seen.page.locator(".plant-row.now")).to_have_attribute("data-said", "Red Tarn 1")
    return seen


def stands_at(seen: Watched, number: int) -> tuple[float, float]:
    """Where the first button of the plant that is looked at stands, once it is this one."""
    expect(seen.page.locator(".plant-row.now")).to_have_attribute("data-said", f"Red Tarn {number}")
    expect(seen.page.locator("#seen-count")).to_contain_text("seen")
    place: dict[str, Any] = seen.page.evaluate(PLACE)
    return round(place["x"]), round(place["y"])


def states(folder: Path) -> list[str]:
    return [plant["state"] for plant in ask(folder, "round", "Dome 1")["plants"]]


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "laptop"])
def test_thirty_plants_are_thirty_taps_and_a_loss_with_sign_and_cause_three(
    browser: Browser, book: tuple[Path, str], size: dict[str, int]
) -> None:
    folder, address = book
    seen, taps, places = opened(browser, address, size), 0, set()
    now = seen.page.locator(".plant-row.now")

    def tap(name: str) -> None:
        nonlocal taps
        later(seen.page)
        now.get_by_role("button", name=name).first.click()
        taps += 1

    for number in range(1, 29):  # one tap a plant, and the next one stands where this one stood
        places.add(stands_at(seen, number))
        tap("Firm")
    across, down = ({place[axis] for place in places} for axis in (0, 1))
    assert len(across) == 1
    assert max(down) - min(down) <= 2  # a page scrolls by parts of a pixel
    assert max(down) < size["height"] - 200

    stands_at(seen, 29)
    tap("Lost")
    for words in ("Dried up", "Too dry"):
        tap(words)
        expect(now).to_contain_text(words.lower())
    seen.page.locator("#next").click()
    stands_at(seen, 30)
    now.get_by_text("More signs").click()
    tap("Stalk drops")
    expect(seen.page.locator("#seen-count")).to_contain_text(f"All {COUNT} seen", timeout=30_000)
    assert taps == 32  # and two taps beside them: Next after the loss, More signs for the stalk
    assert states(folder).count("alive") == 28
    assert states(folder).count("dead") == 1
    assert seen.errors == []


def test_on_a_laptop_the_keys_that_stand_on_the_buttons_walk_the_round(browser: Browser, book: tuple[Path, str]) -> None:
    folder, address = book
    seen = opened(browser, address, DESKTOP)
    expect(seen.page.locator(".plant-row.now kbd", has_text="F").first).to_be_visible()
    for number, key in ((1, "f"), (2, "f"), (3, "n"), (4, "f")):
        stands_at(seen, number)
        seen.page.keyboard.press(key)
    stands_at(seen, 5)
    seen.page.keyboard.press("z")  # the last tap was a slip
    expect(seen.page.locator("#seen-count")).to_contain_text("3 of 30")
    stands_at(seen, 4)
    seen.page.keyboard.press("d")  # a sign behind the fold has its key too, and does not lead on
    expect(seen.page.locator(".plant-row.now")).to_contain_text("Now: stalk drop")
    seen.page.keyboard.press("ArrowRight")
    stands_at(seen, 5)
    seen.page.keyboard.press("ArrowLeft")
    stands_at(seen, 4)
    seen.page.get_by_role("button", name="Water is topped up").click()  # and back on the round, which goes on where it was
    expect(seen.page.locator("#next")).to_contain_text("Next: Red Tarn 5")
    seen.page.keyboard.press("ArrowRight")
    stands_at(seen, 5)
    assert states(folder).count("alive") == 2
    assert seen.errors == []


def test_a_label_typed_jumps_to_its_plant_and_the_rest_is_one_tap(browser: Browser, book: tuple[Path, str]) -> None:
    folder, address = book
    seen = opened(browser, address, PHONE)
    code = ask(folder, "find", "Red Tarn 17")["plants"][0]["code"]
    seen.page.get_by_text("Find a plant here by its label").click()
    seen.page.get_by_label("Code, or name and number, or place").fill(code)
    seen.page.keyboard.press("Enter")
    stands_at(seen, 17)
    seen.page.locator(".plant-row.now").get_by_role("button", name="Firm").click()
    stands_at(seen, 18)
    later(seen.page)
    seen.page.get_by_role("button", name="All the rest unchanged").click()
    seen.page.wait_for_url("**/domes/*/")
    assert states(folder).count("alive") == 1
    assert ask(folder, "round", "Dome 1")["standing"] == COUNT
    assert seen.errors == []
