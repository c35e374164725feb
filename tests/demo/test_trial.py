"""The demo's trial: drawn by lot over real grafts, finished, and in truth without a difference."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from scionary.answers.trial_places import Fate, trial_places
from scionary.book.models import Trial
from scionary.demo import make_demo

TODAY = date(2026, 11, 25)


@pytest.fixture
def trial(db: None) -> Trial:
    make_demo(today=TODAY, now=datetime(2026, 11, 25, 12, tzinfo=UTC))
    return Trial.objects.get()


def test_every_place_of_the_trial_was_grafted_and_nothing_is_waited_for(trial: Trial) -> None:
    fates = [place.fate for place in trial_places(trial, today=TODAY)]
    known = fates.count(Fate.TOOK) + fates.count(Fate.FAILED)
    assert set(fates) <= {Fate.TOOK, Fate.FAILED, Fate.UNSEEN}
    assert known > 0.8 * len(fates)
    assert len(fates) > 60


def test_the_lot_is_older_than_the_grafts_and_fair_in_every_dome(trial: Trial) -> None:
    assert trial.made_at.date() < trial.begins_on
    assert len(trial.layout) == 4
    for block in trial.layout:
        assert abs(block["arms"].count(0) - block["arms"].count(1)) <= 1
    assert "the tie makes no difference" in trial.note
