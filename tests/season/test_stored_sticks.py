"""Sticks between tree and bench."""

import pytest

from scionary.errors import BadValue
from scionary.season import Rating, StoredSticks


def test_fresh_and_moist_is_good():
    assert {each.rating for each in StoredSticks(True, 1.0, 5.0, False).reasons()} == {Rating.GOOD}


def test_dry_sticks_are_bad_and_stand_first():
    found = StoredSticks(False, 90.0, 2.0, True).reasons()
    assert [(each.quantity, each.rating) for each in found][:2] == [("stored_dry", Rating.BAD), ("stored_days", Rating.DOUBT)]


def test_dormant_sticks_keep_longer():
    assert StoredSticks(True, 30.0).reasons()[0].rating is Rating.DOUBT
    assert StoredSticks(False, 30.0).reasons()[0].rating is Rating.GOOD


def test_it_is_data_and_what_is_not_known_says_nothing():
    assert StoredSticks(True, 1.0).to_dict() == {"leafy": True, "days": 1.0, "temperature_c": None, "dry": None}
    assert StoredSticks(True).reasons() == ()


def test_a_store_in_fahrenheit_is_refused():
    with pytest.raises(BadValue, match=r"temperature_c is 68\.0; allowed: -30 to 50"):
        StoredSticks(True, 1.0, 68.0)
