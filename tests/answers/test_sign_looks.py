"""What a sign said before the end was known, and what it said once that was seen."""

from collections.abc import Callable
from datetime import datetime

import pytest

from scionary.answers.early_signs import sign_accuracies
from scionary.book.commands import Written, correct
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db
Write = Callable[..., Answer]
Grafts = Callable[..., Written]


def counted(sign: str) -> dict[str, int]:
    return {end: count for end, count in sign_accuracies()[sign].counts.items() if count}


@pytest.mark.parametrize("sign", ["stalk_drops", "bud_moving"])
@pytest.mark.parametrize(("day", "kept"), [(-161, {"yes_taken": 1}), (-160, {}), (-150, {})])
def test_a_sign_seen_with_the_end_or_after_it_is_no_early_sign(
    graft: Grafts, write: Write, sign: str, day: int, kept: dict[str, int]
) -> None:
    plant = graft(days=-200).plants[0]
    write("scored", plant, sign="firm", answer="yes", days=-160)
    write("scored", plant, sign=sign, answer="yes", days=day)
    assert counted(sign) == kept


def test_what_was_seen_earlier_counts_where_it_was_scored_again_with_the_end(graft: Grafts, write: Write) -> None:
    plant = graft(days=-200).plants[0]
    write("scored", plant, sign="stalk_drops", answer="no", days=-186)
    write("scored", plant, sign="firm", answer="yes", days=-160)
    write("scored", plant, sign="stalk_drops", answer="yes", days=-160)
    assert counted("stalk_drops") == {"no_taken": 1}


def test_a_date_put_right_decides(graft: Grafts, write: Write, now: datetime) -> None:
    plant = graft(days=-200).plants[0]
    write("scored", plant, sign="firm", answer="yes", days=-160)
    seen = write("scored", plant, sign="stalk_drops", answer="yes", days=-150)
    correct(seen.id, {"happened_at": "2025-08-10T10:00:00+00:00"}, now=now)
    assert counted("stalk_drops") == {"yes_taken": 1}


def test_a_plant_thrown_away_on_the_walk_that_saw_the_sign_counts(graft: Grafts, write: Write) -> None:
    kept, thrown = graft(2, days=-200).plants
    write("scored", kept, sign="firm", answer="yes", days=-160)
    write("scored", thrown, sign="stalk_drops", answer="no", days=-186)
    write("lost", thrown, days=-186)
    assert counted("stalk_drops") == {"no_lost": 1}
