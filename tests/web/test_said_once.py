"""A form sent twice is written once; another button or another value from the same page is written too, and never only said to be."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, RequestFactory
from django.utils import timezone
from PIL import Image

from nursery_clock import today_at_nursery
from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Dome, Event, Photo, Plant
from scionary.web.typing_in import said_id

pytestmark = pytest.mark.django_db


def send(client: Client, address: str, *forms: dict[str, str]) -> None:
    """Each of these from one page, and each twice."""
    drawn = str(uuid7())
    for form in forms:
        for _ in range(2):
            assert client.post(address, {"event_id": drawn, **form}).status_code == 303


def picture(colour: str) -> SimpleUploadedFile:
    out = BytesIO()
    Image.new("RGB", (40, 30), colour).save(out, "JPEG")
    return SimpleUploadedFile(f"{colour}.jpg", out.getvalue(), "image/jpeg")


def written(kind: str) -> list[Any]:
    return list(Event.objects.filter(kind=kind).order_by("recorded_at").values_list("payload", flat=True))


def test_a_blade_that_was_changed_and_disinfected_is_both(client: Client, cultivar: Cultivar) -> None:
    bench = save_noun(BenchDay, {"day": today_at_nursery(), "cultivar": cultivar}, now=timezone.now())
    send(client, f"/bench/{bench.pk}/blade/", {"how": "changed"}, {"how": "disinfected"})
    assert [payload["how"] for payload in written("blade_cleaned")] == ["changed", "disinfected"]


def test_a_value_changed_on_the_page_that_was_gone_back_to_is_written(client: Client, dome: Dome) -> None:
    send(client, f"/domes/{dome.pk}/water/", {"water_mm": "20"}, {"water_mm": "30"})
    assert [payload["water_mm"] for payload in written("watered")] == [20, 30]


def test_another_sign_from_a_page_that_was_gone_back_to_is_written(client: Client, graft: Callable[..., Any], dome: Dome) -> None:
    graft(2, days=-40, dome=dome.pk)
    plant = Plant.objects.first()
    assert plant is not None
    send(client, f"/domes/{dome.pk}/round/{plant.pk}/", {"saw": "firm"}, {"saw": "lost"})
    assert len(written("scored")) == len(written("lost")) == 1
    plant.refresh_from_db()
    assert plant.state == Plant.State.DEAD


def test_water_and_vents_tapped_one_after_the_other_are_both(client: Client, graft: Callable[..., Any], dome: Dome) -> None:
    graft(2, days=-40, dome=dome.pk)
    send(client, f"/domes/{dome.pk}/round/whole/", {"did": "water"}, {"did": "vents", "open_pct": "50"})
    assert len(written("watered")) == len(written("vented")) == 1


def test_a_note_changed_on_the_page_that_was_gone_back_to_is_written(client: Client, plant: Plant) -> None:
    notes = ("moss", "moss and rust")
    send(client, f"/plants/{plant.pk}/write/observed/", *({"note": note, "on": today_at_nursery().isoformat()} for note in notes))
    assert [payload["note"] for payload in written("observed")] == list(notes)


def test_another_photo_from_the_page_that_was_gone_back_to_is_kept(client: Client, plant: Plant) -> None:
    drawn = str(uuid7())
    for colour in ("red", "red", "blue"):
        client.post("/photos/new/", {"of": plant.key, "event_id": drawn, "photo": picture(colour)})
    assert Photo.objects.count() == len(written("photographed")) == 2


def test_ids_of_what_is_said_keep_the_order_of_their_pages(rf: RequestFactory) -> None:
    pages = [str(uuid7()) for _ in range(20)]
    ids = [said_id(rf.post("/", {"event_id": page, "saw": "firm"})) for page in pages]
    assert ids == sorted(ids)
    assert {ident.version for ident in ids} == {7}
