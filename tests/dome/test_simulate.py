import numpy as np
import pytest
from scipy.optimize import fsolve

from dome.dome_weather import by_the_minute, porch, steady
from dome.minute_reference import minute_loop
from scionary.dome import DomeSpec, HeatMat, OutsideAir, Path, Vents, simulate_dome
from scionary.dome.kernel import LATENT_HEAT, saturated
from scionary.dome.vents import opening_on_steps
from scionary.errors import BadValue

SHADED = DomeSpec(shade_share=0.5)
CHANGING = np.append(np.repeat([0, 50, 150, 250, 0, 30], 12), 0.0)
DRAUGHT = {"wind_m_s": 0.38}


def settled(dome, outside, vents):
    """The air at the end of long steady weather: °C, %, kPa."""
    air = simulate_dome(dome, outside, vents)
    return air.temperature_c[-1], air.relative_humidity_pct[-1], air.vapour_pressure_deficit_kpa[-1]


def test_a_sealed_wet_dark_dome_is_saturated_at_the_temperature_outside():
    temperature, humidity, deficit = settled(DomeSpec(leak_l_min=0.0), steady(18.0, 40.0), 0)
    assert temperature == pytest.approx(18.0, abs=1e-6)
    assert humidity == pytest.approx(100.0, abs=1e-6)
    assert deficit == pytest.approx(0.0, abs=1e-8)


def test_a_wide_open_dome_holds_the_air_outside():
    temperature, humidity, _ = settled(DomeSpec(), steady(18.0, 40.0, solar_w_m2=600.0, wind_m_s=2.0), 1e6)
    assert temperature == pytest.approx(18.0, abs=0.1)
    assert humidity == pytest.approx(40.0, abs=0.5)


def test_a_sealed_wet_dome_in_gentle_sun_is_below_saturation():
    _, humidity, _ = settled(DomeSpec(leak_l_min=0.0), steady(15.0, 60.0, solar_w_m2=70.0), 0)
    assert humidity == pytest.approx(90.0, abs=2.0)


@pytest.mark.parametrize("sun", [25.0, 70.0, 200.0, 900.0])
def test_a_sealed_domes_vapour_lies_between_its_wet_floors_and_its_covers_by_their_conductances(sun):
    dome = DomeSpec(leak_l_min=0.0)
    temperature, humidity, _ = settled(dome, steady(15.0, 60.0, solar_w_m2=sun), 0)
    air = simulate_dome(dome, steady(15.0, 60.0, solar_w_m2=sun), 0)
    floor, cover = dome.evaporation_m_s * dome.wet_area_m2, dome.inner_w_m2k * dome.cover_area_m2 / 1206.0
    told = (floor + cover * saturated(air.cover_c[-1]) / saturated(temperature)) / (floor + cover)
    assert humidity == pytest.approx(100.0 * told, abs=0.1)


@pytest.mark.parametrize("sun", [50.0, 200.0])
def test_air_over_a_tray_that_sun_warms_by_itself_would_be_moister_than_the_model_says(sun):
    dome = DomeSpec(leak_l_min=0.0)
    apart = humidity_with_a_warmer_tray(dome, 15.0, sun)
    assert apart > 99.0
    assert settled(dome, steady(15.0, 60.0, solar_w_m2=sun), 0)[1] < apart - 5.0


def humidity_with_a_warmer_tray(dome, outside_c, sun):
    """Balances of wet tray, air, cover and vapour with a temperature each; the tray gives heat to air as it gives vapour."""
    wet, lewis = dome.evaporation_m_s * dome.wet_area_m2, dome.evaporation_m_s * 1206.0 * dome.tray_area_m2
    inner, outer = dome.inner_w_m2k * dome.cover_area_m2, dome.outer_w_m2k * dome.cover_area_m2

    def rest(four):
        tray, air, cover, vapour = four
        given, dew = wet * (saturated(tray) - vapour), inner / 1206.0 * (vapour - saturated(cover))
        return [
            dome.absorbed_fraction * dome.tray_area_m2 * sun - lewis * (tray - air) - LATENT_HEAT * given,
            lewis * (tray - air) - inner * (air - cover),
            inner * (air - cover) + LATENT_HEAT * dew - outer * (cover - outside_c),
            1e6 * (given - dew),
        ]

    _, air, _, vapour = fsolve(rest, [outside_c + 5.0, outside_c + 3.0, outside_c + 1.0, saturated(outside_c)])
    return 100.0 * vapour / float(saturated(air))


def test_in_full_sun_the_cover_wrings_water_out_of_a_closed_dome():
    sealed = DomeSpec(leak_l_min=0.0)
    humidities = [settled(sealed, steady(15.0, 60.0, solar_w_m2=sun), 0)[1] for sun in (0.0, 70.0, 300.0, 900.0)]
    assert np.all(np.diff(humidities) < -5)


def test_a_dry_dome_warms_by_its_sun_over_the_sum_of_its_losses():
    dry = DomeSpec(film_area_m2=0.0, pot_area_m2=1e-4, leak_l_min=120.0, shade_share=0.5)
    cover, air = 0.5 / (1 / 6 + 1 / 14), 1206 * 120 / 60_000
    expected = 0.65 * 0.155 * 0.5 * 600 / (cover + air)
    assert settled(dry, steady(15.0, 20.0, solar_w_m2=600.0), 0)[0] - 15.0 == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize(
    ("shade", "vents", "low", "high"), [(0.0, 0, 44, 47), (0.0, 120, 37, 39), (0.75, 0, 22, 24), (0.75, 120, 21, 23.5)]
)
def test_shade_cools_a_dome_in_full_sun_and_vents_do_little(shade, vents, low, high):
    assert low < settled(DomeSpec(shade_share=shade), steady(15.0, 60.0, solar_w_m2=900.0, wind_m_s=0.5), vents)[0] < high


@pytest.mark.parametrize(
    ("wind", "vents", "humidity", "deficit", "days"),
    [
        (0.38, 0, 100, 0.01, None),
        (0.38, 25, 95, 0.11, 32),
        (0.38, 100, 88, 0.26, 13),
        (0.38, 200, 80, 0.44, 8),
        (0.1, 25, 97, 0.07, 47),
        (0.1, 100, 92, 0.18, 19),
        (0.1, 200, 88, 0.26, 13),
    ],
)
def test_vents_of_a_dome_indoors_set_its_humidity_and_how_long_water_lasts(wind, vents, humidity, deficit, days):
    air = simulate_dome(DomeSpec(water_mm=6.0), steady(20.0, 50.0, wind_m_s=wind, days=50), vents)
    at = 48 * 3
    assert air.relative_humidity_pct[at] == pytest.approx(humidity, abs=0.6)
    assert air.vapour_pressure_deficit_kpa[at] == pytest.approx(deficit, abs=0.006)
    assert air.dry_at_s == (None if days is None else pytest.approx(days * 86400, abs=0.6 * 86400))


def test_water_is_never_foretold_for_a_closed_dome_whose_leak_is_unknown():
    outside = steady(20.0, 50.0)
    night = Vents([0.0, 86400.0, 90000.0], [100.0, 0.0, 100.0])
    for vents in (0, night):
        air = simulate_dome(DomeSpec(water_mm=6.0), outside, vents)
        assert (air.water_mm, air.dry_at_s, air.water_unknown) == (None, None, True)
    known = simulate_dome(DomeSpec(water_mm=6.0, leak_l_min=1.0), outside, 0)
    assert 0 < known.water_mm[-1] < 6
    assert not known.water_unknown


def test_a_dry_tray_leaves_only_the_pots_to_wet_the_air():
    air = simulate_dome(DomeSpec(water_mm=1.0), steady(20.0, 50.0, **DRAUGHT, days=8), 200)
    before = air.time_s < air.dry_at_s
    assert air.water_mm[-1] == 0.0
    assert air.relative_humidity_pct[before][-1] - air.relative_humidity_pct[-1] > 15


def test_water_lost_is_what_leaves_the_tray():
    air = simulate_dome(DomeSpec(water_mm=6.0), steady(20.0, 50.0, **DRAUGHT), 100)
    grams = np.trapezoid(air.water_lost_g_h, air.time_s / 3600)
    assert (air.water_mm[0] - air.water_mm[-1]) * 0.155 * 1000 == pytest.approx(grams, rel=0.01)


@pytest.mark.parametrize(
    ("dome", "vents", "kelvin"),
    [
        (DomeSpec(), 0.0, 0.1),
        (SHADED, 100.0, 0.1),
        (DomeSpec(), 400.0, 0.1),
        (SHADED, CHANGING, 0.1),
        (DomeSpec(shade_share=0.5, mat=HeatMat(15.0, 21.0)), 25.0, 0.15),
    ],
    ids=["closed in sun", "a vent", "large vents", "vents changed", "a mat"],
)
def test_half_hours_follow_a_plain_loop_over_minutes(dome, vents, kelvin):
    outside = porch(3)
    time_s, weather = by_the_minute(outside)
    areas = opening_on_steps(vents, outside, time_s)
    by_minute = np.array([row[:2] for row in minute_loop(dome, weather, [*areas.tolist(), areas[-1]])])[::30]
    air = simulate_dome(dome, outside, vents)
    assert np.abs(air.temperature_c - by_minute[:, 0]).max() < kelvin
    assert np.abs(air.relative_humidity_pct - by_minute[:, 1])[:-1].max() < 0.5
    assert np.ptp(by_minute[:, 0]) > 15


def test_vapour_that_takes_its_minute_to_settle_changes_little():
    outside = porch(2)
    time_s, weather = by_the_minute(outside)
    stored = np.array([row[:2] for row in minute_loop(SHADED, weather, [0.01] * time_s.size, steady=False)])[::30]
    air = simulate_dome(SHADED, outside, 100)
    assert np.abs(air.temperature_c - stored[:, 0])[2:].max() < 0.1
    assert np.abs(air.relative_humidity_pct - stored[:, 1])[2:].max() < 1.0


def test_both_balances_close_at_every_moment():
    air = simulate_dome(SHADED, porch(30), np.append(np.resize(CHANGING[:-1], 720), 0.0))
    flows = air.fluxes
    cover = flows.inner + flows.dew - flows.outer
    vapour = flows.evaporation - flows.dew - 2.45e6 * flows.lost_kg_s
    most = np.max([np.abs(flows.evaporation), np.abs(flows.dew), np.abs(flows.inner), np.abs(flows.outer)], axis=0) + 1e-3
    assert np.max(np.abs(cover) / most) < 1e-6
    assert np.max(np.abs(vapour) / most) < 1e-6
    assert air.worst_residual < 1e-6


def test_a_thermostat_holds_its_temperature_with_what_it_needs():
    air = simulate_dome(DomeSpec(mat=HeatMat(30.0, 22.0)), steady(15.0, 60.0), 25)
    assert air.temperature_c[-1] == pytest.approx(22.0)
    assert 5 < air.mat_w[-1] < 30
    weak = simulate_dome(DomeSpec(mat=HeatMat(3.0, 22.0)), steady(15.0, 60.0), 25)
    assert weak.temperature_c[-1] < 21
    assert weak.mat_w[-1] == pytest.approx(3.0)


def test_a_long_gap_in_the_weather_is_unknown_and_a_short_one_is_bridged():
    whole = porch(6)
    temperature = whole.temperature_c.copy()
    temperature[30:32] = np.nan
    temperature[60:80] = np.nan
    air = simulate_dome(SHADED, OutsideAir(whole.time_s, temperature, whole.relative_humidity_pct, whole.solar_w_m2, 0.5), 50)
    unknown = np.isnan(air.temperature_c)
    assert not unknown[:119].any()
    assert unknown[120:158].all()
    assert not unknown[-40:].any()
    assert np.isnan(air.relative_humidity_pct[130])
    complete = simulate_dome(SHADED, OutsideAir(whole.time_s, whole.temperature_c, whole.relative_humidity_pct, whole.solar_w_m2, 0.5), 50)
    np.testing.assert_allclose(air.temperature_c[-40:], complete.temperature_c[-40:], atol=0.05)


def test_numpy_and_compiled_give_the_same_numbers():
    pytest.importorskip("numba")
    outside = porch(30)
    vents = np.append(np.resize(CHANGING[:-1], 720), 0.0)
    for dome in (DomeSpec(mat=HeatMat(15.0, 12.0)), DomeSpec(water_mm=30.0, leak_l_min=0.5)):
        plain = simulate_dome(dome, outside, vents, path=Path.NUMPY)
        compiled = simulate_dome(dome, outside, vents, path=Path.COMPILED)
        assert (plain.path, compiled.path) == (Path.NUMPY, Path.COMPILED)
        for name in ("temperature_c", "cover_c", "relative_humidity_pct", "vapour_pressure_deficit_kpa", "mat_w", "water_lost_g_h"):
            np.testing.assert_allclose(getattr(plain, name), getattr(compiled, name), rtol=0, atol=1e-9, err_msg=name)


def test_every_size_used_is_shown_with_its_source():
    shown = {row["name"]: row for row in simulate_dome(DomeSpec(absorbed_fraction=0.5), steady(15.0, 60.0), 0).assumptions}
    assert shown["inner_w_m2k"]["source"] == "project default, unsourced"
    assert shown["absorbed_fraction"]["source"].startswith("given; the default is 0.65")


@pytest.mark.parametrize(
    ("vents", "step_s", "message"),
    [
        (-5, 1800, r"vents is -5.0; allowed: 0 to 1e\+06 cm²"),
        ([10.0, np.nan, 10.0], 1800, "vents is nan at index 1"),
        ([10.0, 10.0, 10.0], 1800, "one number, one for each of the 192 steps or of the 97 moments"),
        (0, 5, "step_s is 5; allowed: 60 to 3600 s"),
        (0, 60, "step_s is 60; allowed: at least 2[0-9][0-9] s"),
    ],
)
def test_bad_vents_and_steps_are_refused_in_words(vents, step_s, message):
    with pytest.raises(BadValue, match=message):
        simulate_dome(DomeSpec(), steady(15.0, 60.0), vents, step_s=step_s)
