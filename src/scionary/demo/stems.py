"""What the growers measured: the stocks of the newest lot one by one, and practice unions that they cut open."""

from __future__ import annotations

from datetime import date, timedelta

from scionary.demo.chance import stream
from scionary.demo.diary import Diary
from scionary.demo.ground import Ground, lot_name
from scionary.demo.seasons import coming_season
from scionary.demo.tarn_bridge import GROWERS, LOTS

MEASURED = 30
_OPENED_EACH = 8
_END_SD_MM, _DEPTH_SD_MM = {"Maren": 0.25, "Tobit": 0.5}, 0.12  # how far their hands really miss


def measure_stems(diary: Diary, ground: Ground, nursery: str, today: date, seed: int) -> None:
    """Thirty stocks of a lot, some of them used since, and eight practice unions of each grower."""
    rng = stream(seed, "stems")
    season = coming_season(today)
    arrived = date(season - 1, 10, 12)
    if arrived + timedelta(days=4) > today:
        season, arrived = season - 1, date(season - 2, 10, 12)
    lot, day = f"lot:{ground.lot[lot_name(season, 'A')]}", arrived + timedelta(days=2)
    for number in range(1, MEASURED + 1):
        thickness = round(float(rng.normal(LOTS["A"][2], 0.15 * LOTS["A"][2])), 1)
        diary.write("measured", diary.at(day, 10, number), lot, {"number": number, "thickness_mm": max(thickness, 3.0)}, who=GROWERS[0])
    for number in (4, 11):
        diary.write("measured", diary.at(day, 18, number), lot, {"number": number, "used": "yes"}, who=GROWERS[1])
    for at, grower in enumerate(GROWERS):
        for piece in range(_OPENED_EACH):
            foot, top = (round(float(rng.normal(0.0, _END_SD_MM[grower])), 1) for _ in range(2))
            missed = {"foot_mm": foot, "top_mm": top, "depth_mm": round(float(rng.normal(0.0, _DEPTH_SD_MM)), 2), "grafter": grower}
            diary.write("union_opened", diary.at(day - timedelta(days=1), 19 + at, 5 * piece), nursery, missed, who=grower)
