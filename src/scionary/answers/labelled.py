"""What the label on a plant says, when that is no longer the plant's name."""

from __future__ import annotations

from scionary.book.fold import fold_plant
from scionary.book.models import Cultivar, Event, Plant
from scionary.book.projection import records_of
from scionary.book.settle import settle

_WRITES_A_LABEL = ("grafted", "relabelled")


def label_still_says(plant: Plant) -> str:
    """The name on the label that was written last, where the plant is called otherwise now; empty where it fits or is gone.

    The label says what the book knew when it was written down that there is one.
    """
    if plant.state in (Plant.State.DEAD, Plant.State.LEFT):
        return ""
    records = records_of([plant.key])[plant.key]
    written = [record.id for record in settle(records) if record.kind in _WRITES_A_LABEL]
    label = Event.objects.filter(pk__in=written).order_by("recorded_at", "id").last()
    if label is None:
        return ""
    known = Event.objects.filter(pk__in=[record.id for record in records], recorded_at__lte=label.recorded_at)
    then = set(known.values_list("id", flat=True))
    state, _ = fold_plant(plant.pk, [record for record in records if record.id in then])
    if state is None or (state.cultivar_id, state.running_number) == (plant.cultivar_id, plant.running_number):
        return ""
    cultivar = Cultivar.objects.filter(pk=state.cultivar_id).first() if state.cultivar_id else None
    return Plant(cultivar=cultivar, running_number=state.running_number).spoken
