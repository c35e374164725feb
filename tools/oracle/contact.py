"""`python -m oracle.contact`: lengths of contact by shapely's polygons, stored so that closed forms can be held against them.

Each case is a stock and a scion, both round and cut along, and a placement. The living lines come from a fine polygon of the
ring under the bark, cut by the plane of the face; contact is the length of the scion's lines inside the stock's lines widened
by the tolerance. Numbers that go in are whole micrometres, so that they are stored exactly.

`tests/data/oracle/contact_lengths.npz`: `micrometres`, int32, one row a case, columns as in `COLUMNS`; `contact_mm`, float64;
`metadata`, a JSON text with versions, seed and date.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from oracle.store import FOLDER

COLUMNS = (
    "stock_radius", "stock_bark", "stock_depth", "scion_radius", "scion_bark", "scion_depth", "shift", "lean", "length", "tolerance",
)  # fmt: skip
CASES, SEED, QUARTER = 10_000, 71, 2_000


def drawn_cases(count: int = CASES, seed: int = SEED) -> NDArray[np.int32]:
    """Random stems and placements, also odd ones: steep leans, wide reaches, lines that nearly touch."""
    rng = np.random.default_rng(seed)
    stock, scion = rng.uniform(1.5, 15.0, count), rng.uniform(0.8, 8.0, count)
    barks = [rng.uniform(0.02, 0.3, count) * radius for radius in (stock, scion)]
    depths = [bark + rng.uniform(0.03, 0.97, count) * 2.0 * (radius - bark) for radius, bark in zip((stock, scion), barks, strict=True)]
    length = rng.uniform(5.0, 60.0, count)
    lean = rng.choice([0.0, 1.0], count, p=[0.1, 0.9]) * rng.normal(0.0, 0.15, count) * length
    tolerance = np.exp(rng.uniform(np.log(0.05), np.log(3.0), count))
    columns = (stock, barks[0], depths[0], scion, barks[1], depths[1], rng.normal(0.0, 3.0, count), lean, length, tolerance)
    return np.round(np.column_stack(columns) * 1000.0).astype(np.int32)


def half_width(radius: float, bark: float, depth: float) -> float:
    """Half the distance between the two places where the plane of the face meets the ring under the bark."""
    from shapely import LineString, Point

    ring = Point(0.0, 0.0).buffer(radius - bark, quad_segs=QUARTER)
    plane = LineString([(-2.0 * radius, radius - depth), (2.0 * radius, radius - depth)])
    return float(ring.intersection(plane).length) / 2.0


def contact(case: NDArray[Any]) -> float:
    """Length of the scion's lines within reach of the stock's."""
    from shapely import LineString, union_all

    stock_radius, stock_bark, stock_depth, scion_radius, scion_bark, scion_depth, shift, lean, length, tolerance = (case / 1000.0).tolist()
    below, above = half_width(stock_radius, stock_bark, stock_depth), half_width(scion_radius, scion_bark, scion_depth)
    reach = union_all(
        [LineString([(side * below, -length), (side * below, length)]).buffer(tolerance, cap_style="flat") for side in (-1.0, 1.0)]
    )
    lines = [
        LineString([(shift - lean / 2 + side * above, -length / 2), (shift + lean / 2 + side * above, length / 2)]) for side in (-1.0, 1.0)
    ]
    return float(sum(line.intersection(reach).length for line in lines))


def main() -> None:
    """Draw the cases, measure, write."""
    import shapely

    cases = drawn_cases()
    found = np.array([contact(case) for case in cases])
    versions = {"shapely": shapely.__version__, "geos": shapely.geos_version_string, "numpy": np.__version__}
    metadata = {"seed": SEED, "columns": COLUMNS, "unit": "micrometre", "date": str(datetime.now(UTC).date()), **versions}
    path = FOLDER / "contact_lengths.npz"
    np.savez_compressed(path, micrometres=cases, contact_mm=found, metadata=np.array(json.dumps(metadata)))
    print(f"{path}: {len(cases)} cases, {np.mean(found > 0):.0%} of them with contact")


if __name__ == "__main__":
    main()
