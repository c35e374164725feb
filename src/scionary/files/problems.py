"""What could not be read in a file: the place, the text, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scionary.language import say

_NAMED = 8


@dataclass(frozen=True)
class Problem:
    """One place in a file that was left out or read with doubt; `line` counts from 1 as an editor does."""

    line: int
    column: str
    text: str
    what: str


class ProblemList:
    """Problems in the order found; of each kind only the first `shown` are kept, all are counted."""

    def __init__(self, shown: int = 20) -> None:
        self.shown = shown
        self.kept: list[Problem] = []
        self.counts: dict[str, int] = {}

    def add(self, line: int, column: str, text: str, what: str) -> None:
        """Count a problem and keep it if few of its kind were kept before."""
        self.counts[what] = self.counts.get(what, 0) + 1
        if self.counts[what] <= self.shown:
            self.kept.append(Problem(line, column, text[:80], what))


def unread_words(columns: Sequence[str]) -> str:
    """Columns not read: rh_pct, battery; empty where all were read."""
    if not columns:
        return ""
    more = say(" and {count} more", count=len(columns) - _NAMED) if len(columns) > _NAMED else ""
    return say("Columns not read: {listed}{more}.", listed=", ".join(columns[:_NAMED]), more=more)
