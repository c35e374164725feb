"""Cut geometry, against a ring of points cut by a plane."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.union import cambium_half_width, cut_face_width


def half_width_of_points(ring_mm, plane_mm, count=200_001):
    """Widest half-width of a ring's points near a plane, found by looking for where the ring crosses it."""
    angle = np.linspace(0, np.pi, count)
    x, y = ring_mm * np.sin(angle), ring_mm * np.cos(angle)
    return x[np.argmin(np.abs(y - plane_mm))]


@settings(max_examples=30, deadline=None)
@given(st.floats(1, 20), st.floats(0.05, 1.95))
def test_the_face_is_where_the_plane_meets_the_bark(radius_mm, share):
    depth_mm = share * radius_mm
    assert cut_face_width(radius_mm, depth_mm) == pytest.approx(2 * half_width_of_points(radius_mm, radius_mm - depth_mm), abs=2e-3)


@settings(max_examples=30, deadline=None)
@given(st.floats(1, 20), st.floats(0, 0.4), st.floats(0.05, 0.95))
def test_the_lines_are_where_the_plane_meets_the_cambium(radius_mm, bark_share, share):
    bark_mm = bark_share * radius_mm
    depth_mm = bark_mm + share * 2 * (radius_mm - bark_mm)
    seen = half_width_of_points(radius_mm - bark_mm, radius_mm - depth_mm)
    assert cambium_half_width(radius_mm, bark_mm, depth_mm) == pytest.approx(seen, abs=2e-3)


@settings(max_examples=30, deadline=None)
@given(st.floats(1, 20), st.floats(0.01, 0.4), st.floats(0.05, 0.95))
def test_the_lines_lie_inside_the_face(radius_mm, bark_share, share):
    bark_mm = bark_share * radius_mm
    depth_mm = bark_mm + share * (radius_mm - bark_mm)
    assert 2 * cambium_half_width(radius_mm, bark_mm, depth_mm) < cut_face_width(radius_mm, depth_mm)


def test_a_cut_through_the_middle_is_as_wide_as_the_stem():
    assert cut_face_width(4.0, 4.0) == 8.0
    assert cambium_half_width(4.0, 0.6, 4.0) == pytest.approx(3.4)


def test_no_cut_leaves_no_face():
    assert cut_face_width(4.0, 0.0) == 0.0
    assert cut_face_width(4.0, 8.0) == 0.0


def test_numbers_give_numbers_and_arrays_broadcast():
    assert type(cut_face_width(4, 1)) is float
    assert type(cambium_half_width(4, 0.5, 1)) is float
    assert cambium_half_width(np.array([[4.0], [5.0]]), 0.6, np.array([1.0, 1.5, 2.0])).shape == (2, 3)


def test_not_measured_stays_not_measured():
    assert np.isnan(cut_face_width(np.nan, 1.0))
    assert np.isnan(cambium_half_width([4.0, 4.0], [np.nan, 0.6], [1.0, np.nan])).all()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: cut_face_width(4.0, 8.1), r"depth_mm is 8\.1; allowed: 0 to the stem's whole thickness"),
        (lambda: cut_face_width(-1.0, 0.0), r"radius_mm is -1\.0; allowed: 0 to 500 mm"),
        (lambda: cut_face_width([4.0, 2.0], 5.0), r"depth_mm is 5\.0 at index 1"),
        (lambda: cambium_half_width(4.0, 0.6, 0.6), r"depth_mm is 0\.6; .*stays in the bark shows no cambium"),
        (lambda: cambium_half_width([4.0, 4.0], 0.6, [1.0, 0.3]), r"depth_mm is 0\.3 at index 1"),
        (lambda: cambium_half_width(4.0, 4.0, 5.0), r"bark_mm is 4\.0; allowed: less than radius_mm"),
        (lambda: cambium_half_width(4.0, 0.6, 7.5), r"depth_mm is 7\.5; .*far side's bark"),
    ],
)
def test_cuts_that_cannot_be_are_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
