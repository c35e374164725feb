"""Which bag of scions is meant: by the code on it, faded or not, or by its name; and how long ago it was cut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from scionary.answers.cuttings import cutting_undone
from scionary.answers.words import plural, short_day
from scionary.book.models import Nursery, ScionBag
from scionary.errors import Refused
from scionary.language import say
from scionary.names import CodeStatus, code_of, grouped, number_of, read_code


@dataclass(frozen=True)
class FoundBag:
    """A bag as an answer shows it; `warning` is what must be said before anyone grafts from it."""

    id: UUID
    name: str
    code: str
    cultivar: str
    tree: str
    cut: str
    warning: str = ""

    @property
    def words(self) -> str:
        """A bag of scions: Red Tarn from the old tree by the gate, cut 31 Jul 2026, 10:30."""
        said = say(
            "A bag of scions: {cultivar}{whence}, {cut}.",
            cultivar=self.cultivar,
            whence=say(" from {tree}", tree=self.tree) if self.tree else "",
            cut=self.cut,
        )
        return f"{self.warning} {said}" if self.warning else said

    def to_dict(self) -> dict[str, Any]:
        return asdict(self) | {"id": str(self.id)}


def find_bag(asked: str, nursery: Nursery) -> FoundBag | None:
    """The bag with this code, read for sure, or with this name; None where there is none."""
    found = _meant(asked)
    return found_bag(found, nursery) if found else None


def bags_with_codes(codes: Iterable[str], nursery: Nursery) -> dict[str, FoundBag]:
    """The bags of whole codes, by these codes."""
    numbers = {number_of(code): code for code in codes}
    rows = ScionBag.objects.select_related("cultivar", "tree").filter(code_number__in=numbers)
    return {numbers[bag.code_number]: found_bag(bag, nursery) for bag in rows if bag.code_number is not None}


def bag_meant(typed: str) -> ScionBag:
    """The bag that a person names by its code or its name; what is none is refused."""
    found = _meant(" ".join(typed.split()))
    if found is None:
        held = ", ".join(ScionBag.objects.filter(retired=False).values_list("name", flat=True)[:5])
        raise Refused(
            say("no bag is called {typed!r}, and none has this code.", typed=typed[:60]),
            where="bag",
            remedy=say("Bags: {bags}.", bags=held or say("none yet")),
        )
    return found


def found_bag(bag: ScionBag, nursery: Nursery) -> FoundBag:
    undone = cutting_undone(bag)
    return FoundBag(
        bag.pk,
        bag.name,
        grouped(code_of(bag.code_number)) if bag.code_number is not None else "",
        bag.cultivar.spoken,
        bag.tree.name if bag.tree else "",
        say("cut {cut_when}", cut_when=cut_when(bag, nursery)) if bag.cut_on else say("when it was cut is not written down"),
        say("CAUTION: its cutting was undone; throw its label away.") if undone else "",
    )


def cut_when(bag: ScionBag, nursery: Nursery) -> str:
    """31 Jul 2026, 10:30: as exactly as it is known; empty where it is not."""
    if bag.cut_at is not None:
        at = bag.cut_at.astimezone(nursery.zone)
        return f"{short_day(at)}, {at:%H:%M}"
    return short_day(bag.cut_on) if bag.cut_on else ""


def cut_ago(bag: ScionBag, nursery: Nursery, now: datetime) -> str:
    """Cut 3 hours ago: the clock of freshness, as exactly as it is known."""
    if bag.cut_at is not None:
        minutes = max(0, round((now - bag.cut_at).total_seconds() / 60))
        if minutes < 60:
            return say("cut just now") if not minutes else say("cut {minutes} ago", minutes=plural(minutes, "minute"))
        return (
            say("cut {hours} ago", hours=plural(minutes // 60, "hour"))
            if minutes < 2880
            else say("cut {days} ago", days=plural(minutes // 1440, "day"))
        )
    if bag.cut_on is None:
        return say("when it was cut is not written down")
    days = (now.astimezone(nursery.zone).date() - bag.cut_on).days
    return say("cut today") if days <= 0 else say("cut {days} ago", days=plural(days, "day"))


def _meant(asked: str) -> ScionBag | None:
    rows = ScionBag.objects.select_related("cultivar", "tree")
    named = rows.filter(name__iexact=asked).first() if asked else None
    if named is not None or not asked:
        return named
    numbers = {number for number in rows.values_list("code_number", flat=True) if number is not None}
    reading = read_code(asked, numbers) if numbers else None
    if reading is None or reading.code is None or reading.status not in (CodeStatus.EXACT, CodeStatus.RECOVERED):
        return None
    return rows.filter(code_number=number_of(reading.code)).first()
