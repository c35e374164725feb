"""What the growers saw at their mother trees, spring by spring, and when they watered them."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import numpy as np

from scionary.demo.chance import stream
from scionary.demo.diary import Diary
from scionary.demo.station import Days
from scionary.demo.tarn_bridge import GROWERS, VARIETIES
from scionary.season import heat_course

LOOKED_AT = 9  # trees that somebody passes every week
_NEEDS = {"bud_break": 190.0, "half_ripe": 620.0, "ripe": 1040.0}  # °C d over 5 °C, what the trees really need
_STAGES = ("dormant", "bud_break", "half_ripe", "ripe")
_CULTIVARS_SD, _REST_SD = 0.14, 0.05
_DRY_DAYS = 9


def tell_trees(diary: Diary, trees: dict[str, UUID], days: Days, today: date, seed: int) -> None:
    """Weekly looks of the last three growing years, and waterings of the pots in dry spells of the last summer."""
    course = heat_course(days.dates, days.highest_c, days.lowest_c)
    names = [f"{variety.spoken}, {where}" for variety in VARIETIES for where, _ in variety.trees[:1]][:LOOKED_AT]
    for name in names:
        rng = stream(seed, f"stages {name}")
        own = float(np.exp(rng.normal(0.0, _CULTIVARS_SD)))
        for row in range(max(len(course.start) - 3, 0), len(course.start)):
            needs = {stage: heat * own * float(np.exp(rng.normal(0.0, _REST_SD))) for stage, heat in _NEEDS.items()}
            _season(diary, trees[name], course.start[row].astype(date), course.low[row], needs, int(rng.integers(7)), today)
    _water(diary, [trees[name] for name in trees if "pot" in name], days, today)


def _season(diary: Diary, tree: UUID, begins: date, heat: np.ndarray, needs: dict[str, float], weekday: int, today: date) -> None:  # type: ignore[type-arg]
    """A look a week; it is written down when something has changed, and once before buds break."""
    told = ""
    for at in range(60 + weekday, 300, 7):
        day = begins + timedelta(days=at)
        if day >= today or np.isnan(heat[at]):
            return
        stage = _STAGES[sum(heat[at] >= needs[each] for each in needs)]
        near = not told and heat[at] >= needs["bud_break"] * 0.7
        if (stage != told and told) or near:
            told = stage
            diary.write("tree_seen", diary.at(day, 7, 30), f"tree:{tree}", {"stage": stage}, who=GROWERS[at % 2])


def _water(diary: Diary, pots: list[UUID], days: Days, today: date) -> None:
    """Pots are watered through when it has not rained for some days in summer."""
    since = 0
    for at in range(days.dates.size - 190, days.dates.size):
        day = days.dates[at].astype(date)
        since = 0 if days.rain_mm[at] >= 4.0 else since + 1
        if day < today and since and since % _DRY_DAYS == 0 and days.highest_c[at] > 18.0:
            for pot in pots:
                diary.write("watered", diary.at(day, 19), f"tree:{pot}", {"litres": 12.0}, who=GROWERS[0])
