"""The demo's own truth lies in the shown ranges about as often as they claim, over many demo nurseries.

Grafts of one nursery share seasons, lots and air, so how often its ranges hold varies much from nursery to nursery: pooled over a
hundred, 86 to 94 of 100 should. A few show only that nothing is badly wrong.
"""

from __future__ import annotations

import os
from datetime import UTC, date, datetime

import pytest
from django.core.cache import cache
from django.db import transaction

from scionary.answers.kept import forget
from scionary.answers.known_truth import TruthAnswer, known_truth
from scionary.answers.rates import rates
from scionary.book.models import Nursery
from scionary.demo import make_demo

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
SEEDS = int(os.environ.get("SCIONARY_DEMO_SEEDS", "2"))
LOW, HIGH = (0.86, 0.94) if SEEDS >= 100 else (0.70, 1.0)
STAGES = ("firm", "growing", "in_leaf")


def held(seed: int) -> list[TruthAnswer]:
    """How many ranges of one nursery hold its truth, stage by stage; the nursery is gone afterwards."""
    with transaction.atomic():
        make_demo(today=date(2026, 11, 25), seed=seed, now=datetime(2026, 11, 25, 9, tzinfo=UTC))
        found = [known_truth(Nursery.objects.get(), rates(stage)) for stage in STAGES]
        transaction.set_rollback(True)
    cache.clear()
    forget()
    return [answer for answer in found if answer is not None]


def test_ranges_hold_the_demos_truth_as_often_as_they_claim() -> None:
    answers = [answer for seed in range(SEEDS) for answer in held(seed)]
    inside, of = sum(answer.inside for answer in answers), sum(answer.of for answer in answers)
    by_stage = [f"{stage} {sum(a.inside for a in answers[i::3])} of {sum(a.of for a in answers[i::3])}" for i, stage in enumerate(STAGES)]
    print(f"{SEEDS} demo nurseries: {inside} of {of} ranges hold the truth, {inside / of:.1%}; {', '.join(by_stage)}")
    assert of >= 60 * SEEDS
    assert LOW <= inside / of <= HIGH
