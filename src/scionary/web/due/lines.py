"""A due line as the page shows it: how it is named in a form, and which page it opens."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date

from scionary.answers.due import DueLine
from scionary.web.another_day import AnotherDay

_BUTTONS = {
    "water": "Water is topped up",
    "vent": "The vents are open",
    "check": "Walk the round",
    "firm": "Walk the round",
    "air": "Look at its air",
    "head_back": "All are headed back",
    "untie": "All are untied",
    "in_leaf": "Look at them one by one",
    "again": "Look at the first",
    "label": "All are written again",
    "records": "Look at them",
    "names": "Look at the names",
}


_PAGES = {"in_leaf": "/due/in-leaf/", "names": "/plants/in-leaf/"}


@dataclass(frozen=True)
class ShownLine:
    """A line with its button: it writes the line's event, or opens `address`."""

    line: DueLine
    key: str
    button: str
    address: str
    day: AnotherDay

    @property
    def late(self) -> str:
        days = self.line.late_days
        return "" if days < 1 else "1 day late" if days == 1 else f"{days} days late"


def shown(line: DueLine, today: date, wrong: AnotherDay | None = None) -> ShownLine:
    """`wrong` is the day as it was sent for this line, when it cannot be taken."""
    key = line_key(line)
    day = wrong or AnotherDay(today=today)
    day.auto_id = f"{key}_%s"  # the lines share a page, so each has ids of its own
    button = "The cover is off" if line.step == "vent" and line.what.endswith("take the cover off") else _BUTTONS.get(line.step, "Done")
    return ShownLine(line, key, button, _address(line), day)


def line_key(line: DueLine) -> str:
    """What names a line in a form: the same as long as it is about the same things."""
    about = [str(line.dome.pk)] if line.dome else sorted(str(plant.pk) for plant in line.plants)
    return hashlib.sha256("|".join([line.step, line.rests_on, *about]).encode()).hexdigest()[:24]


def _address(line: DueLine) -> str:
    if line.step in ("check", "firm") and line.dome:
        return f"/domes/{line.dome.pk}/round/"
    if line.dome:
        return f"/domes/{line.dome.pk}/"
    if line.step in _PAGES:
        return _PAGES[line.step]
    return f"/plants/{line.plants[0].pk}/" if line.plants else "/due/kept-aside/"
