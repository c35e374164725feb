"""When wood for planned grafts is cut, in whole sticks."""

from __future__ import annotations

from datetime import date

from scionary.answers.cut_times import CutTimes

TIMES = CutTimes(first=date(2026, 11, 23), latest=date(2027, 2, 15), days=60)
JANUARY, MARCH, MAY, JULY = date(2027, 1, 4), date(2027, 3, 1), date(2027, 5, 3), date(2027, 7, 5)


def test_dormant_sticks_are_cut_before_the_buds_and_kept() -> None:
    assert TIMES.dormant([MAY]) == {MAY: date(2027, 2, 15)}
    assert TIMES.dormant([JANUARY]) == {JANUARY: JANUARY}


def test_one_cut_serves_the_weeks_for_which_it_keeps() -> None:
    assert TIMES.dormant([MARCH, JANUARY, MAY]) == {JANUARY: JANUARY, MARCH: JANUARY, MAY: date(2027, 2, 15)}


def test_what_is_too_late_to_cut_in_time_is_cut_now() -> None:
    late = CutTimes(first=date(2027, 3, 8), latest=date(2027, 2, 15), days=60)
    assert late.dormant([MAY]) == {MAY: date(2027, 3, 8)}


def test_halves_are_put_together_where_one_cut_serves_and_lost_where_wood_is_in_leaf() -> None:
    halves = [(JANUARY, False, 0.5), (MARCH, False, 0.5)]
    assert TIMES.whole(halves) == {JANUARY: 1}
    assert TIMES.whole([(week, True, sticks) for week, _, sticks in halves]) == {JANUARY: 1, MARCH: 1}
    assert TIMES.whole([(JULY, True, 1.5), (JULY, True, 0.5), (MAY, False, 0.0)]) == {JULY: 2}
