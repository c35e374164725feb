"""What a stock is doing on a day, as far as the warmth outside tells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import numpy as np

from scionary import season
from scionary.answers.cut_site import CutSite, site_today
from scionary.answers.join_ask import STAGE_WORDS
from scionary.answers.join_words import of_hundred
from scionary.answers.stages import chances_by_day
from scionary.book.models import Nursery
from scionary.language import mark, say
from scionary.union import Stage

SURE = 0.8  # below it the advice takes no stage for granted; project default, unsourced
SWELLING_FROM = 0.6  # of the heat at which buds open; project default, unsourced
_NOBODYS = UUID(int=0)  # stocks were never looked at: their heat sums are those of a cultivar that nobody knows
_SAME = {season.Stage.SOFT: Stage.IN_GROWTH, season.Stage.HALF_RIPE: Stage.GROWTH_RIPENING, season.Stage.RIPE: Stage.GROWTH_RIPENING}


@dataclass(frozen=True)
class StockStage:
    """The stage where it is likely enough, else None, with a sentence on where it is from."""

    stage: Stage | None
    words: str


def stock_stage(day: date, nursery: Nursery) -> StockStage:
    """What a stock outside is doing on a day, by warmth and day length."""
    site = site_today(nursery, day).site
    chances = _chances(site, nursery) if site else None
    if chances is None:
        return StockStage(None, say("What the stock is doing is not known: the book holds no weather of these days."))
    stage = max(chances, key=lambda each: chances[each])
    words = {"stage": STAGE_WORDS[stage], "chance": of_hundred(chances[stage])}
    if chances[stage] < SURE:
        doubt = mark("What the stock is doing is not sure: by the warmth outside it is most likely one {stage} ({chance}).")
        return StockStage(None, say(doubt, **words))
    known = mark("The stock counts as one {stage}, by the warmth outside ({chance}). One that was kept warm is further on.")
    return StockStage(stage, say(known, **words))


def _chances(site: CutSite, nursery: Nursery) -> Mapping[Stage, float] | None:
    """Chance of each stage on the site's day; one of which nothing is known is as the last one before it that is."""
    found = chances_by_day(site.weather, nursery, site.fits, _NOBODYS)
    row = next((at for at in range(site.today, -1, -1) if found[at] is not None), None)
    if row is None:
        return None
    chances = dict.fromkeys((Stage.DORMANT, Stage.BUDS_SWELLING, *_SAME.values()), 0.0)
    for stage, chance in (found[row] or {}).items():
        chances[_SAME.get(stage, Stage.DORMANT)] += chance
    swelling = min(_swelling(site, row), chances[Stage.DORMANT])
    return {**chances, Stage.DORMANT: chances[Stage.DORMANT] - swelling, Stage.BUDS_SWELLING: swelling}


def _swelling(site: CutSite, row: int) -> float:
    """Chance that the heat that opens buds is reached by so much and not yet whole."""
    heat = sum(site.fits.course.on(site.weather.dates[row])) / 2.0
    opens = np.asarray(site.fits.heat(str(_NOBODYS)).bud_break)
    return float(np.mean((heat >= SWELLING_FROM * opens) & (heat < opens)))
