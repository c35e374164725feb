"""What a row of past records means for the book."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from scionary.answers.past_meaning import Choices, Meaning, meanings, read_stage, stage_decides
from scionary.book.models import Nursery
from scionary.errors import Refused
from scionary.files.past_records import Look, PastRow

NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)
NURSERY = Nursery(name="Tarn Bridge", time_zone="UTC", latitude_deg=47.2)
DAY = date(2025, 2, 10)


def look(takes: int | None, stage: str | None = None) -> Look:
    outcome = "unknown" if takes is None else "alive" if takes else "dead"
    return Look(takes, outcome, stage, "took")  # type: ignore[arg-type]


def meaning(row: PastRow, *, stage: str | None = None, choices: Choices | None = None, as_counts: bool = False) -> Meaning:
    taken, refused = meanings([row], stage=stage, choices=choices or Choices(), as_counts=as_counts, nursery=NURSERY, now=NOW)
    assert refused == []
    return taken[0]


def one_graft(*looks: Look, **more: object) -> PastRow:
    values = {"row": 3, "cultivar": "Red Tarn", "grafts": 1, "date": DAY, "season": 2025, "precision": "day", "looks": looks, **more}
    return PastRow(**values)  # type: ignore[arg-type]


def test_one_graft_that_took_becomes_a_plant_with_its_sign() -> None:
    found = meaning(one_graft(look(1, "in_leaf")))
    assert found.is_plant
    assert found.grafted_at == datetime(2025, 2, 10, 12, tzinfo=UTC)
    assert [(sign.stage, sign.answer) for sign in found.signs] == [("in_leaf", "yes")]
    assert found.lost_at is None
    assert found.words == "A plant of its own: Red Tarn, grafted 2025-02-10; in leaf the next spring: yes."


def test_one_graft_that_died_later_keeps_its_earlier_yes_and_is_lost() -> None:
    found = meaning(one_graft(look(1, "firm"), look(0, "in_leaf")))
    assert [(sign.stage, sign.answer) for sign in found.signs] == [("firm", "yes"), ("in_leaf", "no")]
    assert found.lost_at == found.signs[1].at
    assert found.signs[0].at < found.signs[1].at <= NOW


def test_unknown_stays_unknown() -> None:
    found = meaning(one_graft(look(None)))
    assert found.is_plant
    assert (found.signs, found.lost_at) == ((), None)
    assert "how it went is not known" in found.words


def test_an_outcome_without_a_stage_stays_a_count_until_the_person_says_the_stage() -> None:
    row = one_graft(look(1))
    assert not meaning(row).is_plant
    assert meaning(row).counts == ((None, 1),)
    assert meaning(row, stage="firm").signs[0].stage == "firm"
    assert not meaning(row, stage="not said").is_plant


def test_the_stage_of_a_cell_wins_over_the_persons() -> None:
    assert meaning(one_graft(look(1, "in_leaf")), stage="firm").signs[0].stage == "in_leaf"


def test_a_graft_of_no_known_time_is_a_count() -> None:
    found = meaning(one_graft(look(1, "firm"), date=None, season=None, precision=None))
    assert not found.is_plant
    assert found.counts == (("firm", 1),)


def test_single_grafts_can_be_kept_as_counts() -> None:
    assert not meaning(one_graft(look(1, "firm")), as_counts=True).is_plant


@pytest.mark.parametrize(
    ("values", "moment", "precision"),
    [
        ({"date": date(2025, 3, 1), "precision": "month"}, datetime(2025, 3, 15, 12, tzinfo=UTC), "month"),
        ({"date": None, "season": 2024, "precision": "season"}, datetime(2024, 7, 1, 12, tzinfo=UTC), "year"),
        ({"date": date(2026, 7, 1), "precision": "month"}, NOW, "month"),
        ({"date": None, "season": 2026, "precision": "year"}, datetime(2026, 7, 1, 12, tzinfo=UTC), "year"),
        ({"date": date(2027, 3, 4), "precision": "day"}, datetime(2027, 3, 4, 12, tzinfo=UTC), "day"),
    ],
)
def test_a_time_is_as_exact_as_it_was_written(values: dict[str, object], moment: datetime, precision: str) -> None:
    found = meaning(one_graft(look(None), **values))
    assert (found.grafted_at, found.precision) == (moment, precision)


def test_a_look_never_lies_before_the_graft_or_in_the_future() -> None:
    found = meaning(one_graft(look(1, "in_leaf"), date=date(2026, 7, 1), precision="day"))
    assert found.signs[0].at == NOW
    ahead = meaning(one_graft(look(1, "in_leaf"), date=date(2026, 12, 1), precision="day"))
    assert ahead.grafted_at is not None
    assert ahead.signs[0].at > ahead.grafted_at


def test_looks_without_a_day_are_dated_when_they_could_be_made() -> None:
    found = meaning(one_graft(look(1, "firm"), look(1, "growing"), look(1, "in_leaf")))
    firm, growing, in_leaf = (sign.at for sign in found.signs)
    assert (firm.date() - DAY).days >= 31
    assert firm < growing < in_leaf
    assert in_leaf.date() == date(2026, 5, 19)


def test_each_row_says_why_it_becomes_what_it_becomes() -> None:
    unknown = {"date": None, "season": None, "precision": None}
    told = [
        meaning(one_graft(look(1, "firm"))).why,
        meaning(one_graft(look(1))).why,
        meaning(one_graft(look(1, "firm"), **unknown)).why,
        meaning(one_graft(look(1, "firm")), as_counts=True).why,
        meaning(PastRow(5, "Ash Gill", 10)).why,
    ]
    assert told == [
        "one graft whose time is known, and the stage of its takes",
        "at which stage it took is not said",
        "when it was grafted is not known",
        "all rows are to be kept as counts",
        "a row of several grafts",
    ]
    assert stage_decides(meaning(one_graft(look(1))), as_counts=False)
    assert not stage_decides(meaning(one_graft(look(1))), as_counts=True)


def test_counts_become_one_count_a_stage() -> None:
    row = PastRow(5, "Ash Gill", 10, season=2024, precision="year", looks=(look(8, "firm"), look(None, "in_leaf")))
    found = meaning(row)
    assert found.counts == (("firm", 8), ("in_leaf", None))
    assert "8 of 10 took (firm after the cover came off)" in found.words
    assert "how many of 10 took is not known (in leaf the next spring)" in found.words


def test_takes_at_a_stage_not_said_stand_beside_those_at_a_stage() -> None:
    found = meaning(PastRow(5, "Ash Gill", 10, season=2024, precision="year", looks=(look(8, "firm"), look(6))))
    assert found.counts == (("firm", 8), (None, 6))


def test_ten_grafts_without_a_look_are_one_count_with_nothing_known() -> None:
    assert meaning(PastRow(5, "Ash Gill", 10)).counts == ((None, None),)


def test_the_number_on_an_old_label_is_kept_and_other_labels_go_into_the_note() -> None:
    assert meaning(one_graft(label="Red Tarn 12")).running == 12
    assert meaning(one_graft(label="17")).running == 17
    other = meaning(one_graft(label="blue tape"))
    assert (other.running, other.note) == (None, "label: blue tape")


def test_the_persons_names_are_used() -> None:
    row = one_graft(look(1, "firm"), method="veneer", stock_lot="B")
    choices = Choices(cultivars={"red tarn": "Fell Lace"}, methods={"veneer": "Side veneer, dormant, winter"}, lots={"B": ""})
    found = meaning(row, choices=choices)
    assert (found.cultivar, found.method, found.lot) == ("Fell Lace", "Side veneer, dormant, winter", "")
    assert found.note == "stock: B"


def test_rows_that_cannot_be_are_told_with_a_remedy() -> None:
    rows = [one_graft(cultivar="Red " * 20), one_graft(date=date(1025, 2, 10))]
    taken, refused = meanings(rows, stage=None, choices=Choices(), as_counts=False, nursery=NURSERY, now=NOW)
    assert taken == []
    assert "79 characters" in refused[0].why
    assert refused[1].why == "the year 1025 lies before 1900."
    assert all(problem.remedy for problem in refused)


def test_an_unknown_stage_is_refused() -> None:
    with pytest.raises(Refused, match="no stage is called 'soon'"):
        read_stage("soon")
