"""What grafts were lost of, as it was written down: the sign seen, and the cause where one was suspected."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from django.db.models import Count

from scionary.book.models import Graft
from scionary.language import mark, say

NOT_SAID = mark("not written down")


@dataclass(frozen=True)
class LossesAnswer:
    """Lost grafts by sign and by suspected cause, the commonest first."""

    lost: int
    signs: list[tuple[str, int]]
    causes: list[tuple[str, int]]

    def to_dict(self) -> dict[str, Any]:
        return asdict(self)


def losses() -> LossesAnswer:
    """Counts of lost grafts; a cause is what somebody suspected, not what was found."""
    lost = Graft.objects.exclude(lost_at=None)
    return LossesAnswer(lost.count(), _by("lost_sign"), _by("lost_cause"))


def _by(column: str) -> list[tuple[str, int]]:
    rows = Graft.objects.exclude(lost_at=None).values_list(column).annotate(n=Count("id")).order_by("-n", column)
    return [(say(name or NOT_SAID), count) for name, count in rows]
