"""A real browser on pages that the program serves from a book of its own."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from served import fetch, serving
from watched import FLAGS, PHONE, Watched, watched


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="module")  # its event loop must be gone before a test of another module opens the book
def browser() -> Iterator[Browser]:
    path = os.environ.get("SCIONARY_BROWSER") or shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.fail("no Chromium was found; install Debian's package chromium, or set SCIONARY_BROWSER to its path")
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """The pages of an empty book in `tmp_path`."""
    with serving(tmp_path) as served:
        fetch(f"{served}/due/")
        yield served


@pytest.fixture
def phone(browser: Browser, address: str) -> Iterator[Watched]:
    """A phone-sized page; at the end nothing may have gone wrong on it."""
    context = browser.new_context(viewport=PHONE, has_touch=True)
    seen = watched(context, address)
    yield seen
    assert seen.errors == []
    context.close()


@pytest.fixture
def phone_without_script(browser: Browser, address: str) -> Iterator[Watched]:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    yield watched(context, address)
    context.close()
