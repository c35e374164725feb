"""Thicknesses as they are typed, and by the slots of a gauge."""

from __future__ import annotations

import pytest

from scionary.errors import BadValue
from scionary.union import Doubt, gauge_reading, gauge_slots, read_thickness


@pytest.mark.parametrize(
    ("text", "unit", "thickness_mm"),
    [
        ("6.8", "mm", 6.8),
        ("6,8", "mm", 6.8),
        ("13", "64ths", 5.159375),
        ("13/64", "in", 5.159375),
        ("13/64", "64ths", 5.159375),
        ("1/4 in", "mm", 6.35),
        ("7 mm", "in", 7.0),
        ("7 mm", "64ths", 7.0),
    ],
)
def test_it_reads_what_a_thumb_types(text, unit, thickness_mm):
    found = read_thickness(text, unit)
    assert found.thickness_mm == pytest.approx(thickness_mm)
    assert (found.doubt, found.guess_mm) == (Doubt.NONE, None)


@pytest.mark.parametrize(
    ("text", "unit", "doubt", "guess_mm"),
    [
        ("0.25", "mm", Doubt.INCHES_AS_MM, 6.35),
        ("5/16", "mm", Doubt.INCHES_AS_MM, 7.9375),
        ("1 1/4", "mm", Doubt.INCHES_AS_MM, 31.75),
        ("13", "in", Doubt.SIXTY_FOURTHS_AS_INCHES, 5.159375),
        ("6.5", "in", Doubt.MM_AS_INCHES, 6.5),
        ("0.9 mm", "in", Doubt.THIN, None),
        ("80", "mm", Doubt.THICK, None),
    ],
)
def test_what_looks_like_another_unit_is_asked_about_and_never_changed_unasked(text, unit, doubt, guess_mm):
    found = read_thickness(text, unit)
    assert found.doubt is doubt
    assert found.guess_mm == (None if guess_mm is None else pytest.approx(guess_mm))
    assert found.to_dict()["doubt"] == doubt.value


@pytest.mark.parametrize(
    ("text", "unit", "message"),
    [
        ("0", "mm", "thickness is '0'; allowed: more than 0"),
        ("-3", "mm", "allowed: more than 0"),
        ("", "mm", "a length such as 6.8"),
        ("nan", "mm", "a length such as 6.8"),
        ("inf", "mm", "a length such as 6.8"),
        ("thick", "64ths", "a length such as 6.8"),
        ("3/0", "in", "a length such as 6.8"),
        ("5", "ell", "unit is 'ell'; allowed: mm, in or 64ths"),
    ],
)
def test_what_is_no_thickness_is_refused(text, unit, message):
    with pytest.raises(BadValue, match=message):
        read_thickness(text, unit)


def test_slots_run_from_thin_to_thick():
    assert gauge_slots() == tuple(2.0 + 0.5 * at for at in range(21))
    assert gauge_slots(3.0, 4.0, 0.1)[-1] == 4.0


def test_a_stem_lies_between_the_slot_that_takes_it_and_the_next():
    assert gauge_reading(6.5, 6.0) == (6.25, 0.25)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: gauge_slots(5.0, 5.0), "thinnest < thickest"),
        (lambda: gauge_slots(2.0, 30.0, 0.1), "2 to 40 slots"),
        (lambda: gauge_reading(6.0, 6.5), "below the slot that it goes into"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
