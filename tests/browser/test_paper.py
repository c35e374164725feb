"""A round sheet of thirty plants keyed in by keyboard, and every sheet's page without faults for assistive technology."""

from __future__ import annotations

import os
import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from served import ask, fetch, run, serving
from watched import DESKTOP, PHONE, watched

BEYOND = "document.documentElement.scrollWidth - window.innerWidth"
SMALL = """[...document.querySelectorAll("label.tick, main input:not([type=checkbox]):not([type=radio]):not([type=hidden])")].map(
  (each) => [each.textContent || each.name, ...["width", "height"].map((side) => Math.round(each.getBoundingClientRect()[side]))]
).filter(([, width, height]) => Math.min(width, height) < 44)"""
# What the pencil ticked, row by row: the letter that ticks it.
TICKED = ["f", "f", "n", "x", "b", "f", "w", "f", "f", "m"] * 3


BETWEEN = {"width": 900, "height": 800}
LOOKS = [(PHONE, "light"), (PHONE, "dark"), (BETWEEN, "light"), (DESKTOP, "dark"), (BETWEEN, "dark"), (DESKTOP, "light")]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """A book with thirty plants in a dome, a round sheet, a dome card and a bench sheet of it."""
    folder: Path = tmp_path_factory.mktemp("paper")
    run(folder, "bench", "Red Tarn", "30", "--dome", "Dome 1", "--on", "2026-06-01")
    for sheet in (("--round", "Dome 1"), ("--card", "Dome 1"), ("--bench", "12")):
        run(folder, "paper", "print", *sheet, "--out", str(folder / "sheet.pdf"))
    with serving(folder) as address:
        fetch(f"{address}/due/")
        yield address, folder


def codes(folder: Path) -> dict[str, str]:
    return {each["kind"]: each["code"] for each in ask(folder, "paper", "list")}


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["round sheet", "dome card", "bench sheet"])
@pytest.mark.parametrize(("window", "theme"), LOOKS if os.environ.get("SCIONARY_PAGES") == "all" else LOOKS[:4])
def test_no_sheet_is_wrong_in_either_theme(browser: Browser, book: tuple[str, Path], kind: str, theme: str, window: dict[str, int]) -> None:
    address, folder = book
    context = browser.new_context(viewport=window, color_scheme=theme, bypass_csp=True)  # type: ignore[arg-type] # axe is put into the page
    seen = watched(context, address)
    seen.go(f"/paper/{codes(folder)[kind]}/")
    wrong = [each["id"] for each in Axe().run(seen.page).response["violations"] if each["impact"] in ("serious", "critical")]
    wider, small = seen.page.evaluate(BEYOND), seen.page.evaluate(SMALL)
    context.close()
    assert (wrong, max(wider, 0), small) == ([], 0, [])


def test_thirty_plants_are_keyed_in_with_about_two_keys_each(browser: Browser, book: tuple[str, Path]) -> None:
    address, folder = book
    context = browser.new_context(viewport=DESKTOP)
    seen = watched(context, address)
    code = codes(folder)["round sheet"]
    seen.go("/paper/")
    began, keys = time.monotonic(), 0

    def press(key: str) -> None:
        nonlocal keys
        keys += 1
        seen.page.keyboard.press(key)

    seen.page.get_by_label("Code of the sheet").focus()
    for letter in code:
        press(letter)
    with seen.page.expect_navigation():
        press("Enter")
    press("Enter")
    for letter in TICKED:
        press(letter)
        press("Enter")
    press("Enter")  # past the whole dome, on to the button
    with seen.page.expect_navigation():
        press("Enter")
    took = time.monotonic() - began
    text = seen.text()
    context.close()
    assert "30 rows ticked, 0 not looked at" in text
    assert keys == len(code) + 1 + 1 + 2 * 30 + 1 + 1
    assert took < 60  # without the paper to read off
    assert seen.errors == []
    states = [each["state"] for each in ask(folder, "round", "Dome 1")["plants"]]
    assert [states.count(state) for state in ("alive", "dead")] == [TICKED.count("f"), TICKED.count("x")]


def test_arrows_go_from_box_to_box_and_of_two_that_cannot_be_the_last_one_stays(browser: Browser, book: tuple[str, Path]) -> None:
    address, folder = book
    context = browser.new_context(viewport=DESKTOP)
    seen = watched(context, address)
    seen.go(f"/paper/{codes(folder)['dome card']}/")
    page = seen.page
    for key in ("ArrowDown", "ArrowRight", "ArrowDown"):
        page.keyboard.press(key)
    assert page.evaluate("[document.activeElement.name, document.activeElement.value]") == [second_row(page), "unsure"]
    for key in ("f", "x"):
        page.keyboard.press(key)
    ticked = page.evaluate("[...document.querySelectorAll('[data-row] input:checked')].map(({ value }) => value)")
    context.close()
    assert (ticked, seen.errors) == (["lost"], [])


def second_row(page: Page) -> str:
    named = page.locator("[data-row]").nth(1).locator("input").first.get_attribute("name")
    assert named is not None
    assert re.fullmatch(r"r\d+", named)
    return named


def test_without_script_a_sheet_is_a_plain_form(browser: Browser, book: tuple[str, Path]) -> None:
    address, folder = book
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    seen = watched(context, address)
    seen.go(f"/paper/{codes(folder)['bench sheet']}/")
    seen.page.locator("#row-1 input[value=made]").check()
    seen.page.locator("#row-1").get_by_label("Stock thickness").fill("7")
    seen.page.get_by_role("button", name="Write the sheet down").click()
    text = seen.text()
    context.close()
    assert "1 row ticked, 11 not looked at" in text
    assert any(each["name"] == "Red Tarn 31" for each in ask(folder, "round", "Dome 1")["plants"])
