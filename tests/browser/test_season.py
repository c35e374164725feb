"""A whole season through the pages, on a phone, from old records to the next plan.

At the end the terminal is asked for the numbers of the same book.
"""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path

from scionary.answers.growing_year import growing_year, in_leaf_date
from served import ask
from watched import Watched

DATA = Path(__file__).parents[1] / "data"
TODAY = date.today()
GRAFTED = TODAY - timedelta(days=900)  # so long ago that its next spring is past, whatever the day
CHECKED = GRAFTED + timedelta(days=31)
IN_LEAF = in_leaf_date(GRAFTED, None, 60)


def take_in_history(phone: Watched) -> None:
    phone.go("/book/import/")
    phone.page.locator("input[type=file]").set_input_files(DATA / "past_counts.xlsx")
    phone.tap("Look at it first")
    assert "Nothing is written yet." in phone.text()
    assert "Not understood: 5 rows" in phone.text()
    phone.page.get_by_label("in leaf the next spring").check()
    phone.page.get_by_label("Leave out the rows that are not understood").check()
    phone.page.get_by_label("a cultivar of its own").check()
    phone.page.get_by_label("it is Side veneer, dormant, winter").check()
    phone.tap("Take it in")
    phone.go("/findings/?stage=in_leaf")
    assert "58 of 78" in phone.text()


def wish_and_plan(phone: Watched, season: int) -> int:
    phone.go(f"/plan/?season={season}")
    phone.page.get_by_label("How many finished plants?").fill("12")
    phone.page.get_by_label("Which cultivar?").fill("Red Tarn")
    phone.page.get_by_text("Season, how sure, by when and more").first.click()
    phone.page.get_by_label("Grafted in the growing year").fill(str(season))
    phone.tap("Wish for it")
    phone.go(f"/plan/?season={season}")
    found = re.search(r"12 Red Tarn, nine years in ten: graft (\d+)\.", phone.text())
    assert found is not None, phone.text()
    return int(found[1])


def bench_day(phone: Watched) -> None:
    phone.go("/bench/")
    phone.page.get_by_label("Which cultivar?").fill("Red Tarn")
    phone.page.get_by_text("Dome, stock lot, date and more").click()
    phone.page.get_by_label("Grafted on").fill(GRAFTED.isoformat())
    phone.page.get_by_label("Stock lot").fill("24-B")
    phone.tap("Begin")
    phone.tap("Next graft: Red Tarn 1", exact=True)
    phone.tap("Next graft: Red Tarn 2", exact=True)
    phone.tap("Undo Red Tarn 2")
    phone.page.get_by_text("Several alike, thickness, label").click()
    phone.page.get_by_label("How many alike?").fill("7")
    phone.tap("Write them down")
    assert "Made here: 8" in phone.text()
    labels = phone.page.get_by_role("link", name="Print the labels").get_attribute("href")
    assert phone.page.request.get(f"{phone.address}{labels}").body().startswith(b"%PDF")


def read_the_logger(phone: Watched) -> None:
    phone.tap("dates and card")
    phone.page.get_by_text("Read a logger's file in", exact=True).click()
    phone.page.locator("input[type=file]").set_input_files(DATA / "loggers" / "dome_1_iso.csv")
    phone.tap("Look at the file")
    assert "40 readings" in phone.text()
    phone.tap("Read it in")
    assert "callus band" in phone.text()


def walk_the_round(phone: Watched, signs: list[str], on: date, *, more: bool = False) -> None:
    phone.go("/domes/")
    phone.page.get_by_role("link", name="Dome 1").first.click()
    phone.tap("Walk the round")
    phone.page.get_by_text("Keying in a paper?").click()
    phone.page.locator("details input:visible").first.fill(on.isoformat())
    phone.tap("Set this day")
    rows = phone.page.locator(".plant-row")
    for i, sign in enumerate(signs):
        row = rows.nth(i)
        if more:
            row.get_by_text("More signs").click()
        row.get_by_role("button", name=sign, exact=True).click()
        row.get_by_role("button", name="Undo").wait_for()
        phone.page.wait_for_timeout(360)  # a tap sooner than that is a double tap


def test_a_season_from_old_records_to_the_next_plan(phone: Watched, tmp_path: Path) -> None:
    year = growing_year(GRAFTED, None)
    take_in_history(phone)
    graft = wish_and_plan(phone, year)
    assert graft > 15  # what dividing by 8 of 10 would say
    phone.tap("Take it to the bench")
    bench_day(phone)
    read_the_logger(phone)

    walk_the_round(phone, ["Firm"] * 6 + ["Lost"] * 2, CHECKED)
    phone.go("/findings/?stage=firm")
    assert "7 of 9" in phone.text()  # with the one past plant, which was in leaf and so firm

    walk_the_round(phone, ["In leaf"] * 5, IN_LEAF, more=True)
    phone.go("/findings/?stage=in_leaf")
    shown = phone.text()
    following = wish_and_plan(phone, year + 2)

    # the terminal says the same of the same book
    leaf = ask(tmp_path, "findings", "--stage", "in_leaf")
    assert (leaf["overall"]["takes"], leaf["overall"]["grafts"]) == (63, 85)
    assert f"{leaf['overall']['takes']} of {leaf['overall']['grafts']}" in shown
    red = next(row for row in leaf["rows"] if row["name"] == "Red Tarn")
    assert f"{red['takes']} of {red['grafts']}" in shown
    [line] = ask(tmp_path, "plan", "--season", str(year + 2))["lines"]
    assert line["grafts"] == following
    assert ask(tmp_path, "findings", "--stage", "firm")["overall"]["grafts"] == 9
