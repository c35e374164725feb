"""Cells and summaries in and out of NPZ files; the format is described in the package's docstring."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from oracle.nursery import Cells, Priors

FOLDER = Path(__file__).resolve().parent.parent.parent / "tests" / "data" / "oracle"
Summaries = dict[str, NDArray[Any]]


def write(cells: Cells, summaries: Summaries, folder: Path = FOLDER) -> Path:
    """Write one data set, with the summaries of its posterior when there are any."""
    priors = {"prior_intercept_mean": cells.priors.intercept_mean, "prior_intercept_sd": cells.priors.intercept_sd}
    priors |= {f"prior_slope_sd_{name}": value for name, value in cells.priors.slope_sd.items()}
    priors |= {f"prior_scale_{name}": value for name, value in cells.priors.scale.items()}
    arrays: dict[str, Any] = {"grafts": cells.grafts, "takes": cells.takes}
    arrays |= {f"factor_{name}": codes for name, codes in cells.factors.items()}
    arrays |= {f"covariate_{name}": values for name, values in cells.covariates.items()}
    arrays |= {name: np.float64(value) for name, value in priors.items()}
    arrays |= summaries | {"metadata": np.array(json.dumps(cells.metadata))}
    path = folder / f"{cells.name}.npz"
    np.savez_compressed(path, **arrays)
    return path


def read(name: str, folder: Path = FOLDER) -> tuple[Cells, Summaries]:
    """One data set and the summaries of its posterior; no summaries when its chains have not been run."""
    with np.load(folder / f"{name}.npz") as stored:
        arrays = {key: stored[key] for key in stored.files}
    metadata = json.loads(str(arrays.pop("metadata")))
    grafts, takes = arrays.pop("grafts"), arrays.pop("takes")
    slopes, scales = taken(arrays, "prior_slope_sd_"), taken(arrays, "prior_scale_")
    intercept = taken(arrays, "prior_intercept_")
    priors = Priors(
        scale={factor: float(value) for factor, value in scales.items()},
        slope_sd={covariate: float(value) for covariate, value in slopes.items()},
        intercept_mean=float(intercept["mean"]),
        intercept_sd=float(intercept["sd"]),
    )
    factors, covariates = taken(arrays, "factor_"), taken(arrays, "covariate_")
    return Cells(name, grafts, takes, factors, covariates, priors, metadata), arrays


def taken(arrays: dict[str, NDArray[Any]], prefix: str) -> dict[str, NDArray[Any]]:
    """The arrays whose names begin so, by the rest of their names; they leave `arrays`."""
    found = [key for key in arrays if key.startswith(prefix)]
    return {key.removeprefix(prefix): arrays.pop(key) for key in found}
