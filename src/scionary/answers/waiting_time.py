"""How long somebody waits for a plan: all of its steps share the seconds that were given, and what had no time is told."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic


class Wait:
    """The wait that was asked for, from now on; without seconds it has no end. `left_out` is what there was no time for."""

    def __init__(self, seconds: float | None = None, *, clock: Callable[[], float] = monotonic) -> None:
        self._clock, self._begun, self._seconds = clock, clock(), seconds
        self.left_out: list[str] = []

    @property
    def has_end(self) -> bool:
        return self._seconds is not None

    def left(self, share: float = 1.0) -> float | None:
        """Seconds until this share of the wait is over, never quite none; None without an end."""
        return None if self._seconds is None else max(share * self._seconds - self.spent, 1e-6)

    def over(self, share: float = 1.0) -> bool:
        """Whether this share of it is over."""
        return self._seconds is not None and self.spent >= share * self._seconds

    @property
    def spent(self) -> float:
        return self._clock() - self._begun

    def leave_out(self, what: str) -> None:
        """Note what there was no time for."""
        if what not in self.left_out:
            self.left_out.append(what)

    def has_room(self, what: str) -> bool:
        """Whether half as long as was waited already is still left; else what had to be done is left out."""
        room = self._seconds is None or self._seconds - self.spent >= self.spent / 2
        if not room:
            self.leave_out(what)
        return room
