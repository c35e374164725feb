"""A round, beyond the one tap: why a plant was lost, the whole dome, a label that leads to its plant, keys."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.rounds import CAUSES, KEYS, LOST_SIGNS, SEEN
from scionary.book.commands import Written, correct, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Dome, DomeState, Event, Graft, Method, Plant
from scionary.names import code_of
from web.rendered import check_page

pytestmark = pytest.mark.django_db
HAND = Path(__file__).parents[2] / "src" / "scionary" / "web" / "static" / "scionary" / "hand"
PART = {"HX-Request": "true"}


@pytest.fixture
def three(graft: Callable[..., Written], dome: Dome, method: Method) -> list[Plant]:
    return graft(3, happened_at=timezone.now() - timedelta(days=32), dome=dome.pk, method=method.pk).plants


def walk(dome: Dome) -> str:
    return f"/domes/{dome.pk}/round/"


def test_a_loss_takes_sign_and_cause_with_one_tap_each(client: Client, three: list[Plant], dome: Dome) -> None:
    address = f"{walk(dome)}{three[0].pk}/"
    assert "Dried up" not in client.get(walk(dome)).content.decode()
    assert "Dried up" in check_page(client.post(address, {"saw": "lost"}, headers=PART))
    client.post(f"{address}why/", {"sign": "dried up"}, headers=PART)
    row = check_page(client.post(f"{address}why/", {"cause": "too dry"}, headers=PART))
    assert "Now: lost: dried up; suspected: too dry" in row
    assert row.count('aria-pressed="true"') == 3
    graft = Graft.objects.get(plant=three[0])
    assert (graft.lost_sign, graft.lost_cause) == ("dried up", "too dry")
    assert Event.objects.filter(kind="lost").count() == 1


def test_another_word_takes_the_place_of_the_one_before_and_the_same_again_writes_nothing(
    client: Client, three: list[Plant], dome: Dome
) -> None:
    address = f"{walk(dome)}{three[0].pk}/"
    client.post(address, {"saw": "lost"})
    for sign in ("dried up", "rotten", "rotten"):
        client.post(f"{address}why/", {"sign": sign})
    assert Graft.objects.get(plant=three[0]).lost_sign == "rotten"
    assert Event.objects.filter(kind="corrected").count() == 2


def test_undo_of_a_loss_takes_its_sign_back_too(client: Client, three: list[Plant], dome: Dome) -> None:
    address = f"{walk(dome)}{three[0].pk}/"
    client.post(address, {"saw": "lost"})
    client.post(f"{address}why/", {"sign": "eaten"})
    client.post(f"{address}undo/", {"event": str(Event.objects.get(kind="lost").pk)})
    assert Plant.objects.get(pk=three[0].pk).state == "waiting"
    assert "Now:" not in client.get(walk(dome)).content.decode()


def test_why_is_not_asked_of_a_plant_that_is_not_lost(client: Client, three: list[Plant], dome: Dome) -> None:
    response = client.post(f"{walk(dome)}{three[0].pk}/why/", {"sign": "dried up"})
    assert response.status_code == 422
    assert "Tap Lost first" in check_page(response)
    assert client.post(f"{walk(dome)}{three[0].pk}/why/", {"sign": "x" * 99}).status_code == 422


@pytest.mark.parametrize(
    ("given", "kind", "payload", "words"),
    [
        ({"did": "water"}, "watered", {}, "watered"),
        ({"did": "vents", "open_pct": "33"}, "vented", {"open_pct": 33.0}, "vents a third"),
        ({"did": "stalks"}, "observed", {"seen": "stalks_picked_out"}, "stalks picked out"),
        (
            {"did": "treat", "product": "soap", "label_says": "1 %"},
            "treated",
            {"product": "soap", "label_says": "1 %"},
            "treated, soap, 1 %",
        ),
        ({"did": "note", "note": "condensation"}, "observed", {"note": "condensation"}, "condensation"),
    ],
)
def test_the_whole_dome_is_seen_to_without_leaving_the_round(
    client: Client, three: list[Plant], dome: Dome, given: dict[str, str], kind: str, payload: dict[str, object], words: str
) -> None:
    sent = {**given, "event_id": str(uuid7())}
    for _ in range(2):
        response = client.post(f"{walk(dome)}whole/", sent)
        assert (response.status_code, response.headers["Location"]) == (303, f"{walk(dome)}#whole")
    event = Event.objects.get(kind=kind)
    assert (event.payload, [subject.key for subject in event.subjects.all()]) == (payload, [dome.key])
    page = check_page(client.get(walk(dome)))
    assert f"Undo: {words}" in page
    client.post(f"{walk(dome)}whole/undo/", {"event": str(event.pk)})
    assert f"Undo: {words}" not in client.get(walk(dome)).content.decode()


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"did": "treat"}, "Name what it was treated with."),
        ({"did": "vents"}, "Say how far."),
        ({"did": "vents", "open_pct": "101"}, "less than or equal to 100"),
        ({"did": "note", "note": " "}, "Write it."),
        ({"did": "treat", "product": "x" * 81}, "at most 80"),
    ],
)
def test_what_cannot_be_done_is_told_on_the_round_and_nothing_is_written(
    client: Client, three: list[Plant], dome: Dome, given: dict[str, str], told: str
) -> None:
    response = client.post(f"{walk(dome)}whole/", given)
    assert response.status_code == 422
    page = check_page(response)
    assert told in page
    assert "0 of 3 seen" in page
    assert not DomeState.objects.exists()


def test_what_is_keyed_in_from_a_paper_lands_on_its_day(client: Client, three: list[Plant], dome: Dome) -> None:
    day = today_at_nursery() - timedelta(days=3)
    response = client.post(f"{walk(dome)}whole/", {"did": "water", "on": day.isoformat()})
    assert response.headers["Location"] == f"{walk(dome)}?on={day.isoformat()}#whole"
    assert Event.objects.get(kind="watered").happened_at.date() == day


def test_what_is_put_right_to_another_day_is_told_on_that_day(client: Client, three: list[Plant], dome: Dome) -> None:
    day = today_at_nursery() - timedelta(days=3)
    client.post(f"{walk(dome)}whole/", {"did": "note", "note": "mould on the rim", "on": day.isoformat()})
    event = Event.objects.get(kind="observed")
    assert "Undo: mould on the rim" not in client.get(walk(dome)).content.decode()
    correct(event.pk, {"happened_at": timezone.now().isoformat()}, now=timezone.now())
    assert "Undo: mould on the rim" in client.get(walk(dome)).content.decode()
    assert "Undo: mould on the rim" not in client.get(f"{walk(dome)}?on={day.isoformat()}").content.decode()


@pytest.mark.parametrize("typed", ["code", "faded", "Red Tarn 2", "2"])
def test_a_label_typed_leads_to_its_row(client: Client, three: list[Plant], dome: Dome, typed: str) -> None:
    code = code_of(three[1].code_number or 0)
    asked = {"code": code, "faded": f"??{code[2:]}"}.get(typed, typed)
    response = client.get(walk(dome), {"find": asked})
    assert (response.status_code, response.headers["Location"]) == (302, f"{walk(dome)}#plant-{three[1].pk}")


def test_a_label_of_another_dome_says_where_it_stands_and_leads_there(
    client: Client, three: list[Plant], dome: Dome, graft: Callable[..., Written]
) -> None:
    other = save_noun(Dome, {"name": "Dome 7"}, now=timezone.now())
    plant = graft(dome=other.pk).plants[0]
    page = check_page(client.get(walk(dome), {"find": code_of(plant.code_number or 0)}))
    assert "does not stand here: Dome 7, place 1" in page
    assert f"/domes/{other.pk}/round/#plant-{plant.pk}" in page


def test_what_nobody_has_and_what_several_have_is_said(client: Client, three: list[Plant], dome: Dome) -> None:
    assert "3 plants of this walk fit" in check_page(client.get(walk(dome), {"find": "Red Tarn"}))
    assert "Nothing that is looked at stands at place 88" in check_page(client.get(walk(dome), {"find": "88"}))
    assert 'class="flag"' in check_page(client.get(walk(dome), {"find": "no such thing"}))


def test_every_sign_has_a_key_of_its_own_and_it_stands_on_the_button(client: Client, three: list[Plant], dome: Dome) -> None:
    assert len(set(KEYS.values())) == len(KEYS)
    assert set(KEYS) == set(SEEN) - {"not-firm"}
    page = client.get(walk(dome)).content.decode()
    shown = re.findall(r'value="([a-z-]+)"[^>]*>[^<]*<kbd aria-hidden="true">(.)</kbd>', page)
    assert {said: key.lower() for said, key in shown} == KEYS


def test_next_leads_to_the_first_plant_not_seen_yet(client: Client, three: list[Plant], dome: Dome) -> None:
    client.post(f"{walk(dome)}{three[0].pk}/", {"saw": "firm"})
    assert f'id="next" href="#plant-{three[1].pk}"' in client.get(walk(dome)).content.decode()


def test_the_page_in_the_hand_has_the_same_keys_and_words() -> None:
    signs = (HAND / "signs.js").read_text(encoding="utf-8")
    keys = dict(re.findall(r'said: "([a-z-]+)".*?key: "(.)"', signs))
    assert keys
    assert keys == {said: KEYS[said] for said in keys}
    plant = (HAND / "plant.js").read_text(encoding="utf-8")
    for name, words in (("LOST_SIGNS", LOST_SIGNS), ("CAUSES", CAUSES)):
        listed = re.search(rf"{name} = \[(.*?)\]", plant, re.DOTALL)
        assert listed is not None
        assert tuple(re.findall(r'"([^"]+)"', listed[1])) == words
