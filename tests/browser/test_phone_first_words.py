"""What a phone says first: what the book has seen today counts, a cultivar is chosen and not guessed, a stranger has one button."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from served import fetch, run, serving
from watched import PHONE, Watched, named_phone


@pytest.fixture
def hand(browser: Browser, tmp_path: Path) -> Iterator[Watched]:
    """A phone on a book of two cultivars, whose first dome was walked in the book today, all but its last plant."""
    before = (date.today() - timedelta(days=20)).isoformat()
    run(tmp_path, "bench", "Blue Fell", "1", "--dome", "Dome 2", "--on", before)
    run(tmp_path, "bench", "Red Tarn", "3", "--dome", "Dome 1", "--on", before)
    for number, sign in ((1, "firm"), (2, "unchanged")):
        run(tmp_path, "round", "Dome 1", f"Red Tarn {number}={sign}")
    with serving(tmp_path) as address:
        fetch(f"{address}/due/")
        with named_phone(browser, address, "Kit's phone") as seen:
            yield seen
            assert seen.errors == []


def test_what_the_book_has_seen_today_is_not_left_to_do(hand: Watched) -> None:
    page = hand.page
    page.get_by_label("Parts").get_by_role("link", name="Rounds").click()
    page.get_by_role("link", name="Dome 1").click()
    expect(page.locator("#main")).to_contain_text("2 of 3 seen")
    expect(page.locator("#next")).to_have_text("Next: Red Tarn 3")
    expect(page.locator("#rest")).to_have_text("All the rest unchanged: 1")
    expect(page.locator("svg .seen-word")).to_have_count(2)
    page.locator("#next").click()
    page.get_by_role("button", name="Firm").click()
    expect(page.locator("#main")).to_contain_text("All 3 are seen")  # and the walk leads to none that another person saw
    page.get_by_label("Parts").get_by_role("link", name="Rounds").click()
    expect(page.get_by_role("link", name="Dome 1")).to_contain_text("3 seen today")


def test_no_cultivar_is_set_that_nobody_chose(hand: Watched) -> None:
    page = hand.page
    page.get_by_label("Parts").get_by_role("link", name="Bench").click()
    expect(page.locator("#set-cultivar")).to_have_value("")
    page.locator("#set-it").click()
    expect(page.locator(".flag", has_text="Choose the cultivar")).to_be_visible()
    expect(page.locator("#next")).to_have_count(0)
    page.locator("#set-cultivar").select_option(label="Red Tarn")
    page.locator("#set-it").click()
    expect(page.locator("#next")).to_contain_text("Red Tarn 4")


def test_a_phone_that_nobody_signed_in_on_has_one_button(browser: Browser, tmp_path: Path) -> None:
    run(tmp_path, "bench", "Red Tarn", "1", "--dome", "Dome 1")
    with serving(tmp_path, SCIONARY_LOGIN="1") as address:
        fetch(f"{address}/hand/")
        context = browser.new_context(viewport=PHONE, has_touch=True)  # type: ignore[arg-type]
        page = context.new_page()
        page.goto(f"{address}/hand/")
        expect(page.locator("#sign-in")).to_be_visible()
        assert page.locator("#main button").count() == 0
        expect(page.locator("#main")).not_to_contain_text("again")
        expect(page.locator("#wait")).to_have_text("not signed in")
        page.locator("#sign-in").click()
        page.wait_for_url("**/account/login/?next=/hand/")
        context.close()
