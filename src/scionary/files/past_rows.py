"""What a row of a grower's own records becomes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from scionary.files.past_counts import Outcome
from scionary.files.past_dates import Precision


@dataclass(frozen=True)
class Look:
    """One look at the grafts of a row: how many had taken, None when that is not known; `stage` None when not said."""

    takes: int | None
    outcome: Outcome
    stage: str | None
    column: str


@dataclass(frozen=True)
class PastRow:
    """Grafts of one cultivar made at one time; missing is neither dead nor alive."""

    row: int
    cultivar: str
    grafts: int
    date: dt.date | None = None
    season: int | None = None  # the year, where it is known
    precision: Precision | None = None
    looks: tuple[Look, ...] = ()
    method: str = ""
    stock_lot: str = ""
    label: str = ""
    place: str = ""
    note: str = ""
    did_you_mean: str | None = None

    @property
    def last_look(self) -> Look | None:
        """The last look that says how many had taken, else the last."""
        known = [look for look in self.looks if look.takes is not None]
        return known[-1] if known else self.looks[-1] if self.looks else None

    @property
    def takes(self) -> int | None:
        """How many had taken at the last look that says so."""
        return self.last_look.takes if self.last_look else None

    @property
    def stage(self) -> str | None:
        """The stage of that look."""
        return self.last_look.stage if self.last_look else None

    @property
    def outcome(self) -> Outcome:
        """Alive when all took, dead when none, some, or unknown."""
        return self.last_look.outcome if self.last_look else "unknown"


@dataclass(frozen=True)
class NotUnderstood:
    """A cell because of which a row is not taken: why, and what to do."""

    row: int
    column: str
    text: str
    why: str
    remedy: str


@dataclass(frozen=True)
class PastRecords:
    """What a table became; `date_orders` are the choices when the dates need one."""

    rows: tuple[PastRow, ...]
    not_understood: tuple[NotUnderstood, ...]
    left_out: tuple[NotUnderstood, ...] = ()  # rows that say nothing, such as totals
    date_orders: tuple[str, ...] = ()
    mapping: Mapping[str, str] = field(default_factory=dict)

    @property
    def grafts(self) -> int:
        """All grafts of the rows that were understood."""
        return sum(row.grafts for row in self.rows)
