import builtins
import subprocess
import sys

import numpy as np

from dome.dome_weather import porch
from scionary.dome import DomeSpec, Path, marching, simulate_dome
from scionary.dome.kernel import Sizes, around, saturated, settle


def test_without_numba_the_numpy_path_answers_and_says_so(monkeypatch):
    real = builtins.__import__

    def no_numba(name, *rest):
        if name.startswith("numba"):
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", no_numba)
    monkeypatch.delitem(sys.modules, "scionary.dome.compiled", raising=False)
    monkeypatch.delattr("scionary.dome.compiled", raising=False)
    marching.compiled_kernel.cache_clear()
    try:
        air = simulate_dome(DomeSpec(), porch(2), 0, path=Path.COMPILED)
    finally:
        marching.compiled_kernel.cache_clear()
    assert air.path is Path.NUMPY
    assert np.isfinite(air.temperature_c).all()


def test_a_short_march_does_not_wait_for_numba():
    code = "import sys, scionary.dome; assert 'numba' not in sys.modules"
    subprocess.run([sys.executable, "-c", code], check=True)
    assert simulate_dome(DomeSpec(), porch(3), 0).path is Path.NUMPY


def test_a_long_march_in_pieces_gives_the_numbers_of_one_go():
    outside = porch(36)
    vents = np.resize(np.repeat([0.0, 100.0, 30.0], 48), outside.time_s.size)
    whole = simulate_dome(DomeSpec(water_mm=200.0, leak_l_min=0.2), outside, vents, path=Path.NUMPY)
    pieces = simulate_dome(DomeSpec(leak_l_min=0.2), outside, vents, path=Path.NUMPY)
    assert whole.water_mm.min() > 0
    np.testing.assert_allclose(pieces.temperature_c, whole.temperature_c, rtol=0, atol=1e-9)
    np.testing.assert_allclose(pieces.relative_humidity_pct, whole.relative_humidity_pct, rtol=0, atol=1e-9)


def test_vapour_and_cover_settle_from_a_cold_start_in_any_dome():
    rng = np.random.default_rng(1)
    n = 5_000
    cover, wet = rng.uniform(0.05, 3, n), 10 ** rng.uniform(-6, -2, n)
    sizes = Sizes(
        inner=rng.uniform(1, 20, n) * cover,
        outer=rng.uniform(2, 50, n) * cover,
        heat_capacity=8000.0,
        sun=0.1,
        pots=wet,
        film=0.0,
        film_area=1.0,
        leak=10 ** rng.uniform(-9, -2, n),
        wind=0.025,
        stack=0.2 * np.sqrt(rng.uniform(0.01, 1, n)),
        mat=0.0,
        thermostat=0.0,
    )
    outside_c = rng.uniform(-20, 45, n)
    t = outside_c + rng.uniform(-10, 40, n)
    openings = 10 ** rng.uniform(-5, 0, n) * (rng.random(n) > 0.2)
    out = around(outside_c, saturated(outside_c) * rng.uniform(0, 1, n), rng.uniform(0, 10, n), 0.0, openings, sizes)
    v, c, left = settle(t, out, wet, sizes, saturated(t), t)
    assert left.max() < 1e-9
    assert np.all(v <= np.maximum(saturated(t), out.vapour))
    assert np.all(c >= np.minimum(t, outside_c) - 1e-9)
