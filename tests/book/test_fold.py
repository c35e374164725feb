"""A plant's and a dome's present state from events alone."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from scionary.book.fold import DOME_KINDS, PLANT_KINDS, fold_dome, fold_plant
from scionary.book.kinds import BESIDE, KINDS
from scionary.book.settle import Record
from scionary.book.states import DomeFold, GraftState, PlantState

NOW = datetime(2026, 2, 14, 10, 30, tzinfo=UTC)
PLANT, DOME, OTHER_DOME, RED_TARN, ASH_GILL, POT = (UUID(int=number) for number in range(101, 107))
_numbers = itertools.count(1)


def happened(kind: str, days: float = 0, **payload: Any) -> Record:
    plain = {name: str(value) if isinstance(value, UUID) else value for name, value in payload.items()}
    return Record(UUID(int=next(_numbers)), kind, NOW + timedelta(days=days), plain)


def corrected(record: Record, days: float = 1, knew: tuple[Record, ...] = (), **replace: Any) -> Record:
    payload: dict[str, Any] = {"target": str(record.id), "knew": [str(known.id) for known in knew]}
    if replace:
        payload["replace"] = replace
    return Record(UUID(int=next(_numbers)), "corrected", NOW + timedelta(days=days), payload, record.id)


def grafted(days: float = 0, **payload: Any) -> Record:
    return happened("grafted", days, **{"cultivar": RED_TARN, "code_number": 12, "running_number": 3, **payload})


def folded(*records: Record) -> tuple[PlantState, list[GraftState]]:
    plant, grafts = fold_plant(PLANT, records)
    assert plant is not None
    return plant, grafts


def plant_after(*records: Record) -> PlantState:
    return folded(grafted(), *records)[0]


def test_every_kind_that_is_about_a_plant_or_a_dome_is_folded() -> None:
    about_plants = {kind for kind, spec in KINDS.items() if spec.about[:1] == ("plant",)}
    assert about_plants - BESIDE == PLANT_KINDS
    assert {kind for kind, spec in KINDS.items() if "dome" in spec.about} - BESIDE == DOME_KINDS


def test_there_is_no_plant_before_its_graft_is_known() -> None:
    assert fold_plant(PLANT, [happened("scored", sign="firm", answer="yes")]) == (None, [])


def test_a_graft_makes_the_plant_with_its_numbers_place_and_label() -> None:
    first = grafted(dome=DOME, place=4, pot=POT, label_medium="pencil", scion_mm=5.0, stock_mm=7.0, grafter="Ina")
    plant, (graft,) = folded(first)
    assert (plant.code_number, plant.running_number, plant.cultivar_id) == (12, 3, RED_TARN)
    assert (plant.dome_id, plant.place, plant.pot_kind_id, plant.label_medium) == (DOME, 4, POT, "pencil")
    assert (plant.state, plant.state_since, plant.flags) == ("waiting", NOW, [])
    assert (graft.id, graft.cultivar_id, graft.dome_id, graft.grafter) == (first.id, RED_TARN, DOME, "Ina")


def test_a_scion_thicker_than_its_stock_is_flagged() -> None:
    assert folded(grafted(scion_mm=8.0, stock_mm=7.0))[0].flags == ["the scion is thicker than the stock"]


def test_two_first_grafts_are_flagged_and_both_kept() -> None:
    plant, grafts = folded(grafted(), grafted(1, cultivar=ASH_GILL))
    assert plant.flags == ["two first grafts are recorded for this plant"]
    assert (plant.cultivar_id, [graft.cultivar_id for graft in grafts]) == (RED_TARN, [RED_TARN, ASH_GILL])


def test_an_undone_graft_takes_its_plant_away() -> None:
    first = grafted()
    assert fold_plant(PLANT, [first, corrected(first)]) == (None, [])


def test_moving_changes_where_it_stands() -> None:
    moved = plant_after(happened("moved", 1, dome=DOME, place=2), happened("moved", 2, stands="cold frame"))
    assert (moved.dome_id, moved.place, moved.stands) == (None, None, "cold frame")


def test_a_yes_makes_it_alive_from_that_day_and_implies_the_earlier_stages() -> None:
    plant, (graft,) = folded(grafted(), happened("scored", 40, sign="growing", answer="yes"))
    assert (plant.state, plant.state_since) == ("alive", NOW + timedelta(days=40))
    assert (graft.firm, graft.growing, graft.in_leaf) == ("yes", "yes", None)
    assert graft.firm_at == graft.growing_at == NOW + timedelta(days=40)


def test_an_earlier_answer_is_not_overwritten_by_what_a_later_stage_implies() -> None:
    records = happened("scored", 30, sign="firm", answer="no"), happened("scored", 40, sign="growing", answer="yes")
    graft = folded(grafted(), *records)[1][0]
    assert (graft.firm, graft.firm_at) == ("no", NOW + timedelta(days=30))


def test_unsure_is_no_answer() -> None:
    graft = folded(grafted(), happened("scored", 30, sign="firm", answer="unsure"))[1][0]
    assert (graft.firm, graft.firm_at) == (None, None)


def test_signs_beside_the_stages_are_kept_and_prove_nothing() -> None:
    records = happened("scored", 10, sign="stalk_drops", answer="yes"), happened("scored", 12, sign="callus_seen", answer="yes")
    plant, (graft,) = folded(grafted(), *records)
    assert (graft.stalk_drops, plant.state, plant.last_sign) == ("yes", "waiting", "callus_seen_yes")


def test_a_no_after_a_yes_leaves_it_open() -> None:
    plant = plant_after(happened("scored", 30, sign="firm", answer="yes"), happened("scored", 60, sign="growing", answer="no"))
    assert plant.state == "waiting"


def test_a_lost_plant_is_dead_with_its_sign_and_cause() -> None:
    plant, (graft,) = folded(grafted(), happened("lost", 20, sign="black bark", cause="mould"))
    assert (plant.state, plant.last_sign) == ("dead", "lost")
    assert (graft.lost_at, graft.lost_sign, graft.lost_cause) == (NOW + timedelta(days=20), "black bark", "mould")


def test_lost_and_then_seen_alive_is_alive_and_flagged() -> None:
    plant, (graft,) = folded(grafted(), happened("lost", 20, cause="mould"), happened("scored", 50, sign="growing", answer="yes"))
    assert (plant.state, plant.flags) == ("alive", ["seen alive after it was recorded as lost"])
    assert (graft.lost_at, graft.lost_cause) == (None, "")


def test_missing_is_neither_dead_nor_alive() -> None:
    plant, (graft,) = folded(grafted(), happened("observed", 20, seen="missing"))
    assert (plant.state, graft.lost_at) == ("missing", None)


def test_a_missing_plant_that_is_found_is_what_its_scores_say() -> None:
    missing, found = happened("observed", 40, seen="missing"), happened("observed", 41, seen="found")
    assert plant_after(missing, found).state == "waiting"
    assert plant_after(happened("scored", 30, sign="firm", answer="yes"), missing, found).state == "alive"
    score = happened("scored", 41, sign="callus_seen", answer="yes")
    assert plant_after(happened("scored", 30, sign="firm", answer="yes"), missing, score).state == "alive"


def test_a_lost_plant_that_is_missing_stays_lost() -> None:
    plant, (graft,) = folded(grafted(), happened("lost", 20), happened("observed", 30, seen="missing"))
    assert (plant.state, graft.lost_at) == ("dead", NOW + timedelta(days=20))


def test_a_name_in_doubt_does_not_find_a_missing_plant() -> None:
    assert plant_after(happened("observed", 20, seen="missing"), happened("observed", 21, seen="name_in_doubt")).state == "missing"


def test_a_plant_that_left_is_nowhere_and_stays_gone() -> None:
    sold = happened("left", 300, how="sale", price=24.0)
    plant = plant_after(happened("moved", 1, dome=DOME), sold, happened("observed", 301, seen="missing"))
    assert (plant.state, plant.left_how, plant.price_got, plant.dome_id) == ("left", "sale", 24.0, None)
    unconfirmed = "it left with a name not confirmed in leaf"
    assert plant_after(sold, happened("lost", 310)).flags == [unconfirmed, "recorded as lost after it had left"]
    assert plant_after(happened("lost", 290), sold).flags == ["recorded as leaving after it was lost", unconfirmed]


def test_a_lost_stock_grafted_again_carries_a_second_graft() -> None:
    again = happened("regrafted", 60, cultivar=ASH_GILL, dome=OTHER_DOME)
    plant, (first, second) = folded(grafted(dome=DOME), happened("lost", 20), again)
    assert (first.replaced, first.lost_at, second.replaced, second.lost_at) == (True, NOW + timedelta(days=20), False, None)
    assert (plant.state, plant.cultivar_id, plant.dome_id, plant.code_number) == ("waiting", ASH_GILL, OTHER_DOME, 12)
    assert (second.id, second.cultivar_id, second.dome_id) == (again.id, ASH_GILL, OTHER_DOME)


def test_grafting_again_keeps_cultivar_and_dome_unless_told_otherwise() -> None:
    _, (_, second) = folded(grafted(dome=DOME), happened("regrafted", 60))
    assert (second.cultivar_id, second.dome_id) == (RED_TARN, DOME)


def test_grafting_again_makes_the_name_and_the_tie_new() -> None:
    before = happened("name_confirmed", 30), happened("untied", 31), happened("headed_back", 32)
    plant = plant_after(*before, happened("regrafted", 60, cultivar=ASH_GILL))
    assert (plant.name_status, plant.untied_at, plant.headed_back_at) == ("given", None, None)


def test_grafting_again_what_had_left_is_flagged() -> None:
    plant = plant_after(happened("left", 20, how="other"), happened("regrafted", 30))
    assert (plant.state, plant.left_how, plant.flags) == ("waiting", "", ["grafted again after it was recorded as left"])


def test_a_later_score_belongs_to_the_later_graft() -> None:
    _, (first, second) = folded(grafted(), happened("regrafted", 60), happened("scored", 90, sign="firm", answer="yes"))
    assert (first.firm, second.firm) == (None, "yes")


def test_a_new_label_has_its_day_medium_and_number() -> None:
    plant = plant_after(happened("relabelled", 100, medium="pencil", running_number=9))
    assert (plant.label_medium, plant.running_number, plant.label_written_at) == ("pencil", 9, NOW + timedelta(days=100))


def test_a_confirmed_name_can_be_another_one() -> None:
    plant, (graft,) = folded(grafted(), happened("name_confirmed", 300, cultivar=ASH_GILL))
    assert (plant.name_status, plant.cultivar_id, graft.cultivar_id) == ("confirmed", ASH_GILL, ASH_GILL)


def test_an_inferred_name_keeps_its_chance_until_it_is_confirmed_or_grafted_anew() -> None:
    inferred = happened("name_inferred", 200, chance=0.93)
    plant = plant_after(inferred)
    assert (plant.name_status, plant.name_chance, plant.cultivar_id) == ("inferred", 0.93, RED_TARN)
    for later, status in ((happened("name_confirmed", 300), "confirmed"), (happened("regrafted", 300), "given")):
        after = plant_after(inferred, later)
        assert (after.name_status, after.name_chance) == (status, None)
    assert plant_after(inferred, corrected(inferred)).name_status == "given"


def test_a_missing_plant_whose_name_is_inferred_is_found() -> None:
    missing = happened("observed", 100, seen="missing")
    assert plant_after(missing, happened("name_inferred", 200, chance=0.6)).state == "waiting"
    lost = plant_after(happened("lost", 100), happened("name_inferred", 200, chance=0.6))
    assert (lost.state, lost.name_status) == ("dead", "inferred")


def test_wintering_says_what_is_under_cover_and_where() -> None:
    inside = happened("wintered_in", 250, stands="tunnel")
    plant = plant_after(happened("moved", 1, dome=DOME), inside)
    assert (plant.under_cover, plant.stands, plant.dome_id) == (True, "tunnel", None)
    assert plant_after(inside, happened("wintered_out", 400)).under_cover is False


@pytest.mark.parametrize(
    ("kind", "column"),
    [
        ("headed_back", "headed_back_at"),
        ("untied", "untied_at"),
        ("suckers_rubbed", "suckers_rubbed_at"),
        ("staked", "staked_at"),
        ("potted_on", "potted_on_at"),
    ],
)
def test_a_job_done_has_its_day(kind: str, column: str) -> None:
    assert getattr(plant_after(happened(kind, 70)), column) == NOW + timedelta(days=70)


def test_potting_on_changes_the_pot() -> None:
    assert plant_after(happened("potted_on", 70, pot=POT)).pot_kind_id == POT


def test_what_is_dated_within_the_grafts_day_is_taken_without_a_flag() -> None:
    plant = folded(grafted(), happened("moved", -0.2, dome=DOME))[0]
    assert (plant.dome_id, plant.flags) == (DOME, [])


def test_what_is_dated_before_the_graft_is_taken_and_flagged() -> None:
    early = happened("lost", -20)
    assert folded(grafted(), early)[0].state == "dead"
    assert folded(grafted(), early)[0].flags == ["something is recorded before the day it was grafted"]
    assert folded(grafted(precision="month"), early)[0].flags == []


def test_disagreeing_corrections_make_the_field_disputed_until_a_later_event_settles_it() -> None:
    first, move = grafted(), happened("moved", 1, dome=DOME, place=1)
    both = corrected(move, place=2), corrected(move, place=3)
    plant, (graft,) = folded(first, move, *both)
    assert plant.disputed == graft.disputed == ["dome", "place", "stands"]
    assert plant_after(move, *both, happened("moved", 5, dome=DOME, place=4)).disputed == []


def test_a_correction_that_knew_both_settles_a_dispute() -> None:
    move = happened("moved", 1, dome=DOME, place=1)
    one, other = corrected(move, place=2), corrected(move, place=3)
    plant = plant_after(move, one, other, corrected(move, knew=(one, other), place=3))
    assert (plant.place, plant.disputed) == (3, [])


def test_a_disputed_note_disputes_no_state() -> None:
    lost = happened("lost", 20)
    assert plant_after(lost, corrected(lost, note="dry"), corrected(lost, note="wet")).disputed == ["note"]


def test_a_disputed_graft_names_its_fields_on_plant_and_graft() -> None:
    first = grafted()
    plant, (graft,) = folded(first, corrected(first, cultivar=str(ASH_GILL)), corrected(first, cultivar=str(RED_TARN)))
    assert plant.disputed == graft.disputed == ["cultivar"]
    assert folded(first, corrected(first), corrected(first, place=2))[0].disputed == ["grafted"]


def test_a_dome_remembers_water_vents_treatment_and_rounds() -> None:
    records = [
        happened("watered", 1, water_mm=8.0),
        happened("vented", 31, open_pct=33.0),
        happened("vented", 36, open_pct=67.0),
        happened("treated", 5, product="as its label says"),
        happened("observed", 7),
    ]
    expected = DomeFold(DOME, NOW + timedelta(days=1), 67.0, NOW + timedelta(days=36), NOW + timedelta(days=5), NOW + timedelta(days=7))
    assert fold_dome(DOME, records) == expected


def test_an_undone_vent_is_not_open() -> None:
    first, second = happened("vented", 31, open_pct=33.0), happened("vented", 36, open_pct=67.0)
    assert fold_dome(DOME, [first, second, corrected(second)]).vent_pct == 33.0
    assert fold_dome(DOME, [first, corrected(first)]) == DomeFold(DOME)


def test_a_domes_dispute_is_settled_by_the_next_of_its_kind() -> None:
    vent = happened("vented", 31, open_pct=33.0)
    both = corrected(vent, open_pct=40.0), corrected(vent, open_pct=50.0)
    assert fold_dome(DOME, [vent, *both]).disputed == ["vented"]
    assert fold_dome(DOME, [vent, *both, happened("watered", 40)]).disputed == ["vented"]
    assert fold_dome(DOME, [vent, *both, happened("vented", 40, open_pct=67.0)]).disputed == []


def test_events_about_other_things_change_nothing() -> None:
    assert plant_after(happened("watered", 1), happened("edited", 2)) == plant_after()


def test_a_new_name_may_bring_a_new_number() -> None:
    again = plant_after(happened("regrafted", 60, cultivar=ASH_GILL, running_number=9))
    confirmed = plant_after(happened("name_confirmed", 300, cultivar=ASH_GILL, running_number=9))
    assert (again.running_number, confirmed.running_number) == (9, 9)
    assert plant_after(happened("regrafted", 60), happened("name_confirmed", 300)).running_number == 3


@pytest.mark.parametrize("kind", ["scored", "observed", "moved", "potted_on", "headed_back", "wintered_out", "relabelled"])
def test_what_is_recorded_here_after_it_left_is_kept_and_flagged_once(kind: str) -> None:
    payload = {"sign": "firm", "answer": "yes"} if kind == "scored" else {}
    known = happened("name_confirmed", 30)
    plant = plant_after(known, happened("left", 40, how="sale"), happened(kind, 50, **payload), happened(kind, 60, **payload))
    assert (plant.state, plant.flags) == ("left", ["something is recorded here after it had left"])


def test_a_buyers_word_on_the_name_is_no_contradiction() -> None:
    plant = plant_after(happened("left", 40, how="sale"), happened("name_confirmed", 300))
    assert (plant.name_status, plant.flags) == ("confirmed", [])
    other = plant_after(happened("left", 40, how="sale"), happened("name_confirmed", 300, cultivar=ASH_GILL))
    assert other.flags == ["it left with a name not confirmed in leaf"]


@pytest.mark.parametrize(
    ("before", "flag"),
    [
        (None, "it left with a name not confirmed in leaf"),
        (("name_inferred", {"chance": 0.93}), "it left with an inferred name that was not confirmed in leaf"),
        (("name_doubted", {"reason": "redder than its tree"}), "it left with its name in doubt"),
        (("observed", {"seen": "name_in_doubt"}), "it left with its name in doubt"),
    ],
)
def test_a_plant_that_goes_to_somebody_with_an_unsure_name_is_flagged(before: tuple[str, dict[str, Any]] | None, flag: str) -> None:
    first = [happened(before[0], 10, **before[1])] if before else []
    for how in ("sale", "gift"):
        assert plant_after(*first, happened("left", 40, how=how)).flags == [flag]
    assert plant_after(*first, happened("left", 40, how="other")).flags == []
    assert plant_after(*first, happened("lost", 40)).flags == []
    assert plant_after(*first, happened("name_confirmed", 39), happened("left", 40, how="sale")).flags == []


def test_a_look_that_doubts_the_name_opens_a_doubt_with_its_note() -> None:
    plant = plant_after(happened("observed", 10, seen="name_in_doubt", note="leaves too broad"))
    assert (plant.name_doubt, plant.name_doubted_at) == ("leaves too broad", NOW + timedelta(days=10))
    assert plant_after(happened("observed", 10, seen="name_in_doubt"), happened("name_doubt_ended", 11)).name_doubted_at is None


@pytest.mark.parametrize("kind", ["headed_back", "untied", "suckers_rubbed", "staked", "potted_on", "wintered_in"])
def test_care_for_a_lost_plant_is_kept_and_flagged(kind: str) -> None:
    plant = plant_after(happened("lost", 40), happened(kind, 50))
    assert (plant.state, plant.flags) == ("dead", ["it was cared for after it was recorded as lost"])
    assert plant_after(happened("lost", 40), happened("moved", 50)).flags == []


def test_a_loss_tapped_after_firm_on_the_same_walk_takes_the_firm_back() -> None:
    plant, grafts = folded(grafted(), happened("scored", 31, sign="firm", answer="yes"), happened("lost", 31.01))
    assert (plant.state, grafts[0].firm) == ("dead", None)
    plant, grafts = folded(grafted(), happened("scored", 31, sign="firm", answer="yes"), happened("lost", 60))
    assert (plant.state, grafts[0].firm) == ("dead", "yes")


def test_not_sure_takes_back_what_the_same_walk_said_and_a_loss() -> None:
    firm = happened("scored", 31, sign="firm", answer="yes")
    plant, grafts = folded(grafted(), firm, happened("scored", 31.01, sign="firm", answer="unsure"))
    assert (plant.state, grafts[0].firm) == ("waiting", None)
    plant, grafts = folded(grafted(), firm, happened("scored", 60, sign="firm", answer="unsure"))
    assert (plant.state, grafts[0].firm) == ("alive", "yes")
    plant, grafts = folded(grafted(), happened("lost", 31), happened("scored", 31.01, sign="firm", answer="unsure"))
    assert (plant.state, grafts[0].lost_at) == ("waiting", None)
