"""What several tests of answers begin with."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.kept import forget
from scionary.answers.schedule import Schedule
from scionary.answers.schedule_asking import Ask, planned
from scionary.answers.schedule_kept import keep_schedule
from scionary.book.models import Nursery


@pytest.fixture
def schedule(nursery: Nursery, now: datetime, settings: Any, tmp_path: Path) -> Schedule:
    """The quick plan of the small nursery, kept."""
    settings.DATA_FOLDER = tmp_path
    forget()
    small_nursery(nursery, now)
    return keep_schedule(planned(Ask(SEASON, effort="quick", why=False), today=TODAY, now=now), now=now)
