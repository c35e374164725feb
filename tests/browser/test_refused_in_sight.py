"""What is refused is said where it is seen, and nothing that was typed is lost."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from served import ask, fetch, run, serving
from watched import PHONE, watched

LIMITS = {"SCIONARY_LIMIT_FILE_BYTES": "600000", "SCIONARY_LIMIT_PHOTO_BYTES": "500000", "SCIONARY_LIMIT_FORM_BYTES": "100000"}
HUGE = {
    "name": "IMG_1.jpg",
    "mimeType": "image/jpeg",
    "buffer": b"\xff\xd8\xff\xe0" + bytes(1_500_000),
}  # longer than any file that is read


@pytest.fixture
def book(tmp_path: Path) -> Iterator[str]:
    run(tmp_path, "bench", "Red Tarn", "1", "--dome", "Dome 1")
    run(tmp_path, "bench", "Blue Fell", "1", "--dome", "Dome 1")
    with serving(tmp_path, **LIMITS) as address:
        fetch(f"{address}/due/")
        yield address


def send_huge(page: Page, address: str, plant: str) -> None:
    page.goto(f"{address}/photos/new/?of=plant:{plant}")
    page.locator("#chosen").set_input_files(HUGE)  # type: ignore[arg-type]
    page.get_by_label("What does it show?").fill("bud scales part")
    page.get_by_role("button", name="Keep the photo").click()


def test_a_photo_far_over_the_size_is_refused_in_words_and_its_note_stays(browser: Browser, book: str, tmp_path: Path) -> None:
    plant = ask(tmp_path, "find", "Red Tarn 1")["plants"][0]["id"]
    for script, words in ((True, "This photo has 2 MB"), (False, "1.5 MB")):  # before it is sent; and by the page, without script
        context = browser.new_context(viewport=PHONE, java_script_enabled=script)  # type: ignore[arg-type]
        page = context.new_page()
        send_huge(page, book, plant)
        expect(page.locator(".errorlist", has_text=words).first).to_be_visible()
        expect(page.get_by_label("What does it show?")).to_have_value("bud scales part")
        context.close()


def test_a_bag_that_is_none_is_told_at_the_top_of_the_bench_form(browser: Browser, book: str) -> None:
    context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
    seen = watched(context, book)
    seen.go("/bench/new/")
    seen.page.get_by_label("Which cultivar?").fill("Red Tarn")
    seen.page.get_by_text("Dome, stock lot, date and more").click()
    seen.page.get_by_label("Bag of scions").fill("nobody's bag")
    seen.page.get_by_role("button", name="Begin").click()
    alert = seen.page.get_by_role("alert").filter(has_text="Nothing is written yet")
    expect(alert).to_be_in_viewport()
    expect(alert).to_contain_text("bag is called")
    alert.get_by_role("link", name="Bag of scions").click()
    expect(seen.page.get_by_label("Bag of scions")).to_be_in_viewport()
    context.close()
