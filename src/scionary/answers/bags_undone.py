"""A bag whose cutting is undone: the plants that were grafted from it are named before, and nothing more is grafted from it after."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from scionary.answers.cuttings import cutting_undone
from scionary.answers.undoing import undone_of
from scionary.answers.words import listed, plural
from scionary.book.models import Event, EventSubject, Graft, ScionBag
from scionary.errors import Refused
from scionary.language import say

_NAMED = 8


@dataclass(frozen=True)
class GraftedFrom:
    """A bag, and what it is to say that it was never cut."""

    bag: ScionBag
    grafts: int
    words: str


def grafted_from(events: Iterable[UUID]) -> list[GraftedFrom]:
    """The bags that these records tell the cutting of and that plants were grafted from."""
    cuts = EventSubject.objects.filter(event__in=list(events), event__kind="scions_cut", subject__key__startswith="bag:")
    bags = ScionBag.objects.filter(pk__in=[key[4:] for key in cuts.values_list("subject_id", flat=True)])
    return [found for bag in bags if (found := _grafted_from(bag)).grafts]


def undone_words(bag: ScionBag | None) -> str:
    """What must be said where a bag is grafted from whose cutting was undone; empty for any other."""
    return say("The cutting of {bag} was undone: it is no bag of this book any more.", bag=bag.name) if bag and cutting_undone(bag) else ""


def undoing_of(bag: ScionBag) -> list[UUID]:
    """What took its cutting back: undone, the bag is one of the book again. Empty where the cutting stands."""
    if not cutting_undone(bag):
        return []
    cuts = Event.objects.filter(kind="scions_cut", subjects__key=bag.key).values_list("pk", flat=True)
    undos = Event.objects.filter(kind="corrected", target__in=list(cuts), payload__replace__isnull=True).values_list("pk", flat=True)
    gone = undone_of([bag.key])
    return [ident for ident in undos if ident not in gone]


def check_cut(bag: ScionBag | None) -> None:
    """Raises `Refused` for a bag whose cutting was undone."""
    if bag is not None and cutting_undone(bag):
        raise Refused(
            say("the cutting of {bag} was undone.", bag=bag.name),
            where="bag",
            remedy=say("Name another bag, or none; or bring the cutting back on the bag's page."),
        )


def _grafted_from(bag: ScionBag) -> GraftedFrom:
    rows = Graft.objects.filter(bag=bag).select_related("plant__cultivar").order_by("plant__cultivar__spoken", "plant__running_number")
    names = [graft.plant.spoken for graft in rows]
    words = say(
        "{grafts} from {bag}: {names}.",
        grafts=plural(len(names), "graft was made", "grafts were made"),
        bag=bag.name,
        names=listed(names, most=_NAMED),
    )
    return GraftedFrom(bag, len(names), words)
