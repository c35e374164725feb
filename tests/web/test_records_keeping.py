"""Taking the book home; records kept aside; long work."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone

from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import Event, Job, KeptAside, Nursery, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("address", ["/book/backup/", "/book/export/"])
def test_the_book_is_taken_home_whole(client: Client, graft: Callable[..., Written], address: str) -> None:
    graft(3)
    response = client.get(address)
    data = b"".join(response.streaming_content)
    assert "attachment" in response["Content-Disposition"]
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        assert archive.namelist()


def test_records_kept_aside_stand_beside_the_first(client: Client, plant: Plant) -> None:
    event = Event.objects.get(kind="grafted")
    content = {"kind": "grafted", "payload": {"note": "<b>other</b>"}}
    KeptAside.objects.create(event_id=event.pk, content=content, content_sha256="x", received_at=timezone.now())
    text = check_page(client.get("/book/aside/"))
    assert "&lt;b&gt;other&lt;/b&gt;" in text
    assert "The first one: grafted" in text


def test_without_any_the_pages_say_what_they_are_for(client: Client, nursery: Nursery) -> None:
    assert "There is none." in check_page(client.get("/book/aside/"))
    assert "There is none." in check_page(client.get("/book/jobs/"))


def test_work_under_way_shows_how_far_it_is_and_looks_again(client: Client, nursery: Nursery) -> None:
    job = Job.objects.create(work="import past records", status="running", fraction=0.4, word="writing 12 rows", asked_at=timezone.now())
    text = check_page(client.get(f"/book/jobs/{job.pk}/"))
    assert "writing 12 rows" in text
    assert 'value="0.400"' in text
    assert f'hx-get="/book/jobs/{job.pk}/"' in text


def test_work_that_was_refused_says_why_and_is_left_alone(client: Client, nursery: Nursery) -> None:
    job = Job.objects.create(work="import past records", status="refused", message="row 3 is no date.", asked_at=timezone.now())
    text = check_page(client.get(f"/book/jobs/{job.pk}/"))
    assert "row 3 is no date." in text
    assert "hx-get" not in text


def test_a_job_of_nobody_is_404_in_words(client: Client, nursery: Nursery) -> None:
    response = client.get(f"/book/jobs/{uuid7()}/")
    assert response.status_code == 404
    assert "no such job" in response.content.decode()
