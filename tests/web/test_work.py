"""Long work: watched, stopped, and its result at the end."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from scionary.answers.jobs import start
from scionary.answers.tasks import work_off
from scionary.answers.works import WORKS
from scionary.book.models import Dome, Job, Nursery, SensorDay
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(nursery: Nursery) -> Job:
    return start("import readings", {"sha256": "0" * 64}, now=timezone.now())


def test_work_under_way_says_how_far_it_is_and_asks_again(client: Client, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(status="running", fraction=0.4, word="writing the readings")
    text = check_page(client.get(f"/work/{job.pk}/"))
    assert "Writing the readings: 40 %." in text
    assert f'hx-get="/work/{job.pk}/"' in text
    assert f'href="/work/{job.pk}/"' in text
    part = client.get(f"/work/{job.pk}/", headers={"HX-Request": "true"}).content.decode()
    assert part.startswith("<section")


def test_work_that_is_over_asks_no_more_and_says_how_it_ended(client: Client, job: Job) -> None:
    work_off(job.pk, now=timezone.now(), works=WORKS)
    text = check_page(client.get(f"/work/{job.pk}/"))
    assert "hx-get" not in text
    assert "The file is no longer kept here." in text.replace("File: the", "The")


def test_work_is_stopped_by_one_form(client: Client, job: Job) -> None:
    response = client.post(f"/work/{job.pk}/stop/", follow=True)
    assert "Stopped before it began." in check_page(response)
    assert Job.objects.get(pk=job.pk).status == "stopped"


def test_unknown_work_is_a_page_in_words(client: Client, nursery: Nursery) -> None:
    assert client.get(f"/work/{uuid4()}/").status_code == 404
    assert client.post(f"/work/{uuid4()}/stop/").status_code == 404


def test_a_large_logger_s_file_is_read_beside_the_pages(client: Client, dome: Dome) -> None:
    begin = datetime(2026, 1, 1)
    rows = "\n".join(f"{begin + timedelta(minutes=i):%Y-%m-%d %H:%M:00},{20 + i % 7 / 10:.1f},{94 - i % 5:.1f}" for i in range(38_000))
    file = SimpleUploadedFile("long.csv", f"time,temperature C,humidity %\n{rows}\n".encode())
    text = check_page(client.post(f"/domes/{dome.pk}/log/", {"file": file}))
    sha256 = re.search(r'name="sha256" value="([0-9a-f]{64})"', text)
    assert sha256
    response = client.post(f"/domes/{dome.pk}/log/accept/", {"sha256": sha256[1]})
    job = Job.objects.get()
    assert response.headers["Location"] == f"/work/{job.pk}/"
    assert not SensorDay.objects.exists()
    work_off(job.pk, now=timezone.now(), works=WORKS)
    ended = check_page(client.get(f"/work/{job.pk}/"))
    assert "38000 new readings" in ended
    assert f'href="/domes/{dome.pk}/#air"' in ended
