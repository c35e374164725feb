"""Which rootstocks to order, and by when."""

from datetime import date

import pytest

from scionary.errors import BadValue
from scionary.plan import Offer, Pack, StockNeed, order_list

TODAY = date(2026, 11, 28)
WEEKS = ((date(2027, 7, 26), 30), (date(2027, 8, 2), 40), (date(2027, 8, 9), 20))
NEED = StockNeed("seedlings 6-8 mm", WEEKS, in_hand=35)
NEAR = Offer("Beck Nursery", "seedlings 6-8 mm", (Pack(10, 25), Pack(50, 99)), lead_weeks=3, delivery=20)


def test_an_order_covers_what_is_missing_in_the_cheapest_packs():
    (line,) = order_list([NEED], [NEAR], today=TODAY).lines
    # 90 grafts, 35 in hand: 55 to buy; 50 + 10 is 124, 2 x 50 is 198; delivery 20
    assert (line.needed, line.stocks, line.cost) == (55, 60, 144)
    assert line.packs == ((Pack(10, 25), 1), (Pack(50, 99), 1))


def test_its_week_counts_back_from_the_first_graft_without_a_stock():
    (line,) = order_list([NEED], [NEAR], today=TODAY).lines
    assert line.first_grafted == date(2027, 8, 2)
    assert line.arrive_by == date(2027, 6, 7)  # eight weeks to settle
    assert line.order_by == date(2027, 5, 17)  # three more from the supplier
    assert not line.late


def test_stocks_that_do_not_fit_are_bought_too():
    (line,) = order_list([StockNeed("k", WEEKS, usable=0.6)], [Offer("s", "k", (Pack(1, 1),))], today=TODAY).lines
    assert line.needed == 150


def test_of_two_suppliers_in_time_the_cheaper_is_taken():
    far = Offer("Far Fell", "seedlings 6-8 mm", (Pack(100, 120),), lead_weeks=20)
    assert [line.supplier for line in order_list([NEED], [NEAR, far], today=TODAY).lines] == ["Far Fell"]


def test_who_is_in_time_comes_before_who_is_cheap():
    far = Offer("Far Fell", "seedlings 6-8 mm", (Pack(100, 120),), lead_weeks=40)
    assert [line.supplier for line in order_list([NEED], [far, NEAR], today=TODAY).lines] == ["Beck Nursery"]
    (line,) = order_list([NEED], [far], today=TODAY).lines
    assert line.late


def test_an_order_is_late_only_after_its_week():
    assert not order_list([NEED], [NEAR], today=date(2027, 5, 23)).lines[0].late
    assert order_list([NEED], [NEAR], today=date(2027, 5, 24)).lines[0].late


def test_what_nobody_offers_is_named():
    found = order_list([NEED, StockNeed("none such", WEEKS)], [NEAR], today=TODAY)
    assert found.unmet == (("none such", 90),)
    assert found.cost == 144


def test_what_is_there_is_not_ordered():
    assert order_list([StockNeed("k", WEEKS, in_hand=90)], [], today=TODAY).lines == ()


def test_the_most_urgent_order_comes_first():
    offers = [Offer("s", kind, (Pack(1, 1),), lead_weeks=weeks) for kind, weeks in (("a", 1), ("b", 12), ("c", 5))]
    needs = [StockNeed(kind, WEEKS) for kind in "abc"]
    assert [line.kind for line in order_list(needs, offers, today=TODAY).lines] == ["b", "c", "a"]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: StockNeed("k", WEEKS, usable=0), "usable is 0"),
        (lambda: StockNeed("k", ((date(2027, 1, 4), -1),)), "0 grafts or more"),
        (lambda: Offer("s", "k", ()), "one pack or more"),
        (lambda: Offer("s", "k", (Pack(1),), lead_weeks=-1), "lead_weeks is -1"),
        (lambda: Offer("s", "k", (Pack(1),), delivery=-1), "delivery is -1"),
        (lambda: order_list([], [], today=TODAY, settling_weeks=-1), "settling_weeks is -1"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
