"""The book's plants as `names` indexes them: name, looks, code, place, pot, grafter, day, height, and whether each still stands here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from scionary.answers.held import held
from scionary.book import queries
from scionary.book.models import Cultivar, EventSubject, Graft, Plant
from scionary.book.projection import records_of
from scionary.book.settle import settle
from scionary.language import say
from scionary.names import FindingAssumptions, PlantIndex, Standing, index_plants, trait_tables

_STANDING = {Plant.State.MISSING: Standing.MISSING, Plant.State.DEAD: Standing.GONE, Plant.State.LEFT: Standing.GONE}
_COLUMNS = ("id", "cultivar__spoken", "code_number", "dome__name", "place", "stands", "pot_kind__name", "state")


@dataclass(frozen=True)
class BookPlants:
    """All plants, indexed. `by_place` tells the places in a dome apart, `by_dome` does not."""

    ids: tuple[UUID, ...]
    by_dome: PlantIndex
    by_place: PlantIndex


def book_plants() -> BookPlants:
    """The plants of the book, indexed once for what the book holds now."""
    return held("nameless_plants", queries.stamp(), _index)


def place_words(dome: str, place: int) -> str:
    """A place in a dome, as a person says it."""
    return say("{dome}, place {place}", dome=dome, place=place)


def _index() -> BookPlants:
    rows = list(Plant.objects.order_by("id").values_list(*_COLUMNS))
    ids, names, numbers, domes, places, stands, pots, states = zip(*rows, strict=True) if rows else ((),) * len(_COLUMNS)
    grafted, heights = _last_grafts(queries.nursery().zone), _last_heights()
    rough = [dome or text or None for dome, text in zip(domes, stands, strict=True)]
    exact = [place_words(dome, place) if dome and place else text for dome, place, text in zip(domes, places, rough, strict=True)]
    index = index_plants(
        cultivar=names,
        number=numbers,
        stands=rough,
        pot_kind=pots,
        grafter=[grafted.get(each, (None, None))[1] for each in ids],
        grafted_on=[grafted.get(each, (None, None))[0] for each in ids],
        height_mm=[heights.get(each) for each in ids],
        standing=[_STANDING.get(state, Standing.EXPECTED) for state in states],
        traits=trait_tables(dict(Cultivar.objects.values_list("spoken", "traits")), FindingAssumptions().trait_seen),
    )
    fine = index_plants(cultivar=[None] * len(ids), stands=exact).columns["stands"]
    return BookPlants(ids, index, replace(index, columns={**index.columns, "stands": fine}))


def _last_grafts(zone: ZoneInfo) -> dict[UUID, tuple[date | None, str | None]]:
    """Day (none where only the year is known) and grafter of each plant's last graft."""
    rows = Graft.objects.order_by("grafted_at", "id").values_list("plant_id", "grafted_at", "precision", "grafter")
    return {plant: (at.astimezone(zone).date() if precision != "year" else None, who or None) for plant, at, precision, who in rows}


def _last_heights() -> dict[UUID, float]:
    """The last height of each plant that was ever measured, as it stands after corrections."""
    measured = Q(event__payload__has_key="height_mm") | Q(event__payload__replace__has_key="height_mm")
    links = EventSubject.objects.filter(measured, subject__key__startswith="plant:", event__kind__in=("observed", "corrected"))
    return dict(_heights_of(links.values_list("subject_id", flat=True).distinct()))


def _heights_of(keys: Iterable[str]) -> Iterable[tuple[UUID, float]]:
    for key, records in records_of(keys).items():
        heights = [record.payload.get("height_mm") for record in settle(records) if record.kind == "observed"]
        known = [height for height in heights if height]
        if known:
            yield UUID(key[6:]), float(known[-1])
