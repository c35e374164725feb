"""A pair's thickness held against a method's window."""

import json

import pytest

from scionary.errors import BadValue
from scionary.union import Fit, thickness_advice

WINDOW = {"low_ratio": 0.5, "high_ratio": 1.0}


@pytest.mark.parametrize(
    ("stock_mm", "scion_mm", "key"),
    [
        (8.0, 4.0, Fit.FITS),
        (8.0, 8.0, Fit.FITS),
        (8.0, 3.9, Fit.SCION_TOO_THIN),
        (8.0, 8.1, Fit.SCION_TOO_THICK),
    ],
)
def test_the_window_includes_its_ends(stock_mm, scion_mm, key):
    advice = thickness_advice(stock_mm, scion_mm, **WINDOW)
    assert advice.words_key is key
    assert advice.fits is (key is Fit.FITS)
    assert advice.ratio == pytest.approx(scion_mm / stock_mm)


def test_a_method_may_want_equal_thickness():
    assert thickness_advice(6.0, 6.0, low_ratio=1.0, high_ratio=1.0).fits


def test_the_window_travels_with_the_advice():
    plain = thickness_advice(8.0, 4.0, **WINDOW).to_dict()
    assert [(each["name"], each["value"]) for each in plain["assumptions"]] == [("low_ratio", 0.5), ("high_ratio", 1.0)]
    assert json.loads(json.dumps(plain))["words_key"] == "fits"


@pytest.mark.parametrize(
    ("stock_mm", "scion_mm", "window", "message"),
    [
        (0.0, 4.0, WINDOW, "stock_mm is 0.0; allowed: a number above 0"),
        (8.0, float("nan"), WINDOW, "scion_mm is nan"),
        (8.0, 4.0, {"low_ratio": 1.2, "high_ratio": 1.0}, "low_ratio is 1.2; allowed: at most high_ratio, which is 1"),
        (8.0, 4.0, {"low_ratio": 0.5, "high_ratio": float("inf")}, "high_ratio is inf"),
    ],
)
def test_nonsense_is_refused(stock_mm, scion_mm, window, message):
    with pytest.raises(BadValue, match=message):
        thickness_advice(stock_mm, scion_mm, **window)
