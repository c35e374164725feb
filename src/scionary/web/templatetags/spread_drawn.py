"""The tree of a spread as a picture: rows from top to bottom, each hanging on the thing that it came by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import template

from scionary.answers.spread import Shared, SpreadAnswer, SpreadQuestion
from scionary.answers.spread_tree import Row
from scionary.book.models import Plant

register = template.Library()
_ROW, _INDENT, _LEFT, _WIDTH = 30.0, 16.0, 12.0, 356.0
_DEEPEST = 11  # steps to the right that a phone has room for; deeper rows stand below one another
_LETTER = 8.3  # width of a letter of this size in the widest of the usual system fonts
_STATES: dict[str, str] = {Plant.State.DEAD.value: "dead", Plant.State.LEFT.value: "left", Plant.State.MISSING.value: "doubt"}


@dataclass(frozen=True)
class DrawnRow:
    """One row: its sign, its words, and the line to what it hangs on."""

    x: float
    y: float
    line: str
    shape: str
    state: str
    words: str
    full: str
    address: str

    @property
    def text_x(self) -> float:
        return self.x + 14

    @property
    def baseline(self) -> float:
        return self.y + 4.5


@register.inclusion_tag("drawings/spread.html", name="spread_drawing")
def spread_drawing_tag(rows: Sequence[Row], answer: SpreadAnswer) -> dict[str, Any]:
    """The rows with their places; words too long for a phone are cut, whole under the pointer and in the list."""
    drawn: list[DrawnRow] = []
    for at, row in enumerate(rows):
        x, y = _LEFT + min(row.depth, _DEEPEST) * _INDENT, 16 + at * _ROW
        line = f"M{drawn[row.hangs_on].x} {drawn[row.hangs_on].y + 8}V{y}H{x - 8}" if row.hangs_on >= 0 else ""
        drawn.append(_drawn(row, x, y, line))
    return {"rows": drawn, "width": _WIDTH, "height": 16 + len(rows) * _ROW - 14, "back": answer.question.back, "words": answer.sentence}


def _drawn(row: Row, x: float, y: float, line: str) -> DrawnRow:
    thing = row.thing
    shape = "many" if thing is None else "plant" if thing.noun == "plant" else "tree" if thing.noun in ("tree", "bag", "lot") else "thing"
    state = _STATES.get(thing.plant.state, "living") if thing is not None and thing.plant is not None else "unknown"
    room = int((_WIDTH - x - 18) / _LETTER)
    words = row.words if len(row.words) <= room else f"{row.words[: room - 1].rstrip()}…"
    full = f"{row.words}, {thing.plant.get_state_display()}" if thing is not None and thing.plant is not None else row.words
    return DrawnRow(x, y, line, shape, state, words, full, thing.address if thing is not None else "#plants")


@register.simple_tag
def shared_query(shared: Shared, answer: SpreadAnswer) -> str:
    """The address that asks the same from a thing that was shared."""
    asked = answer.question
    pairs = [("from", shared.thing.key), ("asked", "1"), *((name, value) for name, values in sent(asked) for value in values)]
    return urlencode(pairs)


@register.filter
def sent(question: SpreadQuestion) -> list[tuple[str, list[str]]]:
    """A question as its form sends it."""
    since = question.since.isoformat() if question.since else ""
    return [
        ("ask", [question.ask.value]),
        ("look", ["back" if question.back else "on"]),
        ("by", [way.value for way in question.ways]),
        ("since", [since]),
    ]
