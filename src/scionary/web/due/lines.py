"""A due line as the page shows it: how it is named in a form, and which page it opens."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date, timedelta

from scionary.answers.due_lines import DueLine
from scionary.answers.put_off import WEEK
from scionary.book.texts import later
from scionary.language import say
from scionary.web.another_day import AnotherDay

_BUTTONS = {
    "water": later("Water is topped up"),
    "vent": later("The vents are open"),
    "check": later("Walk the round"),
    "firm": later("Walk the round"),
    "look": later("Walk the round"),
    "air": later("Look at its air"),
    "heat": later("Look at its air"),
    "shade": later("Look at the domes"),
    "dry": later("Water is topped up"),
    "head_back": later("All are headed back"),
    "untie": later("All are untied"),
    "in_leaf": later("Look at them one by one"),
    "pot_on": later("All are potted on"),
    "again": later("Look at the first"),
    "label": later("All are written again"),
    "records": later("Look at them"),
    "names": later("Look at the names"),
    "stock": later("Look at the plan"),
    "wood": later("Look at the plan"),
    "cut": later("Go to the yard"),
    "graft": later("Go to the bench"),
    "water_tree": later("They are watered through"),
}


_PAGES = {
    "in_leaf": "/due/in-leaf/",
    "shade": "/domes/",
    "names": "/plants/in-leaf/",
    "stock": "/plan/",
    "wood": "/plan/",
    "cut": "/bench/yard/",
    "graft": "/bench/",
    "water_tree": "/bench/yard/",
}


@dataclass(frozen=True)
class ShownLine:
    """A line with its button: it writes the line's event, or opens `address`."""

    line: DueLine
    key: str
    button: str
    address: str
    day: AnotherDay
    today: date

    @property
    def ask_again(self) -> date:
        """Until when it is put off unless another day is given."""
        return self.today + WEEK

    @property
    def tomorrow(self) -> date:
        return self.today + timedelta(days=1)

    @property
    def may_be_needless(self) -> bool:
        """Records that disagree have to be settled; all else a person may not need."""
        return self.line.step != "records"

    @property
    def late(self) -> str:
        days = self.line.late_days
        return "" if days < 1 else say("1 day late") if days == 1 else say("{days} days late", days=days)


def shown(line: DueLine, today: date, wrong: AnotherDay | None = None) -> ShownLine:
    """`wrong` is the day as it was sent for this line, when it cannot be taken."""
    key = line_key(line)
    day = wrong or AnotherDay(today=today)
    day.auto_id = f"{key}_%s"  # the lines share a page, so each has ids of its own
    return ShownLine(line, key, _button(line), _address(line), day, today)


def line_key(line: DueLine) -> str:
    """What names a line in a form: the same as long as it is about the same things."""
    about = sorted(line.about)
    return hashlib.sha256("|".join([line.step, line.rests_on, *about]).encode()).hexdigest()[:24]


def _button(line: DueLine) -> str:
    if line.cover_off:
        return say("The cover is off")
    closes = line.event is not None and line.event[0] == "vented" and not line.event[1]["open_pct"]
    return say("The vents are closed") if closes else _BUTTONS.get(line.step, say("Done"))


def _address(line: DueLine) -> str:
    if line.step in ("check", "firm", "look") and line.dome:
        return f"/domes/{line.dome.pk}/round/"
    if line.dome:
        return f"/domes/{line.dome.pk}/"
    if line.step in _PAGES:
        return _PAGES[line.step]
    return f"/plants/{line.plants[0].pk}/" if line.plants else "/due/kept-aside/"
