"""The methods' sizes against what the trade says. Inches as they are printed; what has no source says so."""

from __future__ import annotations

import pytest

from scionary.union import BARK_SLIPS, METHODS, SKILLS, TOLERANCE_MM, Stage, Way
from scionary.union.methods import COMMON

INCH = 25.4


# Cass County Extension, North Dakota State University, grafting techniques: whip graft, stock and scion of like thickness, preferably
# 1/4 to 1/2 in; the scion never thicker than the stock; a sloping cut of 1 to 2 in; bark need not slip; a thinner scion on one side only
def test_whip_and_tongue():
    method = METHODS["whip_and_tongue"]
    assert (method.stock_low_mm / INCH, method.stock_high_mm / INCH) == (pytest.approx(0.25), pytest.approx(0.5))
    assert (method.cut_low_mm / INCH, method.cut_high_mm / INCH) == (pytest.approx(1.0), pytest.approx(2.0))
    assert method.ratio_high == 1.0
    assert not method.needs_slipping_bark
    assert Way.ONE_SIDE in method.ways


# North Carolina Cooperative Extension, AG-396, budding: rootstocks of 3/16 to 7/16 in
def test_stocks_for_budding():
    method = METHODS["t_bud"]
    assert (method.stock_low_mm / INCH, method.stock_high_mm / INCH) == (pytest.approx(3 / 16), pytest.approx(7 / 16))


# common practice, no source: the bark must slip for T-buds, bark grafts and flaps; it does while the cambium divides
def test_methods_under_the_bark_need_bark_that_slips():
    assert {key for key, method in METHODS.items() if method.needs_slipping_bark} == {"t_bud", "bark_graft", "side_inlay"}
    assert (BARK_SLIPS[Stage.DORMANT], BARK_SLIPS[Stage.IN_GROWTH]) == (False, True)


# common practice, no source: a side cut under the bark is 13 to 19 mm long on small stocks
def test_a_side_cut_under_the_bark_may_be_as_short_as_growers_make_it():
    assert METHODS["side_inlay"].cut_low_mm == 13.0


# common practice, no source: no side graft takes a scion thicker than its stock
@pytest.mark.parametrize("key", sorted(set(METHODS) - {"approach"}))
def test_the_scion_is_never_the_thicker(key):
    assert METHODS[key].ratio_high <= 1.0


def test_what_has_no_source_says_so():
    assert METHODS["side_veneer"].source_of("ratio_low") == COMMON
    assert METHODS["whip_and_tongue"].source_of("ratio_low") == COMMON
    assert all("unsourced" in skill.source for skill in SKILLS.values())


# cambium of beech: 3 to 5 cells at rest, 10 to 13 in growth, about 0.03 to 0.1 mm; callus is taken to bridge 0.2 to 1 mm (assumed)
def test_the_gap_that_callus_bridges_lies_in_the_assumed_range_and_is_no_width_of_cambium():
    assert 0.2 <= TOLERANCE_MM <= 1.0
    assert TOLERANCE_MM > 0.1
