"""A round typed in one go: by name, by place, and all the rest."""

from collections.abc import Callable
from typing import Any

import pytest

from scionary.answers.rounds import RoundWords, write_round
from scionary.book.commands import Written
from scionary.book.models import Dome, DomeState, Event, Plant
from scionary.errors import Refused

pytestmark = pytest.mark.django_db


def by_name(text: str) -> Plant:
    return next(p for p in Plant.objects.select_related("cultivar") if p.spoken == text)


def test_a_round_by_place_by_name_and_the_rest(graft: Callable[..., Written], dome: Dome, now: Any) -> None:
    graft(4, dome=dome.pk)
    words = RoundWords(("1=firm", "Red Tarn 2=lost", "rest=unsure"), water=True, open_pct=33)
    assert write_round(dome, words, happened_at=now, now=now, plant_of=by_name) == []
    states = list(Plant.objects.order_by("place").values_list("state", "last_sign"))
    assert states == [("alive", "firm_yes"), ("dead", "lost"), ("waiting", "firm_unsure"), ("waiting", "firm_unsure")]
    folded = DomeState.objects.get()
    assert (folded.watered_at, folded.vent_pct, folded.seen_at) == (now, 33, now)


@pytest.mark.parametrize(
    ("seen", "said"),
    [("1=happy", "cannot be read"), ("firm", "cannot be read"), ("9=firm", "no plant stands at place 9")],
)
def test_a_round_that_cannot_be_read_writes_nothing(graft: Callable[..., Written], dome: Dome, now: Any, seen: str, said: str) -> None:
    graft(2, dome=dome.pk)
    before = Event.objects.count()
    with pytest.raises(Refused, match=said):
        write_round(dome, RoundWords(("1=firm", seen)), happened_at=now, now=now, plant_of=by_name)
    assert Event.objects.count() == before
