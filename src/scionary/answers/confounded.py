"""What two levels cannot be told apart from: what all grafts of one share and the other's do not.

The engine lists each level whose grafts all share one level of another factor. What belongs to another by its nature (a mother tree
to its cultivar, a day or a filling to its season) is left out, and so is what both levels share alike.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from scionary.answers.remembered import remembered
from scionary.answers.take_facts import FACTORS, PLURALS
from scionary.answers.take_model import TakeModel
from scionary.language import Words, both, mark, say
from scionary.take import confounding

RESULT_VERSION = 1
Numbers = npt.NDArray[np.float64]

_BY_NATURE = ({"tree", "cultivar"}, {"day", "season"}, {"dome", "season"}, {"dome", "day"})
_MANY_APART = ("day", "dome", "tree")  # two levels seldom share one of these: that they do not is no news
_MOSTLY = 0.5  # the other level's share of grafts from which nothing need be said; project default, unsourced
_ON = {
    "lot": mark("graft on stock lot {level}"),
    "season": mark("graft of season {level}"),
    "day": mark("graft made on {level}"),
    "dome": mark("graft in {level}"),
    "grafter": mark("graft by {level}"),
    "method": mark("graft by “{level}”"),
}
_WAS = Words(
    {
        "cultivar": mark("was {}"),
        "tree": mark("came from {}"),
        "method": mark("was made by “{}”"),
        "lot": mark("stood on stock lot {}"),
        "season": mark("was of season {}"),
        "day": mark("was made on {}"),
        "dome": mark("healed in {}"),
        "grafter": mark("was made by {}"),
    }
)


@dataclass(frozen=True)
class Level:
    """A level of a factor as the fit knows it, and as a person says it."""

    factor: str
    key: str
    name: str

    @property
    def grafts(self) -> str:
        """Graft on stock lot 25-B; graft of Red Tarn."""
        return say(_ON.get(self.factor, mark("graft of {level}")), level=self.name)


def confounded(model: TakeModel, first: Level, second: Level) -> list[str]:
    """Sentences on what else may be the reason for a difference of two levels; empty when nothing is plainly in the way."""
    asked = {"content": model.content, "stage": model.stage, "levels": [(level.factor, level.key, level.name) for level in (first, second)]}
    return remembered("confounded", RESULT_VERSION, asked, lambda: _confounded(model, first, second))


def _confounded(model: TakeModel, first: Level, second: Level) -> list[str]:
    cells = model.fit.cells
    places = [model.place(level.factor, level.key) for level in (first, second)]
    if places[0] is None or places[1] is None:
        return []
    base, codes = places[0][0], (places[0][1], places[1][1])
    found = _alike(model, base, first.factor)
    for other in cells.factors:
        if other != base and {other, first.factor} not in _BY_NATURE and {other, base} not in _BY_NATURE:
            sides = [_side(model, level, base, code, other) for level, code in zip((first, second), codes, strict=True)]
            found += _told(other, *sides)
    return found


def _alike(model: TakeModel, base: str, factor: str) -> list[str]:
    """The factors by which all grafts fall as they do by this one."""
    others = [name for name in (base, *(name for name, (one, _) in model.alias.items() if one == base)) if name != factor]
    apart = [FACTORS[name] for name in others if {name, factor} not in _BY_NATURE]
    return [
        say("All grafts fall alike by {factor} and by {name}, so it may be the {name}.", factor=FACTORS[factor], name=name)
        for name in apart
    ]


def same_outer(model: TakeModel, outer: str, first: Level, second: Level) -> bool:
    """Whether both levels belong to the same level of a factor that holds them, such as two trees of one cultivar."""
    cells = model.fit.cells
    places = [model.place(level.factor, level.key) for level in (first, second)]
    if outer not in cells.factors or places[0] is None or places[1] is None:
        return True
    held = [set(cells.factors[outer][cells.factors[place[0]] == place[1]].tolist()) for place in places if place]
    return held[0] == held[1]


@dataclass(frozen=True)
class _Side:
    """One level's grafts by the levels of another factor: the key that all share, if they do, and whether some have none."""

    level: Level
    other: str
    counts: Numbers
    keys: tuple[str, ...]
    lone: str | None
    shared_name: str
    some_not: bool

    @property
    def every(self) -> str:
        did = _WAS[self.other].format(self.shared_name)
        if self.some_not:
            return say("every {graft} whose {factor} is written down {did}", graft=self.level.grafts, factor=FACTORS[self.other], did=did)
        return say("every {graft} {did}", graft=self.level.grafts, did=did)


def _side(model: TakeModel, level: Level, base: str, code: int, other: str) -> _Side:
    cells = model.fit.cells
    mine, keys = cells.factors[base] == code, cells.level_names(other)
    named = np.array([key in model.names[other] for key in keys], dtype=bool)  # the filling that a count is given of its own is none
    codes = cells.factors[other]
    codes = np.where((codes >= 0) & named[codes], codes, -1) if len(keys) else codes
    there = mine & (codes >= 0)
    counts = np.asarray(np.bincount(codes[there], weights=cells.grafts[there], minlength=len(keys)), dtype=np.float64)
    me = cells.level_names(base)[code]
    shared = [
        each.other_level
        for each in confounding(cells)
        if (each.factor, each.level, each.other) == (base, me, other) and each.other_level in model.names[other]
    ]
    lone = shared[0] if shared else None
    name = model.names[other].get(lone, lone) if lone is not None else ""
    return _Side(level, other, counts, keys, lone, name, bool(np.any(mine & (codes < 0) & (cells.grafts > 0))))


def _told(other: str, first: _Side, second: _Side) -> list[str]:
    """What one other factor has to do with it."""
    if not first.counts.any() or not second.counts.any():
        return []
    apart = not np.any((first.counts > 0) & (second.counts > 0))
    lone = [(side, rival) for side, rival in ((first, second), (second, first)) if side.lone is not None]
    if apart and lone:
        said = both(side.every for side, _ in lone)
        return [say("{said}, so it may be the {factor}.", said=f"{said[:1].upper()}{said[1:]}", factor=FACTORS[other])]
    if apart and other not in _MANY_APART:
        return [
            say("No {factor} stands on both sides, so the {factors} may be a part of it.", factor=FACTORS[other], factors=PLURALS[other])
        ]
    return [words for side, rival in lone if (words := _hangs_on_few(side, rival))]


def _hangs_on_few(side: _Side, rival: _Side) -> str:
    """How few of the other level's grafts are like all of this one's; empty when they are not few."""
    shared, total = int(rival.counts[side.keys.index(str(side.lone))]), int(rival.counts.sum())
    if shared >= _MOSTLY * total:
        return ""
    every = side.every
    return say(
        "{every}; of {name} only {shared} of {total}, so the comparison hangs on few.",
        every=f"{every[:1].upper()}{every[1:]}",
        name=rival.level.name,
        shared=shared,
        total=total,
    )
