"""`scionary leave`: plants that are sold or given away, and what it wants to know first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from scionary.book.models import Event, Plant

pytestmark = pytest.mark.django_db


def test_a_confirmed_plant_leaves(scionary: Callable[..., Any], plant: Plant, write: Callable[..., Any]) -> None:
    write("name_confirmed", plant)
    done = scionary("leave", "Red Tarn 1", "--price", "45")
    assert (done.code, done.out) == (0, "Written down as leaving: Red Tarn 1.\n")
    assert Event.objects.get(kind="left").payload == {"how": "sale", "price": 45.0}


@pytest.mark.parametrize(
    ("kind", "payload", "why"),
    [
        ("name_inferred", {"chance": 0.93}, "name inferred, 0.93"),
        ("name_doubted", {"reason": "redder"}, "name in doubt: redder"),
        ("quarantined", {"reason": "dark spots"}, "dark spots"),
        ("observed", {}, "name never confirmed in leaf"),
    ],
)
def test_what_is_not_sure_is_refused_until_it_is_answered(
    scionary: Callable[..., Any], plant: Plant, write: Callable[..., Any], kind: str, payload: dict[str, Any], why: str
) -> None:
    write(kind, plant, **payload)
    asked = scionary("leave", "Red Tarn 1")
    assert asked.code == 2
    assert why in asked.err
    assert "--all-the-same" in asked.err
    assert not Event.objects.filter(kind="left").exists()
    flagged = scionary("leave", "Red Tarn 1", "--all-the-same", "--json").json
    assert len(flagged["left"][0]["flags"]) == 1 + (kind == "quarantined")


def test_confirming_and_leaving_out_are_answers_too(
    scionary: Callable[..., Any], graft: Callable[..., Any], write: Callable[..., Any]
) -> None:
    first, second = graft(2, days=-400).plants
    write("quarantined", second, days=-390, reason="dark spots")
    done = scionary("leave", "Red Tarn 1", "Red Tarn 2", "--confirm", "--leave-out", "--on", "2025-07-01")
    assert done.out.splitlines() == [
        "Written down as leaving: Red Tarn 1.",
        "1 name confirmed in leaf.",
        "Left out, and still here: Red Tarn 2.",
    ]
    assert Plant.objects.get(pk=first.pk).flags == []


def test_another_way_to_leave_is_refused(scionary: Callable[..., Any], plant: Plant) -> None:
    assert scionary("leave", "Red Tarn 1", "--how", "stolen").code == 2


def test_on_a_bare_tree_no_name_is_confirmed(scionary: Callable[..., Any], graft: Callable[..., Any]) -> None:
    graft(1, days=-400)
    refused = scionary("leave", "Red Tarn 1", "--confirm", "--on", "2025-12-15")
    assert refused.code == 2
    assert "Trees do not stand in leaf on that day" in refused.err
    assert "Add one of --leave-out, --all-the-same." in refused.err
    assert not Event.objects.filter(kind="name_confirmed").exists()
