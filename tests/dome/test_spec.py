import pytest

from scionary.dome import DomeSpec, HeatMat
from scionary.errors import BadValue


@pytest.mark.parametrize(
    ("sizes", "message"),
    [
        ({"volume_m3": 0.0}, "volume_m3 is 0.0; allowed: 0.0001 to 20 m³"),
        ({"volume_m3": None}, "volume_m3 is None; allowed"),
        ({"absorbed_fraction": 1.2}, "absorbed_fraction is 1.2; allowed: 0 to 1"),
        ({"pot_area_m2": 0.0}, "pot_area_m2 is 0.0; allowed"),
        ({"leak_l_min": -1.0}, "leak_l_min is -1.0; allowed: 0 to 10000 l/min"),
        ({"water_mm": float("nan")}, "water_mm is nan; allowed: 0 to 200 mm"),
        ({"cover_area_m2": 0.1}, "cover_area_m2 is 0.1; allowed: at least the tray's 0.155 m²"),
        ({"shade_share": "much"}, "shade_share is 'much'; allowed: 0 to 1"),
    ],
)
def test_a_dome_that_cannot_be_is_refused_in_words(sizes, message):
    with pytest.raises(BadValue, match=message):
        DomeSpec(**sizes)


def test_a_mat_without_a_thermostat_is_refused():
    with pytest.raises(BadValue, match="a mat without a thermostat cannot be foretold"):
        HeatMat(20.0)
    with pytest.raises(BadValue, match=r"mat\.power_w is -3"):
        HeatMat(-3.0, 21.0)


def test_an_unknown_leak_is_an_assumption_that_is_shown():
    shown = {row["name"]: row for row in DomeSpec().assumptions()}
    assert shown["leak_l_min"]["value"] is None
    assert "0.2 l/min is assumed" in shown["leak_l_min"]["source"]


def test_vapour_settles_within_a_minute_in_a_common_dome():
    assert DomeSpec().vapour_settles_s < 60
