"""How much shade hung over a dome when: each change of it was written down with its moment, so that a log is held against its own cloth."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from scionary.book.models import Dome, EventSubject

Floats = npt.NDArray[np.float64]
PUT_RIGHT = timedelta(hours=1)  # a change taken up again so soon was a slip of the hand; project default, unsourced


def shade_changes(dome: Dome) -> list[tuple[datetime, float, float]]:
    """Each change of the dome's shade in order: when, from how much and to how much, as shares.

    A shade that was empty before was not written down, not absent; and one that stood for less than an hour never hung.
    """
    edits = EventSubject.objects.filter(subject_id=dome.key, event__kind="edited").order_by("event__happened_at", "event_id")
    found: list[tuple[datetime, float, float]] = []
    for moment, payload in edits.values_list("event__happened_at", "event__payload"):
        before, after = ((payload.get(side) or {}).get("shade_pct") for side in ("before", "after"))
        if before is None or after is None or before == after:
            continue
        if found and moment - found[-1][0] < PUT_RIGHT:
            _, before, _ = found.pop()
            before *= 100.0
        if before != after:
            found.append((moment, before / 100.0, after / 100.0))
    return found


def shade_at(changes: list[tuple[datetime, float, float]], time_s: Floats) -> Floats:
    """The share that hung at each moment; `changes` are some, in order."""
    moments = [moment.timestamp() for moment, _, _ in changes]
    shares = np.array([changes[0][1], *(after for _, _, after in changes)])
    return np.asarray(shares[np.searchsorted(moments, time_s, side="right")])
