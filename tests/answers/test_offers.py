"""Files given and not yet accepted."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from scionary.answers.offers import accepted_before, keep_accepted, offer, offered
from scionary.book.models import RawFile
from scionary.errors import BadFile, Refused
from scionary.limits import LIMITS

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)


def test_an_offered_file_comes_back_as_it_was() -> None:
    assert offered(offer(b"a,b\n", "past.csv", now=NOW)) == (b"a,b\n", "past.csv")


def test_an_offer_is_thrown_away_after_a_day_and_an_accepted_file_is_not() -> None:
    old = offer(b"old", "old.csv", now=NOW)
    keep_accepted(b"kept", "kept.csv", "past", now=NOW)
    offer(b"new", "new.csv", now=NOW + timedelta(days=2))
    assert set(RawFile.objects.values_list("name", flat=True)) == {"kept.csv", "new.csv"}
    with pytest.raises(Refused, match="no longer kept here"):
        offered(old)


def test_a_file_is_accepted_only_for_its_own_use() -> None:
    offer(b"rows", "past.csv", now=NOW)
    assert accepted_before(b"rows", "past") is None
    keep_accepted(b"rows", "past.csv", "past", now=NOW)
    assert accepted_before(b"rows", "past") is not None
    assert accepted_before(b"rows", "wishes") is None


def test_offering_an_accepted_file_again_leaves_it_accepted() -> None:
    keep_accepted(b"rows", "past.csv", "past", now=NOW)
    offer(b"rows", "again.csv", now=NOW)
    assert RawFile.objects.get().kind == "past"


def test_empty_and_huge_files_are_refused() -> None:
    with pytest.raises(BadFile, match=r"past.csv: the file is empty"):
        offer(b"", "past.csv", now=NOW)
    with pytest.raises(BadFile, match=r"the file has 40 MB; at most 40 MB are read"):
        offer(bytes(LIMITS["file_bytes"] + 1), "past.csv", now=NOW)
