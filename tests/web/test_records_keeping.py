"""Taking the book home; the list of long work."""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from scionary.answers.tasks import work_off
from scionary.answers.works import WORKS
from scionary.book.commands import Written, save_noun
from scionary.book.models import Cultivar, Job, Nursery, Sensor, SensorDay
from scionary.limits import LIMITS
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


@pytest.mark.parametrize("address", ["/book/backup/", "/book/export/"])
def test_a_large_book_is_taken_home_beside_the_pages(
    client: Client, cultivar: Cultivar, now: datetime, django_capture_on_commit_callbacks: Callable[..., Any], address: str
) -> None:
    sensor = save_noun(Sensor, {"name": "logger 1"}, now=now)
    SensorDay.objects.create(sensor=sensor, day=now.date(), count=LIMITS["download_events"] * 25, data=zlib.compress(b""))
    assert "The book is large" in check_page(client.get(address))
    assert not Job.objects.exists()
    with django_capture_on_commit_callbacks(execute=True):
        work = client.post(address)["Location"]
    job = Job.objects.get(work="take home")  # what the log teaches is work of its own
    assert work_off(job.pk, now=now, works=WORKS) == "done"
    assert f'href="/book/taken-home/{job.pk}/"' in check_page(client.get(work))
    response = client.get(f"/book/taken-home/{job.pk}/")
    assert "scionary-" in response["Content-Disposition"]
    with zipfile.ZipFile(io.BytesIO(b"".join(response.streaming_content))) as archive:
        assert archive.testzip() is None
        assert archive.namelist()


def test_a_file_that_is_no_longer_kept_is_said_so(client: Client, nursery: Nursery) -> None:
    job = Job.objects.create(work="take home", status="done", result={"file": "../book.sqlite3", "called": "x"}, asked_at=timezone.now())
    response = client.get(f"/book/taken-home/{job.pk}/")
    assert response.status_code == 404
    assert "no longer kept" in check_page(response)


def test_without_long_work_the_page_says_what_it_is_for(client: Client, nursery: Nursery) -> None:
    assert "There is none." in check_page(client.get("/book/jobs/"))


def test_long_work_is_listed_with_its_state(client: Client, nursery: Nursery) -> None:
    job = Job.objects.create(work="import past records", status="refused", message="row 3 is no date.", asked_at=timezone.now())
    text = check_page(client.get("/book/jobs/"))
    assert f'href="/work/{job.pk}/"' in text
    assert "refused" in text
    assert "Row 3 is no date." in check_page(client.get(f"/work/{job.pk}/"))
