"""The cheapest packs."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.plan import Pack, cheapest_packs


def by_trying_all(needed, packs):
    """Money, pieces and packs of the best set, by trying every set that could be of use."""
    ranges = [range(min(-(-needed // pack.size), 99 if pack.at_most is None else pack.at_most) + 1) for pack in packs]
    found = []
    for counts in product(*ranges):
        pieces = sum(count * pack.size for count, pack in zip(counts, packs, strict=True))
        if pieces >= needed:
            found.append((round(sum(c * p.price for c, p in zip(counts, packs, strict=True)), 4), pieces, sum(counts)))
    return min(found, default=None)


packs_sold = st.lists(
    st.builds(Pack, st.integers(1, 30), st.integers(0, 60).map(float), st.one_of(st.none(), st.integers(0, 3))), min_size=1, max_size=3
)


@settings(max_examples=60)
@given(needed=st.integers(0, 60), packs=packs_sold)
def test_no_other_set_is_cheaper(needed, packs):
    found, best = cheapest_packs(needed, packs), by_trying_all(needed, packs)
    if best is None:
        assert found is None
        return
    assert (found.cost, found.pieces, sum(found.counts)) == best
    assert found.pieces >= needed
    assert all(pack.at_most is None or count <= pack.at_most for count, pack in zip(found.counts, packs, strict=True))


def test_a_larger_pack_may_cost_less_than_what_is_needed():
    # by hand: 137 from packs of 10, 25, 50 at 25, 55, 99: 3 x 50 is 297, 2 x 50 + 25 + 2 x 10 is 303
    assert cheapest_packs(137, [Pack(10, 25), Pack(25, 55), Pack(50, 99)]).counts == (0, 0, 3)


def test_of_equal_prices_the_fewest_left_over_are_taken():
    assert cheapest_packs(20, [Pack(25, 50), Pack(10, 25)]).pieces == 20


def test_nothing_needed_is_nothing_bought():
    assert cheapest_packs(0, [Pack(10, 25)]).counts == (0,)


def test_what_is_sold_may_not_suffice():
    assert cheapest_packs(31, [Pack(10, 25, at_most=3)]) is None


def test_large_numbers_are_answered_exactly():
    assert cheapest_packs(99_999, [Pack(1000, 1800.0), Pack(7, 15.5)]).pieces == 100_000


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Pack(0), "size is 0"),
        (lambda: Pack(10, -1), "price is -1"),
        (lambda: Pack(10, 1, at_most=-1), "at_most is -1"),
        (lambda: cheapest_packs(-1, [Pack(1)]), "needed is -1"),
        (lambda: cheapest_packs(5, []), "1 to 12 packs"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
