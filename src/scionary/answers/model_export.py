"""The take model for a notebook: its draws as arrays, its summary as plain values. The fields are described in docs/take-model.md."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from scionary import __version__
from scionary.answers.importance import importance
from scionary.answers.rates import CONFIDENCE, KINDS, PAST, Rate, kinds_of, rates, usual_stage
from scionary.answers.take_facts import FACTORS
from scionary.answers.take_model import SEED, TakeModel, take_model
from scionary.errors import BadValue, Refused
from scionary.language import Words, mark, say

if TYPE_CHECKING:
    from scionary.take import EffectTable

DRAWS, SUMMARY = "draws", "summary"
ENDINGS = {DRAWS: ".npz", SUMMARY: ".json"}
WORDS = Words({DRAWS: mark("draws of the take model"), SUMMARY: mark("summary of the take model")})
FORMAT = 1
Arrays = dict[str, npt.NDArray[Any]]


def model_file_name(what: str, stage: str, now: datetime) -> str:
    """What the file is called when it is taken home."""
    return f"scionary-{what}-{stage}-{now:%Y-%m-%d}{ENDINGS[what]}"


def write_model(what: str, target: Path, *, stage: str | None, now: datetime) -> str:
    """Write draws or summary of a stage into a file, whole or not at all; gives the stage."""
    if what not in ENDINGS:
        raise BadValue("what", what, say("one of {choices}", choices=", ".join(ENDINGS)))
    if target.suffix.lower() != ENDINGS[what]:
        remedy = say("Let its name end in {what}.", what=ENDINGS[what])
        raise Refused(say("the {what} cannot be written into such a file.", what=WORDS[what]), where=str(target), remedy=remedy)
    stage = stage or usual_stage()
    part = target.with_name(f".{target.name[:100]}.{secrets.token_hex(4)}.part")
    try:
        with part.open("xb") as handle:
            if what == DRAWS:
                np.savez(handle, allow_pickle=False, **model_draws(stage))
            else:
                handle.write(_json(model_summary(stage, now=now)))
        part.replace(target)
    except OSError as error:
        reason = error.strerror or say("it cannot be written")
        raise Refused(f"{reason}.", where=str(target), remedy=say("Name a file in a folder where there is room.")) from error
    finally:
        part.unlink(missing_ok=True)
    return stage


def model_draws(stage: str) -> Arrays:
    """The record's cells, and equally likely values of all that the model does not know, row for row of the same draw."""
    model = take_model(stage)
    fit, cells = model.fit, model.fit.cells
    size = len(fit.design.fixed)
    found: Arrays = {
        "format": np.array(FORMAT),
        "stage": np.array(stage),
        "grafts": cells.grafts,
        "takes": cells.takes,
        "fixed_name": np.array(fit.design.fixed),
        "fixed": _short(fit.latent[:, :size]),
        "factor": np.array(fit.design.factors, dtype=str),
        "scale": _short(fit.scale_draws),
    }
    for name, column in cells.covariates.items():
        found[f"covariate.{name}"] = column
    for at, factor in enumerate(fit.design.factors):
        keys, start = cells.level_names(factor), int(fit.design.starts[at])
        found[f"code.{factor}"] = cells.factors[factor]
        found[f"key.{factor}"] = np.array(keys, dtype=str)
        found[f"level.{factor}"] = np.array([model.names[factor].get(key, key) for key in keys], dtype=str)
        found[f"effect.{factor}"] = _short(fit.latent[:, start : start + len(keys)])
        found.update(_rate_draws(model, factor))
    return found


def model_summary(stage: str, *, now: datetime) -> dict[str, Any]:
    """What the model supposes, was given and found, in plain values."""
    model = take_model(stage)
    fit = model.fit
    priors = fit.design.priors
    return {
        "format": FORMAT,
        "made": now.isoformat(timespec="seconds"),
        "program": __version__,
        "stage": stage,
        "record": {
            "grafts": int(fit.cells.grafts.sum()),
            "takes": int(fit.cells.takes.sum()),
            "cells": len(fit.cells),
            "levels": {factor: len(fit.cells.level_names(factor)) for factor in fit.design.factors},
            "fall_alike": {factor: other for factor, (other, _) in model.alias.items()},
            "measured": {name: vars(scale) for name, scale in fit.cells.scales.items()},
        },
        "priors": {
            "intercept": {"mean": priors.intercept_mean, "sd": priors.intercept_sd},
            "slope": {"mean": 0.0, "sd": priors.slope_sd},
            "half_normal_scale": {factor: priors.scale_of(factor) for factor in fit.design.factors},
            "levels_come_new": [factor for factor in fit.design.factors if factor in priors.passing],
        },
        "computed": {
            "draws": len(fit.latent),
            "points": len(fit.points.weights),
            "effective_points": fit.effective_size,
            "more_points_drawn": fit.points.rebuilt,
            "seed": SEED,
        },
        "range": CONFIDENCE,
        "fixed": _rows(fit.fixed),
        "scales": _rows(fit.scales),
        "effects": {factor: _rows(fit.effects(factor), model.names[factor]) for factor in fit.design.factors},
        "rates": {kind: {factor: _rate_rows(stage, factor, kind) for factor in FACTORS if kind in kinds_of(factor)} for kind in KINDS},
        "importance": importance(stage).to_dict(),
        "assumptions": model.assumptions,
        "behind": model.behind,
    }


def _rate_draws(model: TakeModel, factor: str) -> Iterator[tuple[str, npt.NDArray[Any]]]:
    """The two rates that cannot be had from the effects alone."""
    from scionary.take import Rate as Kind

    if factor not in PAST:
        for kind in ("long_run", "next_season"):
            yield f"rate.{kind}.{factor}", _short(model.fit.rate_draws(factor, Kind[kind.upper()]))


def _rate_rows(stage: str, factor: str, kind: str) -> list[dict[str, Any]]:
    return [_rate_row(row) for row in rates(stage, factor, kind).rows]


def _rate_row(row: Rate) -> dict[str, Any]:
    return {name: getattr(row, name) for name in ("key", "name", "grafts", "takes", "unknown", "mean", "low", "high")}


def _rows(table: EffectTable, names: Mapping[str, str] | None = None) -> list[dict[str, Any]]:
    """One mapping a row; a level's key becomes its name, the key stays beside it."""
    columns = table.to_dict()
    rows = [dict(zip(columns, values, strict=True)) for values in zip(*columns.values(), strict=True)]
    return rows if names is None else [{"key": row["name"], **row, "name": names.get(row["name"], row["name"])} for row in rows]


def _short(numbers: npt.NDArray[np.float64]) -> npt.NDArray[np.float32]:
    """Half the size: seven digits are more than draws can say."""
    return numbers.astype(np.float32)


def _json(value: Mapping[str, Any]) -> bytes:
    import json

    return (json.dumps(value, indent=2, ensure_ascii=False, default=str) + "\n").encode()
