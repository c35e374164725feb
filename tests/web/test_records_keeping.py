"""Taking the book home; the list of long work."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone

from scionary.book.commands import Written
from scionary.book.models import Job, Nursery
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


def test_without_long_work_the_page_says_what_it_is_for(client: Client, nursery: Nursery) -> None:
    assert "There is none." in check_page(client.get("/book/jobs/"))


def test_long_work_is_listed_with_its_state(client: Client, nursery: Nursery) -> None:
    job = Job.objects.create(work="import past records", status="refused", message="row 3 is no date.", asked_at=timezone.now())
    text = check_page(client.get("/book/jobs/"))
    assert f'href="/work/{job.pk}/"' in text
    assert "refused" in text
    assert "Row 3 is no date." in check_page(client.get(f"/work/{job.pk}/"))
