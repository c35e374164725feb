"""What early signs are worth, in a grower's words."""

from collections.abc import Callable

import pytest

from scionary.answers.bud_looks import learn_push
from scionary.answers.early_signs import sign_accuracies
from scionary.answers.sign_findings import sign_findings
from scionary.answers.take_model import without_waiting
from scionary.book.commands import Written
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db
Write = Callable[..., Answer]
Grafts = Callable[..., Written]


def thirty(graft: Grafts, write: Write) -> None:
    """Of 20 that took 17 dropped their stalk, of 10 that failed 5."""
    for i, plant in enumerate(graft(30, days=-200).plants):
        took = i < 20
        drops = i < 17 or 20 <= i < 25
        write("scored", plant, sign="stalk_drops", answer="yes" if drops else "no", days=-186)
        write("scored", plant, sign="firm", answer="yes" if took else "no", days=-160)


def test_a_book_without_signs_has_none_to_tell(graft: Grafts, write: Write) -> None:
    for plant in graft(3, days=-200).plants:
        write("scored", plant, sign="firm", answer="yes", days=-160)
    answer = sign_findings()
    assert (answer.worths, answer.push, answer.total) == ([], None, None)
    assert answer.sentence == "No early sign was followed up to a known end yet."


def test_a_sign_is_told_by_counts_and_ranges(graft: Grafts, write: Write) -> None:
    thirty(graft, write)
    (worth,) = sign_findings().worths
    assert worth.counted == "Of 20 that took, 17 dropped their stalk; so did 5 of 10 that failed."
    assert worth.followed_words == "Scored on 30 grafts: 30 followed up to a known end."
    seen, low, high = worth.shown_by_takes
    assert low < 0.85 < high
    assert low < seen < high
    _, low, high = worth.shown_by_failures
    assert low < 0.5 < high
    assert worth.says == "A stalk that drops is a hint."


def test_what_waits_is_counted_apart_and_does_not_change_the_worth(graft: Grafts, write: Write) -> None:
    thirty(graft, write)
    before = sign_accuracies()["stalk_drops"].counts
    for plant in graft(5).plants:
        write("scored", plant, sign="stalk_drops", answer="no", days=14)
    assert sign_accuracies()["stalk_drops"].counts == before
    (worth,) = sign_findings().worths
    assert (worth.scored, worth.followed, worth.waiting) == (35, 30, 5)


def test_plants_never_followed_up_are_said(graft: Grafts, write: Write) -> None:
    thirty(graft, write)
    for plant in graft(4, days=-190).plants:
        write("scored", plant, sign="stalk_drops", answer="no", days=-176)
        write("observed", plant, seen="missing", days=-170)
    (worth,) = sign_findings().worths
    assert worth.followed_words == "Scored on 34 grafts: 30 followed up to a known end, 4 never followed up."
    assert any("depended on the sign alone" in words for words in worth.assumptions)


def test_one_that_took_and_none_that_failed(graft: Grafts, write: Write) -> None:
    plant = graft(days=-200).plants[0]
    write("scored", plant, sign="stalk_drops", answer="yes", days=-186)
    write("scored", plant, sign="firm", answer="yes", days=-160)
    (worth,) = sign_findings().worths
    assert worth.counted == "Of 1 that took, 1 dropped its stalk; none with a known end failed."


def test_the_curve_of_bud_push_rises_and_is_told_by_day(graft: Grafts, write: Write) -> None:
    for i, plant in enumerate(graft(24, days=-200).plants):
        for day in (20, 30, 45):
            pushed = i < 16 and 22 + i % 9 <= day
            write("scored", plant, sign="bud_moving", answer="yes" if pushed else "no", days=-200 + day)
        write("scored", plant, sign="firm", answer="yes" if i < 16 else "no", days=-140)
    with without_waiting():
        waits = sign_findings()
    assert (waits.push, waits.push_coming) == (None, True)
    assert "worked out beside the pages" in waits.no_push
    learn_push([])
    with without_waiting():
        push = sign_findings().push
    assert push is not None
    middles = [each.mid for each in push.days]
    assert middles == sorted(middles)
    assert all(each.low <= each.mid <= each.high for each in push.days)
    half = next(each.day for each in push.days if each.mid >= 0.5)
    assert push.words.startswith(f"Half of the buds of takes have moved by about day {half}")
    assert push.learned_from == "Learned from looks at 16 grafts that took and 8 that failed, over 1 season."


def test_few_looks_say_why_there_is_no_curve(graft: Grafts, write: Write) -> None:
    plant = graft(days=-200).plants[0]
    write("scored", plant, sign="bud_moving", answer="yes", days=-170)
    write("scored", plant, sign="firm", answer="yes", days=-160)
    assert "looks at the buds of 10 grafts with a known end" in sign_findings().no_push
