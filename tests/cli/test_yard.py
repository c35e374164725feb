"""scionary yard: what the trees may give, and cutting."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from scionary.book.models import MotherTree, ScionBag


def test_sticks_are_cut_and_the_yard_says_what_is_left(scionary: Callable[..., Any], tree: MotherTree) -> None:
    shown = scionary("yard", "cut", "Red Tarn", "12", "--care", "stalks_left", "--stands", "cool box")
    bag = ScionBag.objects.get()
    assert (shown.code, bag.sticks, bag.care, bag.stands) == (0, 12, "stalks_left", "cool box")
    assert shown.out.startswith("Write on the bag: Red Tarn, 12 sticks  ")
    listed = scionary("yard", "--json").json
    assert (listed["trees"][0]["left"], listed["bags"][0]["sticks"]) == (28, 12)
    assert bag.name in scionary("yard").out
    assert "bag of scions" in scionary("find", listed["bags"][0]["code"]).out
    assert scionary("find", listed["bags"][0]["code"]).code == 0


def test_more_than_the_tree_gives_is_said(scionary: Callable[..., Any], tree: MotherTree) -> None:
    assert "gives 40 a season, and 45 are cut now" in scionary("yard", "cut", tree.name, "45").out


def test_a_time_of_another_day_is_kept_and_a_day_alone_has_none(scionary: Callable[..., Any], tree: MotherTree) -> None:
    scionary("yard", "cut", tree.name, "1", "--on", "2026-01-10", "--at", "7:30", "--name", "with")
    scionary("yard", "cut", tree.name, "1", "--on", "2026-01-10", "--name", "without")
    timed, untimed = ScionBag.objects.get(name="with").cut_at, ScionBag.objects.get(name="without").cut_at
    assert timed is not None
    assert f"{timed:%H:%M}" == "06:30"
    assert untimed is None


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (("nowhere", "12"), "no mother tree is called"),
        (("Red Tarn", "12", "--care", "boiled"), "stalks-left"),
        (("Red Tarn", "12", "--at", "noon"), "no time of day"),
        (("Red Tarn", "12", "--on", "2899-01-01"), "lies ahead"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    scionary: Callable[..., Any], tree: MotherTree, wrong: tuple[str, ...], told: str
) -> None:
    shown = scionary("yard", "cut", *wrong)
    assert shown.code != 0
    assert told in shown.err
    assert not ScionBag.objects.exists()


def test_an_empty_yard_says_so(scionary: Callable[..., Any]) -> None:
    assert "no mother tree yet" in scionary("yard").out
