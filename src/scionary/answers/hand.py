"""What a phone takes along to where no signal reaches: domes as they stand, names to choose from, today's benches, codes for labels."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import Max

from scionary.answers.bench import all_stocks_left
from scionary.answers.cuttings import undone_bags
from scionary.answers.hand_bench import benches
from scionary.answers.hand_domes import domes
from scionary.answers.hand_yard import bags, trees
from scionary.answers.held import held
from scionary.answers.protected import protected_words
from scionary.answers.set_apart import set_apart
from scionary.book import queries
from scionary.book.leases import AHEAD
from scionary.book.models import CodeLease, Cultivar, Device, Event, Method, Nursery, Plant, PotKind, RootstockLot
from scionary.book.phones import codes_at_hand
from scionary.language import say
from scionary.names import code_of

VERSION = 1
_MOST_LABELS = 1_000  # the latest labels printed ahead; a phone need not know those of years


def snapshot(device: Device | None, nursery: Nursery, *, now: datetime) -> dict[str, Any]:
    """All of it as JSON can hold it, without the moment at which it was asked for."""
    today = now.astimezone(nursery.zone).date()
    return {
        "version": VERSION,
        "nursery": {"name": nursery.name, "zone": nursery.time_zone, "length_unit": nursery.length_unit},
        "domes": domes(nursery, today=today),
        "cultivars": _cultivars(today),
        "trees": trees(nursery, today=today),
        "bags": bags(nursery, today=today),
        "bags_undone": [str(ident) for ident in undone_bags(nursery, today=today)],
        "lots": _lots(nursery),
        "methods": _named(Method.objects.filter(retired=False).order_by("name").values_list("pk", "name")),
        "pots_kinds": _named(PotKind.objects.filter(retired=False).values_list("pk", "name")),
        "benches": benches(nursery, today=today),
        "codes": numbered(codes_at_hand(device)) if device else [],
        "labels_ahead": numbered(held("labels_ahead", (queries.stamp(), _issued_ahead()), _labels_ahead)),
    }


def numbered(numbers: Iterable[int]) -> list[dict[str, Any]]:
    """Code numbers, each with the code that a person writes."""
    return [{"number": number, "code": code_of(number)} for number in numbers]


def _named(rows: Iterable[tuple[UUID, str]]) -> list[dict[str, str]]:
    return [{"id": str(ident), "name": name} for ident, name in rows]


def _cultivars(today: date) -> list[dict[str, Any]]:
    following = held("next_numbers", queries.stamp(), _highest_numbers)
    return [
        {
            "id": str(cultivar.pk),
            "spoken": cultivar.spoken,
            "next_number": following.get(cultivar.pk, 0) + 1,
            "protected": protected_words(cultivar, today),
        }
        for cultivar in Cultivar.objects.filter(retired=False)
    ]


def _highest_numbers() -> dict[UUID, int]:
    rows = Plant.objects.exclude(cultivar=None).order_by().values_list("cultivar_id").annotate(highest=Max("running_number"))
    return {cultivar: highest or 0 for cultivar, highest in rows if cultivar}


def _lots(nursery: Nursery) -> list[dict[str, Any]]:
    rows = list(RootstockLot.objects.filter(retired=False))
    left, apart = all_stocks_left(rows), set_apart([lot.key for lot in rows])
    return [
        {
            "id": str(lot.pk),
            "name": lot.name,
            "left": left[lot.pk],
            "caution": " ".join(apart[lot.key].words(say("stock lot {lot}", lot=lot), nursery)) if lot.key in apart else "",
        }
        for lot in rows
    ]


def _issued_ahead() -> tuple[tuple[int, int], ...]:
    """(first, how many) of each run of labels that was printed ahead, the latest runs as far as a phone needs them."""
    rows = CodeLease.objects.filter(device__name=AHEAD, used__gt=0).order_by("-first").values_list("first", "used")
    return tuple(rows[:_MOST_LABELS])


def _labels_ahead() -> list[int]:
    """Numbers on labels printed ahead that no plant was written down with, the graft undone or not."""
    printed = [number for first, used in _issued_ahead() for number in range(first, first + used)][:_MOST_LABELS]
    if not printed:
        return []
    low, high = min(printed), max(printed)
    grafted = Event.objects.filter(kind="grafted", payload__code_number__gte=low, payload__code_number__lte=high)
    taken = set(grafted.values_list("payload__code_number", flat=True))
    taken |= set(Plant.objects.filter(code_number__gte=low, code_number__lte=high).values_list("code_number", flat=True))
    return [number for number in printed if number not in taken]
