"""Where the rows of a station's sun stand, told from its clear days."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import clear_sky_radiation, sun_clock, sun_height

PLACE = (54.2, -2.5)


def stamped(*, moved_h=0.0, step_h=1, days=12, dull_from=9, place=PLACE):
    """Means of each step, stamped at its middle and moved; the last days under clouds."""
    time_s = 1.78e9 // 86_400 * 86_400 + np.arange(0, days * 24, step_h) * 3600.0
    within = ((np.arange(12) + 0.5) / 12 - 0.5) * step_h * 3600.0
    sun = 0.9 * clear_sky_radiation(sun_height(*place, time_s[:, None] + within)).mean(axis=1)
    clouds = np.random.default_rng(1).uniform(0.1, 1.0, time_s.size)
    dull = time_s >= time_s[0] + dull_from * 86_400
    return time_s + moved_h * 3600.0, np.where(dull, clouds * sun, sun)


@pytest.mark.parametrize(("moved_h", "step_h"), [(0.5, 1), (-0.5, 1), (0.0, 1), (1.5, 3), (0.25, 0.5)])
def test_clear_days_tell_how_late_rows_stand(moved_h, step_h):
    found = sun_clock(*PLACE, *stamped(moved_h=moved_h, step_h=step_h), step_h * 3600.0)
    assert found.late_h == pytest.approx(moved_h, abs=0.11)
    assert 6 <= found.days <= 10


def test_south_of_the_line_and_far_west_it_is_told_as_well():
    found = sun_clock(-41.0, -72.0, *stamped(moved_h=0.5, place=(-41.0, -72.0)), 3600.0)
    assert found.late_h == pytest.approx(0.5, abs=0.11)


def test_clouds_alone_tell_nothing():
    assert np.isnan(sun_clock(*PLACE, *stamped(dull_from=0), 3600.0).late_h)


def test_two_clear_days_are_too_few():
    assert np.isnan(sun_clock(*PLACE, *stamped(days=2), 3600.0).late_h)


def test_rows_of_another_length_are_refused():
    with pytest.raises(BadValue, match="solar_w_m2 is '2 values'; allowed: one for each of the 3 moments"):
        sun_clock(*PLACE, [0.0, 3600.0, 7200.0], [1.0, 2.0], 3600.0)
