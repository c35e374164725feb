"""The smallest season: an empty book, three grafts in one dome, only their day typed besides, on a phone."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path

from scionary.names import read_code
from served import ask
from watched import Watched

GRAFTED = date.today() - timedelta(days=22)  # long enough ago that firm counts, with dates still to come


def begin(phone: Watched) -> None:
    phone.go("/")
    phone.tap("Write down your first grafts")
    phone.page.get_by_label("Which cultivar?").fill("Red Tarn")
    phone.page.get_by_label("How many are made already?").fill("3")
    phone.page.get_by_text("Dome, stock lot, date and more").click()
    phone.page.get_by_label("Grafted on").fill(GRAFTED.isoformat())
    phone.tap("Begin")


def test_three_grafts_are_worth_having(phone: Watched, tmp_path: Path) -> None:
    begin(phone)
    # a name to say and a code to write for each
    said = phone.text()
    assert all(f"Red Tarn {i}" in said for i in (1, 2, 3))
    codes = [re.sub(r"\s", "", text) for text in phone.page.locator(".code").all_inner_texts()]
    assert {read_code(code).status for code in codes} == {"exact"}
    assert len(set(codes)) == 3

    # the dates with their reasons, and a card to hang on the dome
    phone.tap("dates and card")
    dome = phone.text()
    assert "Look in: water, mould, fallen leaf stalks" in dome
    assert "Mould and drying out show in the first weeks." in dome
    assert "Open the vents a third" in dome
    assert "between" in dome  # how many are likely alive, with its range
    card = phone.page.locator("form").filter(has_text="Print the dome card")
    token = {"csrfmiddlewaretoken": card.locator("[name=csrfmiddlewaretoken]").get_attribute("value") or ""}
    printed = phone.page.request.post(f"{phone.address}{card.get_attribute('action')}", form=token, headers={"Referer": phone.address})
    assert "Open the paper to print it" in printed.text()
    assert phone.page.request.get(f"{printed.url.split('?')[0]}sheet.pdf").body().startswith(b"%PDF")

    # a check of three taps
    phone.tap("Walk the round")
    taps = 0
    for plant, sign in ((1, "Firm"), (2, "Firm"), (3, "Lost")):
        row = phone.page.locator(".plant-row").filter(has_text=f"Red Tarn {plant}")
        row.get_by_role("button", name=sign, exact=True).click()
        taps += 1
        phone.page.wait_for_load_state("networkidle")
        row.get_by_role("button", name="Undo").wait_for()
        phone.page.wait_for_timeout(400)  # a tap as the next plant comes up would be for none that was seen
    assert taps == 3

    # an honest chance, the same in the terminal
    phone.go("/findings/")
    assert "2 of 3, and that says little: 21 to 94 %." in phone.text()
    assert ask(tmp_path, "findings", "--stage", "firm")["sentence"] == "2 of 3, and that says little: 21 to 94 %."


def test_it_works_without_script(phone_without_script: Watched, tmp_path: Path) -> None:
    phone = phone_without_script
    begin(phone)
    phone.tap("Next graft: Red Tarn 4")
    assert "Red Tarn 4" in phone.text()
    phone.tap("Undo Red Tarn 4")
    phone.tap("dates and card")
    phone.tap("Walk the round")
    phone.page.get_by_role("button", name="Firm").first.click()
    assert ask(tmp_path, "round", "Dome 1")["alive"]["low"] >= 1
    assert len(ask(tmp_path, "round", "Dome 1")["plants"]) == 3
