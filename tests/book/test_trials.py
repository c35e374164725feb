"""A trial is a noun: kept, changed with its before and after, and refused where it cannot be."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from scionary.book.commands import save_noun
from scionary.book.models import Dome, Event, Trial
from scionary.errors import Refused

pytestmark = pytest.mark.django_db


def test_a_trial_keeps_its_layout_as_it_was_drawn(trial: Callable[..., Trial]) -> None:
    kept = Trial.objects.get(pk=trial().pk)
    assert (kept.arms, kept.layout[0]["places"], kept.layout[0]["arms"]) == (["film", "rubber"], [1, 2, 3, 4], [0, 1, 1, 0])
    assert kept.key == f"trial:{kept.pk}"


def test_a_change_is_written_with_before_and_after(trial: Callable[..., Trial], dome: Dome, now: Any) -> None:
    kept = trial()
    out = [{"dome": str(dome.pk), "filling": 1, "place": 2, "why": "no wood left"}]
    save_noun(Trial, {"left_out": out}, now=now, pk=kept.pk)
    told = Event.objects.filter(subjects__key=kept.key).order_by("recorded_at", "id").last()
    assert told is not None
    assert (told.payload["before"]["left_out"], told.payload["after"]["left_out"]) == ([], out)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"arms": ["film"]}, "A trial compares 2 to 4 things"),
        ({"arms": ["film", " "]}, "A trial compares 2 to 4 things"),
        ({"arms": list("abcde")}, "A trial compares 2 to 4 things"),
        ({"arms": ["film", "Film"]}, "have the same name"),
        ({"layout": [{"dome": "x"}]}, "does not say which arm"),
        ({"layout": [{"dome": "x", "name": "Dome 1", "filling": 1, "places": [1, 2], "arms": [0]}]}, "does not say which arm"),
        (
            {"layout": [{"dome": "x", "name": "Dome 1", "filling": 1, "places": [1, 1], "arms": [0, 1]}]},
            "Dome 1: a place stands there twice",
        ),
        (
            {"layout": [{"dome": "x", "name": "Dome 1", "filling": 1, "places": [1, 2], "arms": [0, 2]}]},
            "an arm that the trial does not have",
        ),
        ({"difference": 0.0}, "greater than or equal to 0.01"),
    ],
)
def test_what_cannot_be_is_refused(trial: Callable[..., Trial], wrong: dict[str, Any], message: str) -> None:
    with pytest.raises(Refused, match=message):
        trial(**wrong)
    assert not Trial.objects.exists()


def test_two_trials_of_one_name_are_refused(trial: Callable[..., Trial]) -> None:
    trial()
    with pytest.raises(Refused, match="already exists"):
        trial()
