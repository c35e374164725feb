"""Making the demo book: Tarn Bridge with two past growing years, grafts under cover today, and wishes for the coming one.

The same seed and day give the same book, ids included, but for the rows that every new book begins with.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import islice
from typing import Any
from uuid import UUID

import numpy as np
from django.db import transaction

from scionary.answers.salt_tests import keep_salt_test
from scionary.answers.weather_import import accept_weather
from scionary.book.commands import save_noun, start_book
from scionary.book.leases import take_numbers
from scionary.book.models import (
    Cultivar,
    Dome,
    Event,
    Graft,
    MotherTree,
    Nursery,
    Plant,
    RootstockLot,
    Sensor,
    Tally,
    Trial,
    WeatherStation,
    Wish,
)
from scionary.book.readings import keep_file, store_readings
from scionary.book.record import NewEvent, record_events
from scionary.demo.air import salt_tested
from scionary.demo.care import tend
from scionary.demo.carried import clean_blades, cut_from_young_tree, set_apart
from scionary.demo.chance import derived_id
from scionary.demo.diary import Diary
from scionary.demo.grafts import Planned, one_graft, planned_grafts
from scionary.demo.ground import Ground, Surveyor
from scionary.demo.lives import Life, grafted_payload
from scionary.demo.logger_files import RECENT_DAYS, logger_texts
from scionary.demo.mistakes import make_mistakes
from scionary.demo.seasons import past_fillings, past_seasons, present_fillings, year_of
from scionary.demo.station import STATION, invented_days, station_texts
from scionary.demo.stems import measure_stems
from scionary.demo.summary import DemoSummary
from scionary.demo.tarn_bridge import BY_NAME, NURSERY, TESTED, VARIETIES, YOUNG_TREE
from scionary.demo.tree_diary import tell_trees
from scionary.demo.trial import last_summers_trial
from scionary.demo.truth import Truth, air_faults
from scionary.demo.yard import cut_scions
from scionary.errors import BadValue, BookNotEmpty, Stopped
from scionary.files.loggers import read_logger

Progress = Callable[[float, str], object]

_AT_ONCE = 500  # events written in one go
_REGRAFTS_A_SEASON = 4
_REGRAFT_DOME = "Bench case"
_MUST_BE_EMPTY = (Plant, Wish, Tally, Cultivar, MotherTree, RootstockLot, Dome, Sensor, Trial, WeatherStation)


@dataclass
class Told:
    """A graft with the plant that carries it."""

    planned: Planned
    plant: str
    first: bool


def make_demo(*, today: date, seed: int = 20, now: datetime, progress: Progress | None = None) -> DemoSummary:
    """Fill an empty book with the demo nursery as it stands on a day.

    Raises `BookNotEmpty` when the book holds something, `Stopped` when `progress` returned False; nothing is kept then.
    """
    with transaction.atomic():
        nursery = _empty_book(now)
        if abs((now.astimezone(nursery.zone).date() - today).days) > 1:
            raise BadValue("today", today, f"the day of `now`, {now.date().isoformat()}, or one beside it")
        return _Maker(nursery, today, seed, now, progress).make()


def _empty_book(now: datetime) -> Nursery:
    """The nursery's row in a book that holds nothing else."""
    for model in _MUST_BE_EMPTY:
        if model._default_manager.exists():
            raise BookNotEmpty(
                f"the book already holds {model._meta.verbose_name_plural}.",
                where="demo",
                remedy="Make the demo in a new book: name another file in SCIONARY_BOOK.",
            )
    row = start_book(now=now)
    return save_noun(Nursery, NURSERY, now=now, pk=row.pk)


class _Maker:
    """One demo book in the making."""

    def __init__(self, nursery: Nursery, today: date, seed: int, now: datetime, progress: Progress | None) -> None:
        self.nursery, self.today, self.seed, self.now, self.progress = nursery, today, seed, now, progress
        self.stamp = f"{seed}/{today.isoformat()}"
        self.past, self.present = past_fillings(today, seed), present_fillings(today, seed)
        self.truth = Truth(seed, air_faults(self.past, self.present, today))
        last_written = datetime(today.year, today.month, today.day, tzinfo=nursery.zone) - timedelta(days=1)
        self.diary = Diary(self.stamp, nursery.zone, min(now, last_written))
        self._recent = today - timedelta(days=RECENT_DAYS + 1)
        self.told: list[Told] = []
        self.parent: UUID | None = None

    def make(self) -> DemoSummary:
        self._say(0.0, "the nursery")
        ground = Surveyor(self.stamp, self.now).survey([*self.past, *self.present], self.today)
        self._say(0.05, "two years of grafts")
        self._tell(ground)
        self._record()
        save_noun(MotherTree, {"raised_from_id": self.parent}, now=self.now, pk=ground.tree[YOUNG_TREE])
        files, readings = self._logs(ground)
        self._say(0.97, "the weather station")
        self._weather()
        self._keep_trial(ground)
        self._keep_truth(ground)
        self._say(1.0, "done")
        return DemoSummary(
            plants=Plant.objects.count(),
            grafts=Graft.objects.count(),
            seasons=past_seasons(self.today),
            cultivars=len(VARIETIES),
            wishes=Wish.objects.count(),
            events=Event.objects.exclude(kind="edited").count(),
            readings=readings,
            files=files,
        )

    def _say(self, fraction: float, word: str) -> None:
        if self.progress is not None and self.progress(fraction, word) is False:
            raise Stopped("Making the demo was stopped; the book is as it was before.")

    def _tell(self, ground: Ground) -> None:
        """Write the whole story into the diary."""
        lives: dict[str, list[Life]] = {}
        for planned in planned_grafts([*self.past, *self.present], self.truth):
            plant = derived_id(self._bench_moment(planned), f"{self.stamp}/plant/{planned.key}", planned.place)
            life = self._live(planned, f"plant:{plant}", ground, first=True)
            lives.setdefault(planned.filling.key, []).append(life)
        for season in past_seasons(self.today):
            self._graft_again(season, lives, ground)
        for filling in [*self.past, *self.present]:
            tend(filling, self.diary, ground, self.truth.faults, self.seed, ready_on=self._recent)
        make_mistakes(self.diary, past_seasons(self.today), lambda moment: year_of(moment.astimezone(self.nursery.zone).date()))
        clean_blades(self.diary, ground, [*self.past, *self.present])
        set_apart(self.diary)
        last_summer = min(f.day for f in self.past if f.leafy and f.season == past_seasons(self.today)[1])
        self.parent = cut_from_young_tree(self.diary, ground, last_summer)
        cut_scions(self.diary, self.nursery.zone)
        tell_trees(self.diary, ground.tree, invented_days(self.today, self.seed), self.today, self.seed)
        measure_stems(self.diary, ground, self.nursery.key, self.today, self.seed)

    def _live(self, planned: Planned, plant: str, ground: Ground, *, first: bool) -> Life:
        payload = grafted_payload(planned, ground, self.seed, first=first)
        kind = "grafted" if first else "regrafted"
        self.diary.write(kind, self._bench_moment(planned), plant, payload, who=planned.filling.grower)
        life = Life(planned, plant, self.diary, ground, self.seed)
        life.tell()
        self.told.append(Told(planned, plant, first))
        return life

    def _bench_moment(self, planned: Planned) -> datetime:
        return self.diary.at(planned.filling.day, 9, planned.minute)

    def _graft_again(self, season: int, lives: dict[str, list[Life]], ground: Ground) -> None:
        """A few sound stocks of failed winter grafts are grafted again in summer."""
        case = next(f for f in self.past if f.season == season and f.leafy and f.dome == _REGRAFT_DOME)
        winter = [f for f in self.past if f.season == season and not f.leafy]
        kept = [life for f in winter for life in lives[f.key] if life.stock_kept and BY_NAME[life.planned.cultivar].genus == "Acer"]
        for at, life in enumerate(kept[:_REGRAFTS_A_SEASON], start=1):
            planned = one_graft(
                case, case.grafts + at, BY_NAME[life.planned.cultivar], life.planned.lot[-1], self.truth, lot=life.planned.lot
            )
            self._live(planned, life.plant, ground, first=False)

    def _record(self) -> None:
        """Write the diary into the book, a batch at a time, as if each had been keyed in soon after."""
        events = self.diary.events()
        self._number([event for event in events if event.kind == "grafted"])
        done = 0
        for batch in _batches(events, _AT_ONCE):
            self._say(0.1 + 0.65 * done / len(events), f"records of {batch[0].happened_at:%B %Y}")
            record_events(batch, now=min(self.now, batch[-1].happened_at + timedelta(minutes=20)))
            done += len(batch)

    def _number(self, grafted: Sequence[NewEvent]) -> None:
        """Code numbers and running numbers, in the order of grafting."""
        numbers = take_numbers("", len(grafted), now=self.now)
        running: dict[str, int] = {}
        for event, number in zip(grafted, numbers, strict=True):
            cultivar = event.payload["cultivar"]
            running[cultivar] = running.get(cultivar, 0) + 1
            event.payload.update(code_number=number, running_number=running[cultivar])

    def _logs(self, ground: Ground) -> tuple[int, int]:
        """Keep each logger file as it is, read it as any other, and store its readings."""
        sensors = Sensor.objects.in_bulk(list(ground.sensor.values()))
        files = readings = 0
        for text in logger_texts(self.today, self.seed):
            self._say(0.75 + 0.025 * files, f"the logger file {text.name}")
            keep_file(text.data, text.name, "logger", now=self.now)
            read = read_logger(text.data, name=text.name, time_zone=self.nursery.time_zone)
            rows = np.column_stack([read.time_s, read.temperature_c, read.relative_humidity_pct])
            readings += store_readings(sensors[ground.sensor[text.sensor]], rows)
            files += 1
        keep_salt_test(sensors[ground.sensor[TESTED.sensor]], salt_tested(TESTED, self.seed), self._recent, now=self.now)
        return files, readings

    def _weather(self) -> None:
        """Read the station's files in as a person would."""
        ident = derived_id(self.now, f"{self.stamp}/station/{STATION}")
        save_noun(WeatherStation, {"id": ident, "name": STATION}, now=self.now)
        for text in station_texts(self.today, self.seed):
            accept_weather(text.data, text.name, now=self.now, station=STATION)

    def _keep_trial(self, ground: Ground) -> None:
        values = last_summers_trial(self.past, ground, self.today, self.seed, self.nursery.zone)
        ident = derived_id(self.now, f"{self.stamp}/trial/{values['name']}")
        save_noun(Trial, {"id": ident, **values}, now=self.now)

    def _keep_truth(self, ground: Ground) -> None:
        self.nursery.demo_truth = {
            "seed": self.seed,
            "today": self.today.isoformat(),
            "about": "What the chances really were; long_run is averaged over lots, seasons and domes, without the faults of the air.",
            "model": self.truth.model(),
            "long_run": {str(ground.cultivar[v.spoken]): {"name": v.spoken, **self.truth.long_run(v.spoken)} for v in VARIETIES},
            "faults": [_plain_fault(f.dome, f.kind, f.begin, f.end) for f in self.truth.faults],
            "grafts": [_plain_graft(told) for told in self.told],
        }
        self.nursery.save(update_fields=["demo_truth"])


def _plain_fault(dome: str, kind: str, begin: date, end: date) -> dict[str, str]:
    return {"dome": dome, "kind": kind, "begin": begin.isoformat(), "end": end.isoformat()}


def _plain_graft(told: Told) -> dict[str, Any]:
    """What a graft really was: its plant, its chances, its fate, and its cultivar where the label is wrong."""
    planned = told.planned
    outcome = planned.outcome
    stages = [name for name in ("firm", "growing", "in_leaf") if getattr(outcome, name)]
    plain: dict[str, Any] = {
        "plant": told.plant[6:],
        "first": told.first,
        "chance": planned.chances(),
        "reached": stages[-1] if stages else "",
    }
    return plain | ({"really": planned.really} if planned.really != planned.cultivar else {})


def _batches(events: Sequence[NewEvent], size: int) -> Iterator[list[NewEvent]]:
    source = iter(events)
    while batch := list(islice(source, size)):
        yield batch
