"""The verdict on the morning stands on the phone in the yard, without a signal too, and for its own day alone."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser, expect

from served import fetch, serving
from watched import PHONE, watched

ANSWERS = """async path => { const page = new DOMParser().parseFromString(await (await fetch(path)).text(), 'text/html');
  const body = new URLSearchParams({stage: 'ripe', soaked: 'yes', firm_at_dawn: 'yes', leaves_dry: 'yes',
    csrfmiddlewaretoken: page.querySelector('[name=csrfmiddlewaretoken]').value});
  return (await fetch(`${path}seen/`, {method: 'POST', body, redirect: 'manual'})).type; }"""
OTHER_DAY = """import('/static/scionary/hand/morning.js').then(({ morning, verdict }) => {
  const tree = { morning: { day: '2001-01-01', rating: 'good', words: 'good', why: 'Leaves were firm.', better: '' } };
  return [verdict(tree), morning(tree).textContent]; })"""
BEYOND = "document.documentElement.scrollWidth - window.innerWidth"


def test_the_verdict_is_shown_with_its_reason_offline_too_and_never_for_another_day(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path) as address:
        fetch(f"{address}/due/")
        context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
        seen = watched(context, address)
        page = seen.page
        seen.go("/bench/new/")
        page.get_by_label("Which cultivar?").fill("Red Tarn")
        page.get_by_text("Dome, stock lot, date and more").click()
        page.get_by_label("Mother tree").fill("the tree by the gate")
        page.get_by_role("button", name="Begin").click()
        seen.take_along("Yard")
        page.get_by_label("Parts").get_by_role("link", name="Yard").click()
        way = page.get_by_role("link", name="the tree by the gate")
        expect(page.locator(".verdict")).to_have_count(0)  # no weather, no answer: nothing is said
        tree = str(way.get_attribute("href")).rpartition("/")[2]
        assert page.evaluate(ANSWERS, f"/bench/yard/trees/{tree}/") == "opaqueredirect"
        page.reload()
        expect(way.locator(".verdict.living")).to_have_text("good")
        context.set_offline(True)
        way.click()
        expect(page.locator("#morning")).to_have_text("Is this a morning to cut? good")
        expect(page.get_by_text("Leaves were firm at dawn.")).to_be_visible()
        assert page.evaluate(BEYOND) <= 0
        shown, words = page.evaluate(OTHER_DAY)
        assert (shown, words[:50]) == (None, "What the book said of the morning was for another ")
        context.close()
