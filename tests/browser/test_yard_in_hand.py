"""Cutting scions with the phone: one bag a tap, however the finger trembles, and not more than the tree gives without a word."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from served import fetch, serving
from watched import AHEAD, PHONE, Watched, later, watched

TWICE = """([x, y]) => { for (const detail of [1, 2]) document.elementFromPoint(x, y).dispatchEvent(
  new MouseEvent('click', { detail, bubbles: true, cancelable: true })) }"""  # sooner than a busy machine sends two taps
CUT = """() => { const {x, y} = document.getElementById('cut').getBoundingClientRect(); return [x + 60, y + 30] }"""


@pytest.fixture
def yard(browser: Browser, tmp_path: Path) -> Iterator[Watched]:
    """A phone at a tree that may still give 13 sticks."""
    with serving(tmp_path) as address:
        fetch(f"{address}/due/")
        context = browser.new_context(viewport=PHONE, has_touch=True)  # type: ignore[arg-type]
        context.add_init_script(AHEAD)
        seen = watched(context, address)
        seen.go("/bench/new/")
        seen.page.get_by_label("Which cultivar?").fill("Red Tarn")
        seen.page.get_by_label("How many are made already?").fill("2")
        seen.page.get_by_text("Dome, stock lot, date and more").click()
        seen.page.get_by_label("Mother tree").fill("the tree by the gate")
        seen.page.get_by_role("button", name="Begin").click()
        seen.page.get_by_text("Red Tarn 2").first.wait_for()
        with closing(sqlite3.connect(tmp_path / "book.sqlite3")) as book, book:
            assert book.execute("UPDATE book_mothertree SET sticks_a_season = 13").rowcount == 1
        seen.take_along("Yard")
        seen.page.get_by_label("Parts").get_by_role("link", name="Yard").click()
        seen.page.get_by_role("link", name="the tree by the gate").click()
        yield seen
        assert seen.errors == []
        context.close()


def cut(folder: Path) -> list[int]:
    """Sticks of each cutting that the book was told."""
    with closing(sqlite3.connect(folder / "book.sqlite3")) as book:
        rows: list[Any] = book.execute("SELECT payload FROM book_event WHERE kind = 'scions_cut' ORDER BY id").fetchall()
    return [json.loads(payload)["sticks"] for (payload,) in rows]


def test_a_double_tap_cuts_one_bag_and_more_than_the_tree_gives_is_asked_about(yard: Watched, tmp_path: Path) -> None:
    page = yard.page
    place = page.evaluate(CUT)
    page.evaluate(TWICE, place)
    expect(page.locator(".label-made .spoken").first).to_have_text("Red Tarn, 12 sticks")
    for _ in range(3):  # a heavy finger in the same place meets the bag, which says what to write on it, and nothing is written
        later(page)
        page.touchscreen.tap(*place)
    expect(page.locator("#cut")).to_have_count(0)
    assert len(page.locator(".label-made").all()) == 1
    page.get_by_role("button", name="Another bag from this tree").click()
    expect(page.locator("#cut")).to_have_text("Cut 1 stick")  # no more is offered than is left
    page.get_by_label("Sticks", exact=True).fill("4")
    later(page)
    place = page.evaluate(CUT)
    page.touchscreen.tap(*place)
    expect(page.locator("#asked")).to_contain_text("3 sticks more than it gives in a season")
    expect(page.locator("#cut")).to_have_text("Cut 4 sticks all the same")
    page.touchscreen.tap(*place)  # as part of the same touch: it is not the answer yet
    later(page)
    page.touchscreen.tap(*place)
    expect(page.locator(".label-made .spoken").first).to_have_text("Red Tarn, 4 sticks")
    expect(page.locator("#wait")).to_have_text("all sent", timeout=15_000)
    assert cut(tmp_path) == [12, 4]

    # each of the two can be undone
    expect(page.locator("#cut")).to_have_count(0)
    expect(page.get_by_text("Cut here before")).to_be_visible()
    page.locator("li .quiet", has_text="Undo").click()
    expect(page.get_by_text("Cut here before")).to_have_count(0)
    page.get_by_role("button", name="Undo these 4").click()
    expect(page.locator(".label-made")).to_have_count(0)
    expect(page.locator("#cut")).to_be_visible()
    expect(page.get_by_text("13 sticks left this season")).to_be_visible()


def test_the_phone_lets_go_of_its_own_bag_when_the_book_undoes_it(yard: Watched, tmp_path: Path) -> None:
    page = yard.page
    page.locator("#cut").click()
    expect(page.locator(".label-made .spoken").first).to_have_text("Red Tarn, 12 sticks")  # written; until then all is sent, too
    expect(page.locator("#wait")).to_have_text("all sent", timeout=15_000)
    page.get_by_label("Parts").get_by_role("link", name="Bench").click()
    page.locator("#set-wood").select_option(index=1)
    page.locator("#set-it").click()
    expect(page.locator("#next")).to_be_visible()
    expect(page.locator("#wait")).to_have_text("all sent", timeout=15_000)

    book = page.context.new_page()
    book.goto(f"{yard.address}/bench/yard/")
    book.locator("#bags a.open").first.click()
    book.get_by_role("button", name="It was never cut: undo").click()
    book.get_by_text("Undone.").wait_for()
    book.close()

    page.reload()
    expect(page.get_by_text("no bag of the book any more")).to_be_visible(timeout=15_000)
    page.locator("#next").click()
    expect(page.locator(".label-made .spoken").first).to_have_text("Red Tarn 3")
    expect(page.locator("#wait")).to_have_text("all sent", timeout=15_000)
    page.get_by_label("Parts").get_by_role("link", name="Yard").click()
    expect(page.get_by_text("13 sticks left this season")).to_be_visible()
    expect(page.get_by_text("Cut with this phone")).to_have_count(0)
    with closing(sqlite3.connect(tmp_path / "book.sqlite3")) as written:
        rows = written.execute("SELECT payload FROM book_event WHERE kind = 'grafted' ORDER BY id").fetchall()
    assert ["bag" in json.loads(payload) for (payload,) in rows] == [False, False, False]


def test_a_bag_that_was_grafted_from_is_undone_at_the_second_word_and_the_bench_names_it_no_more(yard: Watched, tmp_path: Path) -> None:
    page = yard.page
    page.locator("#cut").click()
    page.get_by_role("button", name="Undo these 12").wait_for()
    page.get_by_label("Parts").get_by_role("link", name="Bench").click()
    page.locator("#set-wood").select_option(index=1)
    page.locator("#set-it").click()
    page.locator("#next").click()
    expect(page.locator(".label-made .spoken").first).to_have_text("Red Tarn 3")
    page.get_by_label("Parts").get_by_role("link", name="Yard").click()
    page.get_by_role("link", name="the tree by the gate").click()
    undo = page.get_by_role("button", name="Undo these 12")
    undo.click()
    expect(page.locator(".flag", has_text="1 graft made here names this bag")).to_be_visible()
    undo.click()
    expect(undo).to_have_count(0)
    page.get_by_label("Parts").get_by_role("link", name="Bench").click()
    expect(page.get_by_text("no bag of the book any more")).to_be_visible()
    later(page)
    page.locator("#next").click()
    expect(page.locator(".label-made .spoken").first).to_have_text("Red Tarn 4")
    expect(page.locator("#wait")).to_have_text("all sent", timeout=15_000)
    with closing(sqlite3.connect(tmp_path / "book.sqlite3")) as book:
        grafts = [json.loads(payload) for (payload,) in book.execute("SELECT payload FROM book_event WHERE kind = 'grafted' ORDER BY id")]
    assert ["bag" in graft for graft in grafts] == [False, False, True, False]
