"""What is wanted and what there is."""

import pytest

from scionary.errors import BadValue
from scionary.plan import Supplies, Way, Wish


def test_what_is_not_known_may_stay_unsaid():
    wish = Wish("Red Tarn", 3, [0.5])
    assert (wish.survival, wish.way.grafts_per_stick, wish.planned_grafts) == (None, None, None)
    assert Supplies().trays is None


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Wish("Red Tarn", 0, [0.5]), "wanted is 0; allowed: a whole number, 1 or more"),
        (lambda: Wish("Red Tarn", 2.5, [0.5]), "wanted is 2.5"),
        (lambda: Wish("Red Tarn", 1, [0.5], survival=0), "survival is 0; allowed: more than 0"),
        (lambda: Wish("Red Tarn", 1, [0.5], survival=1.1), "survival is 1.1"),
        (lambda: Wish("Red Tarn", 1, [0.5], planned_grafts=-1), "planned_grafts is -1"),
        (lambda: Way(grafts_per_stick=0), "grafts_per_stick is 0; allowed: a number above 0"),
        (lambda: Way(healing_weeks=float("nan")), "healing_weeks is nan"),
        (lambda: Supplies(rootstocks={"palmatum": -2}), "rootstocks of 'palmatum' is -2"),
        (lambda: Supplies(sticks={"Red Tarn": 1.5}), "sticks of 'Red Tarn' is 1.5"),
        (lambda: Supplies(pots_per_tray={"four inch": 0}), "pots_per_tray of 'four inch' is 0; allowed: a whole number, 1"),
        (lambda: Supplies(trays=-1), "trays is -1"),
        (lambda: Supplies(bench_hours=-1), "bench_hours is -1; allowed: 0 hours or more"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
