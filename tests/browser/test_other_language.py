"""The page for the hand in a language that nobody speaks: no text of its own is left in English, and a longer one has room."""

from __future__ import annotations

import calendar
import os
import re
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from pseudo import CLOSE, OPEN, longer, untranslated, write_pseudo_language
from served import environment, fetch, serving
from watched import PHONE

TESTS = Path(__file__).parent.parent
# Names of months as the browser gives them, signs of units, the program's name.
KNOWN = frozenset([*calendar.month_abbr, "mm", "Scionary", "AM", "PM"])
CODE = re.compile(r"\b[A-Z0-9]{3} [A-Z0-9]{4}\b")
WORKER = "navigator.serviceWorker.ready.then(() => document.documentElement.dataset.words)"
BEYOND = "document.documentElement.scrollWidth - window.innerWidth"
UNFOLD = "document.querySelectorAll('details:not([open])').forEach(each => { each.open = true; })"
SPOILT = """new Promise(done => { const open = indexedDB.open('scionary-hand'); open.onsuccess = () => {
  const list = open.result.transaction('waiting', 'readwrite').objectStore('waiting'); const all = list.getAll();
  all.onsuccess = () => { const entry = all.result.find(each => each.event.kind === 'scions_cut'); entry.event.payload.care = '7';
    list.put(entry).onsuccess = done; }; }; })"""
IN_ENGLISH = "() => import('/static/scionary/hand/say.js').then(({ say }) => say('All is sent.'))"


@pytest.fixture
def page(browser: Browser, tmp_path: Path) -> Iterator[Page]:
    """A phone on a book in other letters, read in the pseudo-language."""
    write_pseudo_language(tmp_path, longer)
    told = {"DJANGO_SETTINGS_MODULE": "pseudo_settings", "PYTHONPATH": os.pathsep.join(map(str, (TESTS, TESTS.parent / "tools")))}
    plain = {**environment(tmp_path), **told, "DJANGO_SETTINGS_MODULE": "scionary.settings"}
    subprocess.run([sys.executable, TESTS / "pseudo_book.py"], env=plain, check=True, timeout=60)
    with serving(tmp_path, **told) as address:
        fetch(f"{address}/hand/", patience_s=60)
        context = browser.new_context(viewport=PHONE, has_touch=True, base_url=address)  # type: ignore[arg-type]
        yield context.new_page()
        context.close()


def wrong(page: Page) -> list[str]:
    """What stands there in English, and what is wider than the phone."""
    page.evaluate(UNFOLD)
    page.wait_for_timeout(50)  # what a fold draws as it opens
    words = [f"{page.url}: {words}" for words in untranslated(CODE.sub("", page.content()), KNOWN)]
    wider = page.evaluate(BEYOND)
    return [*words, *([f"{page.url}: {wider} pixels too wide"] if wider > 0 else [])]


def part(page: Page, name: str) -> None:
    page.locator(f"#parts [data-part={name}]").click()


def test_a_day_without_signal_has_no_word_of_another_language(page: Page, tmp_path: Path) -> None:
    page.goto("/hand/")
    left = wrong(page)
    page.locator("#phone-name").fill("φωνη")
    page.locator("#join").click()
    expect(page.locator("ul.lines")).to_be_visible(timeout=20_000)
    assert page.evaluate(WORKER)
    left += wrong(page)
    page.context.set_offline(True)
    page.reload()
    part(page, "bench")
    left += wrong(page)
    page.locator("#set-it").click()
    for name in ("#next", "#changed", "#disinfected"):
        page.locator(name).click()
        page.wait_for_timeout(360)
    left += wrong(page)
    part(page, "rounds")
    left += wrong(page)
    page.locator("a.open").first.click()
    left += wrong(page)
    page.locator("#watered").click()
    page.locator("#next").click()
    page.locator("#sign-bud").click()
    page.wait_for_timeout(360)
    page.locator("#sign-firm").click()
    page.locator("#undo").wait_for()
    page.wait_for_timeout(360)
    page.locator("#sign-lost").click()
    page.locator("#lost-sign").select_option(index=1)
    left += wrong(page)
    part(page, "yard")
    left += wrong(page)
    page.locator("a.open").first.click()
    page.locator("#cut").click()
    page.locator(".label-made").wait_for()
    left += wrong(page)
    part(page, "waiting")
    left += wrong(page)
    page.evaluate(SPOILT)  # so that the book refuses it
    page.context.set_offline(False)
    page.locator("#send").click()
    expect(page.locator("#send")).to_have_count(0, timeout=20_000)
    left += wrong(page)
    with closing(sqlite3.connect(tmp_path / "book.sqlite3", timeout=10)) as book, book:
        book.execute("UPDATE book_device SET ended_at = '2026-01-01 00:00:00'")
    page.reload()
    part(page, "rounds")
    page.locator("a.open").first.click()
    with page.expect_response(lambda answer: answer.status == 401):
        page.locator("#watered").click()
    page.wait_for_timeout(500)
    left += wrong(page)
    part(page, "waiting")
    left += wrong(page)
    assert left == []
    assert page.locator("#wait").inner_text().startswith(OPEN)
    assert page.evaluate(IN_ENGLISH).endswith(CLOSE)
    page.goto("/plants/")  # scripts of the book's own pages read the same catalogue
    assert page.locator(".camera button").first.inner_text().startswith(OPEN)
