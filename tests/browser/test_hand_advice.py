"""At the phone's bench: how to set this scion on this stock, as soon as both thicknesses are typed and a signal is there."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from served import fetch, run, serving
from watched import PHONE, Watched, named_phone


@pytest.fixture
def hand(browser: Browser, tmp_path: Path) -> Iterator[Watched]:
    """A phone at a bench of today with its method set."""
    run(tmp_path, "bench", "Red Tarn", "1", "--dome", "Dome 1", "--method", "side graft, leafy, summer")
    with serving(tmp_path) as address:
        fetch(f"{address}/due/")
        with named_phone(browser, address, "Kit's phone") as seen:
            seen.page.get_by_label("Parts").get_by_role("link", name="Bench").click()
            seen.page.locator("#set-it").click()
            expect(seen.page.locator("#next")).to_contain_text("Red Tarn 2")
            seen.page.locator("summary", has_text="thickness").click()
            yield seen


def test_two_thicknesses_give_a_line_and_a_drawing_and_none_without_a_signal(hand: Watched) -> None:
    page = hand.page
    page.locator("#stock").fill("7")
    expect(page.locator("#advice")).to_be_empty()
    page.locator("#scion").fill("3")
    expect(page.locator("#advice")).to_contain_text("Stock 7.0 mm, scion 3.0 mm.")
    expect(page.locator("#advice svg")).to_be_visible()
    expect(page.locator("#advice-line")).to_contain_text("Stock 7.0 mm, scion 3.0 mm.")
    page.locator("#next").click()  # the thicknesses stay, and so does the advice
    expect(page.locator("#next")).to_contain_text("Red Tarn 3")
    expect(page.locator("#advice svg")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert hand.errors == []

    page.context.set_offline(True)
    page.locator("#scion").fill("4")
    expect(page.locator("#advice")).to_have_text("How to join them is told where there is a signal.")
    expect(page.locator("#advice-line")).to_be_empty()
    page.locator("#next").click()  # and nothing waits for it
    expect(page.locator("#next")).to_contain_text("Red Tarn 4")
    page.context.set_offline(False)
    page.locator("#scion").fill("4.5")
    expect(page.locator("#advice")).to_contain_text("scion 4.5 mm.")
    page.locator("#scion").fill("9")  # a pair that does not fit is told under the button too, and has no drawing
    expect(page.locator("#advice-line")).to_contain_text("too thick")
    expect(page.locator("#advice svg")).to_have_count(0)
    page.locator("#scion").fill("thin")
    expect(page.locator("#advice")).to_be_empty()
