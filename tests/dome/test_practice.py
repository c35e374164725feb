import pytest

from scionary.dome import Basis, common_practice_steps, may_open
from scionary.errors import BadValue

DAY = 86_400.0


@pytest.mark.parametrize(
    ("reached", "sound", "allowed", "look"),
    [
        (True, None, False, True),
        (False, None, False, False),
        (True, False, False, False),
        (True, True, True, False),
        (False, True, True, False),
    ],
)
def test_the_callus_clock_alone_never_opens_a_dome(reached, sound, allowed, look):
    opening = may_open(callus_reached=reached, looked_sound=sound)
    assert (opening.allowed, opening.look) == (allowed, look)


def test_without_a_log_a_month_stays_closed_but_for_a_morning_airing():
    steps = common_practice_steps(0.0)
    closed = [each for each in steps if each.vent_cm2 == 0.0]
    assert [each.open_minutes for each in closed] == [5.0, 8.0, 12.0, 15.0]
    assert closed[-1].until_s == 28 * DAY
    assert {each.basis for each in steps} == {Basis.COMMON_PRACTICE}


def test_then_vents_open_by_even_degrees():
    vents = [each for each in common_practice_steps(0.0, days=14, steps=7, largest_vent_cm2=210.0) if each.vent_cm2]
    assert [round(each.vent_cm2) for each in vents] == [30, 60, 90, 120, 150, 180, 210]
    assert [each.at_s / DAY for each in vents] == [28, 30, 32, 34, 36, 38, 40]
    assert vents[-1].until_s == 42 * DAY


@pytest.mark.parametrize(("name", "value"), [("closed_days", 0), ("days", 200), ("steps", 0), ("largest_vent_cm2", -5)])
def test_practice_that_cannot_be_is_refused(name, value):
    with pytest.raises(BadValue, match=f"{name} is "):
        common_practice_steps(0.0, **{name: value})
