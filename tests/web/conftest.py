"""A phone that the book knows."""

from __future__ import annotations

import pytest

from scionary.book.models import Nursery
from web.phones import Phone


@pytest.fixture
def phone(nursery: Nursery) -> Phone:
    return Phone().join()
