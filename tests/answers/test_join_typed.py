"""Two stems as they are typed: what is asked about, what is refused and where, in a grower's words."""

from __future__ import annotations

import pytest

from scionary.answers.join_typed import read_stems
from scionary.errors import Refused


def typed(**more: str) -> dict[str, str]:
    return {"stock": "7", "scion": "3", **more}


@pytest.mark.parametrize(
    ("field", "text", "where"),
    [
        ("stock_across", "1/4", "stock_across: 7 mm one way and 0.25 mm the other is no oval stem"),
        ("stock_across", "0.3", "One may be at most 2 times the other: are both in the same unit?"),
        ("scion_across", "6.1", "scion_across: 3 mm one way and 6.1 mm the other"),
        ("stock_bark", "4", "stock_bark: the bark in mm is 4.0; allowed: less than half the stem's thickness, 3.5 mm"),
        ("stock_bend", "2", "stock_bend: the bend's radius in mm is 2.0; allowed: more than the stem's own radius"),
        ("stock_bend", "0", "stock_bend: '0' is no length. Leave it out where it was not measured, or where the stem is straight"),
        ("stock", "1001", "stock: '1001' is no thickness of a stem. A stem has at most 1000 mm"),
        ("stock", "-7", "stock: thickness is '-7'; allowed: more than 0"),
    ],
)
def test_a_size_that_no_stem_has_is_refused_at_its_field(field: str, text: str, where: str) -> None:
    with pytest.raises(Refused) as refused:
        read_stems(typed(**{field: text}), "mm")
    assert where in str(refused.value)
    assert "_mm" not in str(refused.value).replace(where, "")


def test_an_inch_typed_as_millimetres_is_asked_about_in_the_bark_too() -> None:
    [(field, words, instead)] = read_stems(typed(stock_bark="1/32"), "mm").doubts
    assert (field, instead) == ("stock_bark", "0.7937 mm")
    assert words == "1/32 is taken as 0.0312 mm. Were inches meant, 0.8 mm?"
    [(field, _, _)] = read_stems(typed(stock="0.3", stock_across="0.3"), "mm").doubts[1:]
    assert field == "stock_across"


@pytest.mark.parametrize("more", [{"stock_bark": "0.6"}, {"stock_bend": "-300"}, {"stock_across": "7.8"}, {"stock_bark": "1/32 in"}])
def test_usual_sizes_of_bark_bend_and_ovals_are_not_asked_about(more: dict[str, str]) -> None:
    assert read_stems(typed(**more), "mm").doubts == ()


def test_a_bend_typed_with_a_minus_is_cut_on_its_inner_side() -> None:
    assert read_stems(typed(stock_bend="-30"), "mm").stock.bend_radius_mm == -30.0
