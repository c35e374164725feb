"""A trial from its plan to its verdict, on a real book."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from scionary.answers.trial_notes import count_again, leave_out, put_away
from scionary.answers.trial_places import Fate, healing_places
from scionary.answers.trial_planning import TrialAsk, keep_trial
from scionary.answers.trials import trial_answer, trials
from scionary.book import queries
from scionary.book.commands import Written, correct, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Graft, Plant, Trial
from scionary.errors import Refused, UnknownSubject
from scionary.take import LookVerdict, TrialLayout, Verdict, analyse_trial

pytestmark = pytest.mark.django_db
LATER = date(2026, 4, 30)
Grafting = Callable[..., Written]
Writing = Callable[..., Any]


@pytest.fixture
def score(write: Writing) -> Callable[[Plant, bool], None]:
    """Scores a plant firm or not, 31 days after grafting."""
    return lambda plant, yes: write("scored", plant, days=31, sign="firm", answer="yes" if yes else "no")


def fates(trial: Trial, *, today: date = LATER) -> list[Fate]:
    return [place.fate for place in trial_answer(trial.pk, today=today).places]


def test_a_trial_without_grafts_asks_for_the_bench_sheet(trial: Callable[..., Trial], now: datetime) -> None:
    answer = trial_answer(trial().pk, today=now.date())
    assert (answer.state, answer.waiting, answer.known, answer.analysis) == ("not begun", 4, 0, None)
    assert answer.sentence.startswith("Nothing of it is grafted yet: print the bench sheet")


def test_from_the_plan_to_the_verdict(dome: Dome, graft: Grafting, score: Callable[[Plant, bool], None], now: datetime) -> None:
    """Two domes of ten, arms beside each other; all of one arm take, none of the other."""
    other = save_noun(Dome, {"name": "Dome 2"}, now=now)
    kept = keep_trial(TrialAsk("Film or rubber", ("film", "rubber"), now.date(), stage="firm"), now=now, ident=uuid7())
    for each in (dome, other):
        block = next(block for block in kept.layout if block["dome"] == str(each.pk))
        written = graft(len(block["places"]), dome=each.pk).plants
        for plant, arm in zip(written, block["arms"], strict=True):
            score(plant, arm == 1)
    answer = trial_answer(kept.pk, today=LATER)
    assert answer.over
    assert [(arm.letter, arm.name, arm.took, arm.known) for arm in answer.arms] == [("A", "film", 0, 10), ("B", "rubber", 10, 10)]
    assert answer.analysis is not None
    assert answer.analysis.comparisons[0].verdict is Verdict.SECOND_BETTER
    assert answer.sentence.startswith("rubber takes better than film: 10 of 10 took with rubber and 0 of 10 took with film")
    assert "20 of 20 known" in answer.why


def test_the_answer_is_the_engines_of_the_same_outcomes(
    trial: Callable[..., Trial], dome: Dome, graft: Grafting, score: Callable[[Plant, bool], None]
) -> None:
    kept = trial()
    for plant, yes in zip(graft(4, dome=dome.pk).plants, (True, True, False, True), strict=True):
        score(plant, yes)
    answer = trial_answer(kept.pk, today=LATER)
    layout = answer.layout
    expected = analyse_trial(layout, [1.0, 1.0, 0.0, 1.0])
    assert isinstance(layout, TrialLayout)
    assert answer.analysis is not None
    assert answer.analysis.to_dict() == expected.to_dict()


def test_what_is_not_scored_is_not_known_and_a_loss_is_a_failure(
    trial: Callable[..., Trial], dome: Dome, graft: Grafting, score: Callable[[Plant, bool], None], write: Writing
) -> None:
    kept = trial()
    first, second, third, _ = graft(4, dome=dome.pk).plants
    score(first, True)
    write("lost", second, days=31, cause="mould")
    assert fates(kept) == [Fate.TOOK, Fate.WAITING, Fate.WAITING, Fate.WAITING]  # most that stand were not looked at
    score(third, True)
    assert fates(kept) == [Fate.TOOK, Fate.FAILED, Fate.TOOK, Fate.WAITING]


def test_an_outcome_that_nobody_wrote_down_is_missing_after_long_waiting(
    trial: Callable[..., Trial], dome: Dome, graft: Grafting, score: Callable[[Plant, bool], None], now: datetime
) -> None:
    kept = trial()
    plants = graft(4, dome=dome.pk).plants
    for plant in plants[:3]:
        score(plant, True)
    due = now.date() + timedelta(days=31)  # without a method: firm is seen after 31 days
    soon, late = (trial_answer(kept.pk, today=due + timedelta(days=days)) for days in (60, 61))
    assert (soon.places[3].fate, soon.over) == (Fate.WAITING, False)
    assert (late.places[3].fate, late.over) == (Fate.UNSEEN, True)
    assert not any("not known" in remark for remark in soon.remarks)
    assert any(remark.startswith("1 outcome is not known (1 with film") for remark in late.remarks)


def test_a_plant_that_moved_later_counts_where_it_healed(
    trial: Callable[..., Trial], dome: Dome, graft: Grafting, score: Callable[[Plant, bool], None], write: Writing
) -> None:
    kept = trial()
    first, second, third, fourth = graft(4, dome=dome.pk).plants
    score(first, True)
    write("moved", first, days=40, stands="shade tunnel")
    write("moved", second, days=40, dome=dome.pk, place=4)
    assert fates(kept)[0] is Fate.TOOK
    assert [place.plant for place in trial_answer(kept.pk, today=LATER).places] == [first, second, third, fourth]


def test_a_place_set_right_on_the_same_day_is_its_place(trial: Callable[..., Trial], dome: Dome, graft: Grafting, write: Writing) -> None:
    trial()
    moved, corrected = graft(2, dome=dome.pk).plants
    write("moved", moved, days=0.1, dome=dome.pk, place=7)
    correct(corrected.grafts.get().pk, {"place": 9}, now=datetime.fromisoformat("2026-02-15T08:00:00+00:00"))
    places = healing_places(Graft.objects.select_related("plant"), queries.nursery())
    assert [places[plant.grafts.get().pk] for plant in (moved, corrected)] == [7, 9]


def test_a_place_left_empty_is_missing_once_the_filling_is_long_over(
    trial: Callable[..., Trial], dome: Dome, graft: Grafting, now: datetime
) -> None:
    kept = trial()
    graft(2, dome=dome.pk, places=(1, 3))
    soon = fates(kept, today=now.date() + timedelta(days=28))
    assert soon == [Fate.WAITING, Fate.TO_COME, Fate.WAITING, Fate.TO_COME]
    assert fates(kept, today=now.date() + timedelta(days=29)) == [Fate.WAITING, Fate.NOT_MADE, Fate.WAITING, Fate.NOT_MADE]


def test_only_the_first_filling_since_the_trials_day_counts(trial: Callable[..., Trial], dome: Dome, graft: Grafting) -> None:
    graft(1, dome=dome.pk, days=-60, places=(1,))
    kept = trial()
    mine = graft(1, dome=dome.pk, places=(1,)).plants[0]
    graft(2, dome=dome.pk, days=60, places=(1, 2))
    places = trial_answer(kept.pk, today=date(2026, 5, 30)).places
    assert [place.plant for place in places] == [mine, None, None, None]


def test_a_second_filling_is_told_from_the_first(trial: Callable[..., Trial], dome: Dome, graft: Grafting) -> None:
    block = {"dome": str(dome.pk), "name": "Dome 1", "places": [1, 2]}
    kept = trial(layout=[{**block, "filling": 1, "arms": [0, 1]}, {**block, "filling": 2, "arms": [1, 0]}])
    first = graft(1, dome=dome.pk, places=(1,)).plants[0]
    again = graft(1, dome=dome.pk, days=40, places=(1,)).plants[0]
    places = trial_answer(kept.pk, today=date(2026, 4, 10)).places
    assert [place.plant for place in places] == [first, None, again, None]
    assert [place.fate for place in places] == [Fate.WAITING, Fate.NOT_MADE, Fate.WAITING, Fate.TO_COME]


def test_another_cultivar_is_left_out_and_named(
    trial: Callable[..., Trial], dome: Dome, graft: Grafting, cultivar: Cultivar, now: datetime
) -> None:
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    kept = trial(cultivars=[str(cultivar.pk)])
    graft(1, dome=dome.pk)
    graft(1, dome=dome.pk, cultivar=other.pk)
    answer = trial_answer(kept.pk, today=now.date())
    assert [place.fate for place in answer.places][:2] == [Fate.WAITING, Fate.OTHER]
    assert "Not of the trial's cultivars, and left out: Ash Gill 1." in answer.remarks


def test_grafts_without_a_place_are_flagged(trial: Callable[..., Trial], dome: Dome, graft: Grafting, write: Writing) -> None:
    kept = trial()
    plant = graft(1, dome=dome.pk).plants[0]
    correct(plant.grafts.get().pk, {"place": None}, now=datetime.fromisoformat("2026-02-15T08:00:00+00:00"))
    answer = trial_answer(kept.pk, today=LATER)
    assert answer.remarks[0].startswith("1 graft in these domes without a place")


def test_what_did_not_go_as_laid_out_is_missing_until_it_is_taken_back(
    trial: Callable[..., Trial], dome: Dome, graft: Grafting, score: Callable[[Plant, bool], None], now: datetime
) -> None:
    kept = trial()
    for plant in graft(4, dome=dome.pk).plants:
        score(plant, True)
    leave_out(kept.pk, block=0, place=2, why=" the wrong  film ", now=now + timedelta(days=40), who="Ina")
    answer = trial_answer(kept.pk, today=LATER)
    assert (answer.places[1].fate, answer.places[1].why, answer.arms[1].known, answer.arms[1].missing) == (
        Fate.LEFT_OUT_KNOWN,
        "the wrong film",
        1,
        1,
    )
    late = "left out after its outcome was known"
    assert answer.places[1].fate == late
    assert (f"1 {late}" in answer.why, any(f"1 place {late}" in remark for remark in answer.remarks)) == (True, True)
    assert not any("not known" in remark for remark in answer.remarks)
    assert answer.state == "over, 1 not known"
    assert [place["fate"] for place in answer.to_dict()["places"]].count(late) == 1
    leave_out(kept.pk, block=0, place=2, why="again", now=now - timedelta(days=1))
    assert fates(kept)[1] is Fate.LEFT_OUT_KNOWN
    count_again(kept.pk, block=0, place=2, now=now)
    assert fates(kept) == [Fate.TOOK] * 4


def test_a_whole_filling_is_left_out_at_once(trial: Callable[..., Trial], now: datetime) -> None:
    kept = trial()
    leave_out(kept.pk, block=0, place=None, why="the dome fell over", now=now)
    leave_out(kept.pk, block=0, place=1, why="it was never grafted", now=now)
    found = {out["place"]: out["why"] for out in Trial.objects.get().left_out}
    assert found == {1: "it was never grafted", 2: "the dome fell over", 3: "the dome fell over", 4: "the dome fell over"}
    answer = trial_answer(kept.pk, today=LATER)
    assert (answer.over, answer.sentence) == (True, "Nothing of this trial can be known any more.")


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"block": 0, "place": 5, "why": "x"}, "Dome 1 has no place 5 in this trial"),
        ({"block": 1, "place": 1, "why": "x"}, "no such filling"),
        ({"block": 0, "place": 1, "why": "  "}, "does not say why"),
    ],
)
def test_a_deviation_that_cannot_be_is_refused(trial: Callable[..., Trial], now: datetime, given: dict[str, Any], message: str) -> None:
    kept = trial()
    with pytest.raises(Refused, match=message):
        leave_out(kept.pk, now=now, **given)
    assert Trial.objects.get().left_out == []


def test_a_running_trial_is_looked_at_by_the_rule_for_looks(
    trial: Callable[..., Trial], dome: Dome, graft: Grafting, score: Callable[[Plant, bool], None]
) -> None:
    block = {"dome": str(dome.pk), "name": "Dome 1", "filling": 1, "places": list(range(1, 101)), "arms": [0, 1] * 50}
    kept = trial(layout=[block])
    plants = graft(100, dome=dome.pk).plants
    for at, plant in enumerate(plants[:50]):
        score(plant, at % 2 == 1)
    answer = trial_answer(kept.pk, today=LATER)
    assert answer.look is not None
    assert (answer.look.at_most, answer.look.an_arm, answer.look.verdict) == (50, 25, LookVerdict.CLAIM)
    assert answer.sentence.startswith("Claim it: rubber takes better with a chance of")
    assert answer.claim


def test_a_trial_of_whole_domes_is_judged_once(
    trial: Callable[..., Trial], dome: Dome, graft: Grafting, score: Callable[[Plant, bool], None], now: datetime
) -> None:
    other = save_noun(Dome, {"name": "Dome 2"}, now=now)
    layout = [
        {"dome": str(each.pk), "name": each.name, "filling": 1, "places": [1, 2], "arms": [at, at]} for at, each in enumerate((dome, other))
    ]
    kept = trial(layout=layout, whole_dome=True)
    plant = graft(1, dome=dome.pk).plants[0]
    score(plant, True)
    answer = trial_answer(kept.pk, today=date(2026, 3, 1), interaction=True)
    assert (answer.look, answer.interaction, answer.sentence) == (None, False, "Go on: it is judged once, when all outcomes are in.")
    assert answer.analysis is not None
    assert answer.analysis.compared == "whole trays"


def test_the_effect_may_differ_from_dome_to_dome_when_asked(
    trial: Callable[..., Trial], dome: Dome, graft: Grafting, score: Callable[[Plant, bool], None]
) -> None:
    kept = trial()
    for plant in graft(4, dome=dome.pk).plants:
        score(plant, True)
    plain, wider = (trial_answer(kept.pk, today=LATER, interaction=chosen) for chosen in (False, True))
    assert plain.analysis is not None
    assert wider.analysis is not None
    assert (plain.analysis.compared, wider.analysis.compared) == ("grafts inside trays", "differences between trays")


def test_a_trial_put_away_is_listed_only_when_all_are_asked_for(trial: Callable[..., Trial], now: datetime) -> None:
    kept = trial()
    put_away(kept.pk, away=True, now=now)
    assert (trials(today=LATER), len(trials(today=LATER, all_trials=True))) == ([], 1)
    put_away(kept.pk, away=False, now=now)
    assert len(trials(today=LATER)) == 1


def test_the_answer_as_plain_values_holds_no_number_that_json_lacks(trial: Callable[..., Trial], dome: Dome, graft: Grafting) -> None:
    import json

    kept = trial()
    graft(4, dome=dome.pk)
    told = trial_answer(kept.pk, today=LATER).to_dict()
    assert json.loads(json.dumps(told, allow_nan=False)) == told


def test_an_unknown_trial_is_refused(nursery: object) -> None:
    with pytest.raises(UnknownSubject, match="no such trial"):
        trial_answer(UUID(int=7), today=LATER)


def test_a_lot_drawn_after_grafting_began_is_flagged(trial: Callable[..., Trial], now: datetime) -> None:
    assert trial_answer(trial().pk, today=LATER).flags == []
    late = trial(name="Wax or none", begins_on=now.date() - timedelta(days=3))
    assert "before the lot is drawn (14 February 2026)" in trial_answer(late.pk, today=LATER).remarks[0]
