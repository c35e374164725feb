"""The diary: events as the growers wrote them down, in any order, up to the last evening that they got round to it."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from scionary.book.record import NewEvent
from scionary.demo.chance import derived_id


class Diary:
    """Collects events up to `until`; what would come later is not written."""

    def __init__(self, stamp: str, zone: ZoneInfo, until: datetime) -> None:
        self.stamp, self.zone, self.until = stamp, zone, until
        self._events: list[NewEvent] = []
        self._asked = 0

    def at(self, day: date, hour: int, minute: int = 0) -> datetime:
        """A moment of a day at the nursery; minutes may run past the hour."""
        hour, minute = hour + minute // 60, minute % 60
        return datetime(day.year, day.month, day.day, hour, minute, tzinfo=self.zone)

    def write(
        self, kind: str, moment: datetime, subject: str, payload: dict[str, Any] | None = None, *, who: str, device: str = ""
    ) -> None:
        """Write an event down, unless it lies ahead."""
        self._asked += 1
        if moment > self.until:
            return
        ident = derived_id(moment, f"{self.stamp}/{kind}/{subject}/{self._asked}", self._asked)
        self._events.append(NewEvent(kind, moment, (subject,), payload or {}, id=ident, who=who, device=device))

    def correct(
        self, target: NewEvent, moment: datetime, replace: dict[str, Any] | None, *, who: str, device: str = "", note: str = ""
    ) -> None:
        """Correct or undo an event that was written."""
        payload: dict[str, Any] = {"target": str(target.id)}
        if replace:
            payload["replace"] = replace
        if note:
            payload["note"] = note
        self.write("corrected", moment, target.subjects[0], payload, who=who, device=device)

    def events(self) -> list[NewEvent]:
        """All events in order of time."""
        return sorted(self._events, key=lambda event: (event.happened_at, event.id))
