"""The nouns of the nursery written into the book: cultivars, trees, stock lots, domes, sensors, bench days, wishes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID

from scionary.book.commands import save_noun
from scionary.book.models import BenchDay, Cultivar, Dome, Method, MotherTree, Noun, PotKind, RootstockLot, Sensor, Wish
from scionary.demo.chance import derived_id
from scionary.demo.seasons import Filling, coming_season, past_seasons
from scionary.demo.tarn_bridge import (
    CASES,
    LARGE_POT,
    LOOKS,
    LOTS,
    PROTECTED,
    SMALL_POT,
    SOLD_AS,
    VARIETIES,
    WISHES,
    YOUNG_CULTIVAR,
    YOUNG_STICKS,
    YOUNG_TREE,
)

N = TypeVar("N", bound=Noun)


@dataclass
class Ground:
    """The ids of all nouns, by the names that the growers use."""

    cultivar: dict[str, UUID] = field(default_factory=dict)
    tree: dict[str, UUID] = field(default_factory=dict)
    lot: dict[str, UUID] = field(default_factory=dict)
    dome: dict[str, UUID] = field(default_factory=dict)
    sensor: dict[str, UUID] = field(default_factory=dict)
    bench: dict[str, UUID] = field(default_factory=dict)
    method: dict[str, UUID] = field(default_factory=dict)
    pot: dict[str, UUID] = field(default_factory=dict)


class Surveyor:
    """Writes the nouns, with ids that are the same whenever the demo is made again."""

    def __init__(self, stamp: str, now: datetime) -> None:
        self.stamp, self.now = stamp, now
        self.ground = Ground()

    def survey(self, fillings: Iterable[Filling], today: date) -> Ground:
        """Write all nouns down and return where they are."""
        fillings = list(fillings)
        self.ground.method = {name: pk for pk, name in Method.objects.values_list("pk", "name")}
        self.ground.pot = {name: pk for pk, name in PotKind.objects.values_list("pk", "name")}
        self._cultivars()
        self._lots({f.season for f in fillings} | {coming_season(today)}, today)
        self._domes()
        for filling in fillings:
            self.ground.bench[filling.key] = self._bench_day(filling)
        self._wishes(coming_season(today))
        return self.ground

    def _save(self, model: type[N], values: Mapping[str, Any], word: str) -> UUID:
        ident = derived_id(self.now, f"{self.stamp}/{model.noun}/{word}")
        return save_noun(model, {"id": ident, **values}, now=self.now).pk

    def _cultivars(self) -> None:
        for variety in VARIETIES:
            values: dict[str, Any] = {"spoken": variety.spoken, "botanical": variety.botanical, "price": variety.price}
            values |= {"trade_designation": SOLD_AS.get(variety.spoken, ""), **PROTECTED.get(variety.spoken, {})}
            values |= {"traits": LOOKS.get(variety.spoken, {})}
            cultivar = self._save(Cultivar, values, variety.spoken)
            self.ground.cultivar[variety.spoken] = cultivar
            for where, sticks in variety.trees:
                name = f"{variety.spoken}, {where}"
                tree = {"name": name, "cultivar_id": cultivar, "sticks_a_season": sticks, **_roots(where)}
                self.ground.tree[name] = self._save(MotherTree, tree, name)

        young = {"name": YOUNG_TREE, "cultivar_id": self.ground.cultivar[YOUNG_CULTIVAR], "sticks_a_season": YOUNG_STICKS}
        self.ground.tree[YOUNG_TREE] = self._save(MotherTree, young, YOUNG_TREE)

    def _lots(self, seasons: set[int], today: date) -> None:
        kept_from = past_seasons(today)[1]
        for season in sorted(seasons):
            for letter, (species, count, diameter_mm, _) in LOTS.items():
                arrived = date(season - 1, 10, 12)
                name = lot_name(season, letter)
                values = {
                    "name": name,
                    "species": species,
                    "pot_kind_id": self.ground.pot[SMALL_POT],
                    "count": count,
                    "diameter_mm": diameter_mm,
                    "arrived_on": arrived if arrived <= today else None,
                    "retired": season < kept_from,
                }
                self.ground.lot[name] = self._save(RootstockLot, values, name)

    def _domes(self) -> None:
        for case in CASES:
            values = {"name": case.name, "stands": case.stands, "pot_kind_id": self.ground.pot[SMALL_POT], **case.made_of}
            self.ground.dome[case.name] = self._save(Dome, values, case.name)
            sensor = {"name": case.sensor, "dome_id": self.ground.dome[case.name]}
            self.ground.sensor[case.sensor] = self._save(Sensor, sensor, case.sensor)

    def _bench_day(self, filling: Filling) -> UUID:
        values = {
            "day": filling.day,
            "method_id": self.ground.method[filling.method],
            "dome_id": self.ground.dome[filling.dome],
            "pot_kind_id": self.ground.pot[SMALL_POT],
            "grafter": filling.grower,
        }
        return self._save(BenchDay, values, filling.key)

    def _wishes(self, season: int) -> None:
        for spoken, wanted, method, assurance in WISHES:
            variety = next(v for v in VARIETIES if v.spoken == spoken)
            values = {
                "cultivar_id": self.ground.cultivar[spoken],
                "wanted": wanted,
                "season": season,
                "by_when": date(season + 1, 6, 1),
                "method_id": self.ground.method[method] if method else None,
                "pot_kind_id": self.ground.pot[LARGE_POT],
                "assurance": assurance,
                "worth": variety.price,
            }
            self._save(Wish, values, spoken)


def _roots(where: str) -> dict[str, Any]:
    """Pots stand in pots; the beds are loam, the hill is stony."""
    if where.startswith("pot"):
        return {"grows_in": "pot", "pot_litres": 60.0, "mouth_mm": 500.0, "crown_mm": 1100.0}
    soil = "sandy_loam" if "hill" in where or "terrace" in where else "loam"
    return {"grows_in": "ground", "soil": soil, "root_depth_mm": 600.0, "crown_mm": 2400.0}


def lot_name(season: int, letter: str) -> str:
    """How the growers call a lot: 26-A."""
    return f"{season % 100:02d}-{letter}"
