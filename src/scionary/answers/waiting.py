"""Grafts whose outcome at a stage cannot be known yet: this year's wait for the next spring."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from scionary.answers.after_care import stage_date
from scionary.answers.learned import last_learned, learn
from scionary.answers.outcomes import graft_day, outcome, stage_seen
from scionary.answers.remembered import remembered
from scionary.answers.take_model import SHORT_STAGES
from scionary.answers.words import day_words
from scionary.book import queries
from scionary.book.kinds import STAGES
from scionary.book.models import Graft, Method, Nursery, Plant
from scionary.language import say, several

RESULT_VERSION = 1
_OLDEST_DAYS = 3 * 365  # an older graft has passed every stage


@dataclass(frozen=True)
class Waiting:
    """How many grafts wait for a stage, how many of them are lost already, and the day from which the first can be told."""

    stage: str
    grafts: int
    lost: int
    first: date | None

    @property
    def words(self) -> str:
        """38 grafts wait for spring: ...; empty when none waits."""
        if self.first is None:
            return ""
        lost = say(", {lost} of them lost already", lost=self.lost) if self.lost else ""
        if self.stage == "in_leaf":
            return several(
                self.grafts,
                "{count} graft waits for spring: whether it stands in leaf is known from about {day} and not counted yet{lost}.",
                "{count} grafts wait for spring: whether they stand in leaf is known from about {day} and not counted yet{lost}.",
                day=day_words(self.first),
                lost=lost,
            )
        return several(
            self.grafts,
            "{count} graft is too young: whether it is {stage} is known from about {day} and not counted yet{lost}.",
            "{count} grafts are too young: whether they are {stage} is known from about {day} and not counted yet{lost}.",
            stage=SHORT_STAGES[self.stage],
            day=day_words(self.first),
            lost=lost,
        )

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "first": self.first.isoformat() if self.first else None, "words": self.words}


def waiting(stage: str, *, today: date) -> Waiting:
    """The grafts that wait for this stage: its outcome is not known, and its date lies ahead. Plants that left are not waited for."""
    last: tuple[dict[str, Waiting]] | None = last_learned("all_waiting", RESULT_VERSION)
    if last is not None:
        return last[0][stage]
    facts = {"stage": stage, "today": today.isoformat(), "book": queries.stamp()}
    return remembered("waiting", RESULT_VERSION, facts, lambda: _waiting(stage, today))


def learn_waiting(*, today: date) -> None:
    """Find them for each stage, for the pages of a large book."""
    learn("all_waiting", RESULT_VERSION, lambda: {stage: waiting(stage, today=today) for stage in STAGES})


def _waiting(stage: str, today: date) -> Waiting:
    nursery = queries.nursery()
    grafts = list(_lately(today, nursery))
    seen = stage_seen(grafts, stage, nursery)
    days = {graft.pk: stage_date(stage, graft.method, graft_day(graft, nursery), nursery.latitude_deg) for graft in grafts}
    unknown = [graft for graft in grafts if outcome(graft, stage, nursery, stage_seen=seen(graft)) is None]
    found = [graft for graft in unknown if days[graft.pk] > today and graft.plant.state != Plant.State.LEFT]
    first = min((days[graft.pk] for graft in found), default=None)
    return Waiting(stage, len(found), sum(graft.lost_at is not None for graft in found), first)


def _lately(today: date, nursery: Nursery) -> Iterator[Graft]:
    methods = {method.pk: method for method in Method.objects.all()}
    since = datetime.combine(today - timedelta(days=_OLDEST_DAYS), time(), nursery.zone)
    for graft in Graft.objects.filter(grafted_at__gte=since).select_related("plant"):
        if graft.method_id:
            graft.method = methods.get(graft.method_id)
        yield graft
