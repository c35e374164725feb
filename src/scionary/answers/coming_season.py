"""Take probabilities of a coming season's grafts, as draws that share the season's luck."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

import numpy as np
import numpy.typing as npt

from scionary.answers.remembered import remembered
from scionary.answers.take_model import SEED, TakeModel, cells_for, take_model
from scionary.book.models import MotherTree

RESULT_VERSION = 3


def season_draws(
    stage: str, cultivars: Sequence[UUID], *, fillings: Sequence[int] | None = None, methods: Sequence[UUID | None] | None = None
) -> npt.NDArray[np.float64]:
    """Take probabilities of grafts of one coming season, shape (draws, cultivars).

    Within a draw all share the season's luck and its stock lot; each cultivar's grafts come from its own mother trees and are spread over
    so many fillings of a dome (one each when not said), each with a day and a luck of its own, and, where the record has them, with air
    and thickness of its own. The method is the one that is said, else, like the grafter, that of most grafts so far.
    """
    model = take_model(stage)
    spread = list(fillings) if fillings is not None else [1] * len(cultivars)
    trees = [_trees(model, cultivar) for cultivar in cultivars]
    by = [{"method": str(method)} if method else {} for method in methods or [None] * len(cultivars)]
    asked = {"content": model.content, "cultivars": [str(c) for c in cultivars], "fillings": spread, "trees": trees, "by": by}
    return remembered("season_draws", RESULT_VERSION, asked, lambda: _draws(model, cultivars, trees, spread, by))


def _draws(
    model: TakeModel,
    cultivars: Sequence[UUID],
    trees: Sequence[Sequence[str]],
    fillings: Sequence[int],
    by: Sequence[Mapping[str, str]],
) -> npt.NDArray[np.float64]:
    usual = {factor: _commonest(model, factor) for factor in ("method", "grafter") if factor in model.fit.cells.factors}
    rows, owner = [], []
    for at, cultivar in enumerate(cultivars):
        for tree in trees[at]:
            for filling in range(max(fillings[at], 1)):
                coming = {
                    "day": f"coming day {filling}",
                    "dome": f"coming filling {at} {filling}",
                    "tree": tree,
                }
                rows.append({"cultivar": str(cultivar), **usual, **by[at], **coming})
                owner.append(at)
    size = len(model.fit.latent)
    if not rows:
        return np.zeros((size, 0))
    predicted = model.fit.predict(cells_for(model.fit, rows), draws=size, rng=SEED, vary=True)
    share = np.zeros((len(rows), len(cultivars)))
    share[np.arange(len(rows)), owner] = 1.0
    return np.asarray(predicted @ (share / share.sum(axis=0)))


def _trees(model: TakeModel, cultivar: UUID) -> list[str]:
    """The cultivar's mother trees that still stand; one of its own, of which nothing is known, where none is written down."""
    if "tree" not in model.fit.cells.factors:
        return [""]
    trees = MotherTree.objects.filter(cultivar=cultivar, retired=False).order_by("pk")
    return [str(pk) for pk in trees.values_list("pk", flat=True)] or [f"unknown tree of {cultivar}"]


def _commonest(model: TakeModel, factor: str) -> str:
    cells = model.fit.cells
    codes, names = cells.factors[factor], cells.level_names(factor)
    there = codes >= 0
    grafts = np.bincount(codes[there], weights=cells.grafts[there], minlength=len(names))
    return names[int(grafts.argmax())] if len(names) else ""
