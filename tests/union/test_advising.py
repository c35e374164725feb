"""What somebody is told who holds a stock and a scion."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.union import METHODS, SKILLS, Code, Stage, Stem, Way, advice, advice_when_moved
from scionary.union.problems import size_problems

VENEER = METHODS["side_veneer"]


def told(stock_mm=7.0, scion_mm=3.0, method=VENEER, **more):
    given = {"stage": Stage.DORMANT, "skill": SKILLS["practised"], "methods": {}, **more}
    return advice(Stem(stock_mm), Stem(scion_mm), method, **given)


def codes(offer):
    return [problem.code for problem in offer.problems]


def test_a_3_mm_scion_fits_a_7_mm_stock_by_side_veneer():
    found = told().chosen
    assert found.fits
    assert codes(found) == []
    cuts = found.to_dict()["cuts"]
    assert 0.6 < cuts["stock_depth_mm"] < 1.2
    assert cuts["scion_depth_mm"] == 1.5
    assert cuts["stock_lines_mm"] == pytest.approx(cuts["scion_lines_mm"], abs=0.2)
    assert found.best.chance > 0.9


@pytest.mark.parametrize(
    ("stock_mm", "scion_mm", "method", "code", "limit"),
    [
        (5.0, 6.0, "side_veneer", Code.SCION_TOO_THICK, "ratio_high"),
        (20.0, 3.0, "side_veneer", Code.SCION_TOO_THIN, "ratio_low"),
        (4.0, 3.0, "side_veneer", Code.STOCK_TOO_THIN, "stock_low_mm"),
        (40.0, 20.0, "side_veneer", Code.STOCK_TOO_THICK, "stock_high_mm"),
    ],
)
def test_thicknesses_that_do_not_suit_are_told_with_the_limit_and_its_source(stock_mm, scion_mm, method, code, limit):
    found = told(stock_mm, scion_mm, METHODS[method]).chosen
    problem = next(problem for problem in found.problems if problem.code is code)
    assert not found.fits
    assert problem.numbers[limit] == getattr(METHODS[method], limit)
    assert problem.numbers["source"]


def test_a_scion_as_thick_as_the_stock_is_not_too_thick():
    assert Code.SCION_TOO_THICK not in codes(told(0.3 * 25.4, 3 * 2.54, METHODS["splice"]).chosen)


def test_bark_does_not_slip_on_a_dormant_stock():
    inlay = METHODS["side_inlay"]
    assert codes(told(12.0, 4.0, inlay).chosen) == [Code.BARK_WILL_NOT_SLIP]
    assert not told(12.0, 4.0, inlay).chosen.fits
    assert codes(told(12.0, 4.0, inlay, stage=Stage.IN_GROWTH).chosen) == []
    ripening = told(12.0, 4.0, inlay, stage=Stage.GROWTH_RIPENING).chosen
    assert (codes(ripening), ripening.fits) == ([Code.BARK_MAY_NOT_SLIP], True)


def test_an_unusual_time_is_said_and_not_forbidden():
    found = told(stage=Stage.IN_GROWTH).chosen
    assert (codes(found), found.fits) == ([Code.STAGE_UNUSUAL], True)


def test_sections_that_do_not_match_forbid():
    found = told(stock_name="Acer platanoides", scion_name="Acer palmatum 'Red Tarn'", methods=METHODS)
    assert Code.SECTIONS_FAIL in codes(found.chosen)
    assert found.compatibility.note == "milky sap; only maples of its own section"
    assert not any(offer.fits for offer in found.others)


def test_names_that_are_not_known_say_nothing():
    assert codes(told(stock_name="Acer palmatum").chosen) == []


def test_lines_that_cannot_both_meet_are_told():
    found = told(12.0, 4.0, METHODS["whip_and_tongue"]).chosen
    assert Code.LINES_CANNOT_BOTH_MEET in codes(found)
    assert found.best.way is Way.ONE_SIDE


def test_other_methods_come_after_with_what_fits_first_and_why():
    found = told(12.0, 4.0, stage=Stage.IN_GROWTH, methods=METHODS)
    fits = [offer.fits for offer in found.others]
    assert fits == sorted(fits, reverse=True)
    assert {offer.method.key for offer in found.others} == set(METHODS) - {"side_veneer"}
    assert all(offer.problems for offer in found.others if not offer.fits)


def test_a_stem_too_barky_for_a_method_cannot_be_cut():
    found = advice(Stem(6.0), Stem(5.0, 1.5), METHODS["top_wedge"], stage=None, skill=SKILLS["practised"]).chosen
    assert Code.CANNOT_BE_CUT in codes(found)
    assert (found.joint, found.placements, found.best) == (None, (), None)


def test_a_depth_that_a_person_sets_is_taken_or_refused():
    assert told(depth_mm=1.4).chosen.joint.stock.depth_mm == 1.4
    with pytest.raises(BadValue, match="up to the pith"):
        told(depth_mm=4.0)
    assert Code.CUT_LENGTH_UNUSUAL in codes(told(length_mm=60.0).chosen)


def test_a_poor_chance_is_told():
    shaky = replace(SKILLS["beginner"], error_mm=2.0)
    assert Code.POOR_CHANCE in codes(told(skill=shaky, tolerance_mm=0.1, wanted_mm=15.0).chosen)


def test_a_practised_hand_has_a_better_chance():
    chances = [told(skill=SKILLS[name]).chosen.best.chance for name in ("beginner", "practised", "experienced")]
    assert chances == sorted(chances)


def test_every_assumption_is_returned_with_its_source():
    names = {each["name"] for each in told().assumptions}
    assert {"tolerance_mm", "wanted_mm", "error_mm", "depth_error_mm", "stock_bark_mm", "scion_bark_mm", "ratio_low"} <= names
    assert all(each["source"] for each in told().assumptions)
    measured = advice(Stem(7.0, 0.5), Stem(3.0, 0.3), VENEER, stage=None, skill=SKILLS["practised"])
    assert not {"stock_bark_mm", "scion_bark_mm"} & {each["name"] for each in measured.assumptions}


def test_the_advice_changes_when_the_unknowns_move():
    rows = advice_when_moved(Stem(7.0), Stem(3.0), VENEER, skill=SKILLS["practised"])
    assert len(rows) == 9
    assert {row["way"] for row in rows} == {"crossed", "both_sides"}
    assert [row["chance"] for row in rows if row["tolerance_mm"] == 0.2] == sorted(
        (row["chance"] for row in rows if row["tolerance_mm"] == 0.2), reverse=True
    )


def test_it_goes_as_plain_values():
    assert json.loads(json.dumps(told(methods={"splice": METHODS["splice"]}).to_dict()))["chosen"]["method"] == "side_veneer"
    assert json.dumps([method.to_dict() for method in METHODS.values()])


def test_sizes_are_held_against_edited_methods():
    narrow = replace(VENEER, ratio_high=0.4)
    assert [problem.code for problem in size_problems(narrow, Stem(7.0), Stem(3.0))] == [Code.SCION_TOO_THICK]


@pytest.mark.filterwarnings("error")
def test_whatever_the_thicknesses_there_is_an_answer():
    rng = np.random.default_rng(11)
    for stock_mm, scion_mm in np.exp(rng.uniform(np.log(0.5), np.log(200.0), (12, 2))):
        found = advice(Stem(stock_mm), Stem(scion_mm), VENEER, stage=None, skill=SKILLS["beginner"], tolerance_mm=0.0, wanted_mm=50.0)
        for offer in (found.chosen, *found.others):
            assert offer.problems or offer.fits
            assert all(0.0 <= placement.chance <= 1.0 for placement in offer.placements)
