"""What the label on a plant says, when that is no longer the plant's name."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from scionary.book import queries
from scionary.book.fold import fold_plant
from scionary.book.locks import chunks
from scionary.book.models import BenchDay, Cultivar, Event, Graft, Plant
from scionary.book.projection import records_of
from scionary.book.settle import Record, settle
from scionary.book.states import PlantState

_WRITES_A_LABEL = ("grafted", "relabelled")


def label_still_says(plant: Plant) -> str:
    """The name on the label that was written last, where the plant is called otherwise now; empty where it fits or is gone.

    The label says what the book knew when it was written down that there is one.
    """
    return wrong_labels([plant]).get(plant.pk, "")


def wrong_labels(plants: Iterable[Plant]) -> dict[UUID, str]:
    """The name on the label of each plant that is called otherwise now, in the order given."""
    hung = [plant for plant in plants if plant.state not in (Plant.State.DEAD, Plant.State.LEFT)]
    records = records_of([plant.key for plant in hung])
    came_in = _came_in(record.id for found in records.values() for record in found)
    labelled = {plant.pk: _as_labelled(plant.pk, records[plant.key], came_in) for plant in hung}
    wrong = {plant.pk: then for plant in hung if (then := labelled[plant.pk]) is not None and _called(then) != _called(plant)}
    cultivars = Cultivar.objects.in_bulk([then.cultivar_id for then in wrong.values() if then.cultivar_id])
    return {
        ident: Plant(cultivar=cultivars.get(then.cultivar_id) if then.cultivar_id else None, running_number=then.running_number).spoken
        for ident, then in wrong.items()
    }


def wrong_labels_of_day(bench: BenchDay) -> list[tuple[Plant, str]]:
    """The plants of a bench day whose grafts were corrected and whose labels carry another name since, with that name."""
    grafts = dict(Graft.objects.filter(bench=bench).values_list("pk", "plant_id"))
    corrected: set[UUID] = set()
    for chunk in chunks(grafts):
        targets = Event.objects.filter(target__in=chunk).values_list("target", flat=True)
        corrected |= {grafts[target] for target in targets if target}
    if not corrected:
        return []
    plants = [plant for plant in queries.plants().filter(grafts__bench=bench).order_by("code_number", "id") if plant.pk in corrected]
    wrong = wrong_labels(plants)
    return [(plant, wrong[plant.pk]) for plant in dict.fromkeys(plants) if plant.pk in wrong]


def _as_labelled(ident: UUID, records: list[Record], came_in: dict[UUID, datetime]) -> PlantState | None:
    """The plant as the book knew it when its last label was written down."""
    written = [record.id for record in settle(records) if record.kind in _WRITES_A_LABEL]
    if not written:
        return None
    label = max((came_in[ident], ident) for ident in written)[0]
    state, _ = fold_plant(ident, [record for record in records if came_in[record.id] <= label])
    return state


def _called(plant: Plant | PlantState) -> tuple[UUID | None, int | None]:
    return plant.cultivar_id, plant.running_number


def _came_in(events: Iterable[UUID]) -> dict[UUID, datetime]:
    found: dict[UUID, datetime] = {}
    for chunk in chunks(events):
        found |= dict(Event.objects.filter(pk__in=chunk).values_list("id", "recorded_at"))
    return found
