"""Two arms compared inside trays, or tray against tray: the tests.

In all of them `grafts` and `takes` have one row a tray and two columns, the first arm and the second; only known outcomes are counted.
"""

from __future__ import annotations

import math

import numpy as np

from scionary.units import Float


def mantel_haenszel_odds_ratio(grafts: Float, takes: Float) -> float:
    """Give the odds ratio, second arm to first, that all trays share.

    Parameters
    ----------
    grafts, takes : ndarray, shape (trays, 2)
        Known outcomes and takes by tray and arm.

    Returns
    -------
    float
        Odds ratio; infinite when only the second arm ever wins, NaN when no tray tells anything.

    Notes
    -----
    Mantel, N. & Haenszel, W. (1959), Journal of the National Cancer Institute 22, 719-748.
    """
    size = np.maximum(grafts.sum(axis=1), 1.0)
    failures = grafts - takes
    above = float((takes[:, 1] * failures[:, 0] / size).sum())
    below = float((takes[:, 0] * failures[:, 1] / size).sum())
    if below == 0.0:
        return math.inf if above > 0.0 else math.nan
    return above / below


def stratified_test(grafts: Float, takes: Float) -> float:
    """Test whether the arms differ, given that the treatment works alike in all trays (Cochran-Mantel-Haenszel, uncorrected).

    Parameters
    ----------
    grafts, takes : ndarray, shape (trays, 2)
        Known outcomes and takes by tray and arm.

    Returns
    -------
    float
        Two-sided p-value; NaN when no tray tells anything.

    Notes
    -----
    Cochran, W. G. (1954), Biometrics 10, 417-451; Mantel & Haenszel (1959), as above. When the treatment works differently from tray
    to tray, it claims too often; see `tray_test`.
    """
    from scipy.special import ndtr

    excess, variance = stratified_excess(grafts, takes)
    if variance == 0.0:
        return math.nan
    return float(2.0 * ndtr(-abs(excess) / math.sqrt(variance)))


def stratified_excess(grafts: Float, takes: Float) -> tuple[float, float]:
    """Give the takes of the second arm beyond what is expected without a difference, and their variance.

    Parameters
    ----------
    grafts, takes : ndarray, shape (trays, 2)
        Known outcomes and takes by tray and arm.

    Returns
    -------
    excess, variance : float
        Both 0 when no tray tells anything.
    """
    useful = (grafts > 0).all(axis=1)
    grafts, takes = grafts[useful], takes[useful]
    size, took = grafts.sum(axis=1), takes.sum(axis=1)
    variance = float((grafts.prod(axis=1) * took * (size - took) / (size**2 * (size - 1.0))).sum())
    return float((takes[:, 1] - grafts[:, 1] * took / size).sum()), variance


def tray_test(grafts: Float, takes: Float) -> float:
    """Test whether the arms differ when the treatment may work differently from tray to tray: each tray's difference is one observation.

    Parameters
    ----------
    grafts, takes : ndarray, shape (trays, 2)
        Known outcomes and takes by tray and arm.

    Returns
    -------
    float
        Two-sided p-value; NaN with fewer than two trays that hold both arms.

    Notes
    -----
    The trays' differences d have the weights w = n m / (n + m) of Mantel and Haenszel. Their weighted mean over its standard error,
    √(k / (k - 1) Σ w² (d - mean)²) / Σ w, is compared with Student's t of k - 1 degrees of freedom. Where trays do not vary at all, the
    luck of single grafts is put in its place.
    """
    useful = (grafts > 0).all(axis=1)
    grafts, takes = grafts[useful], takes[useful]
    trays = len(grafts)
    if trays < 2:
        return math.nan
    weight = grafts.prod(axis=1) / grafts.sum(axis=1)
    rates = takes / grafts
    differences = rates[:, 1] - rates[:, 0]
    mean = float(weight @ differences / weight.sum())
    squares = float((weight**2) @ (differences - mean) ** 2) * trays / (trays - 1.0)
    luck = float((weight**2) @ (_luck(grafts.sum(axis=1), takes.sum(axis=1)) / weight))
    return _student(mean, (squares if squares > 1e-12 else luck) / float(weight.sum()) ** 2, trays - 1)


def whole_tray_test(first: tuple[Float, Float], second: tuple[Float, Float]) -> float:
    """Test whether two arms differ that were each given to whole trays: each tray's rate is one observation.

    Parameters
    ----------
    first, second : pair of ndarray
        Grafts and takes of each tray of that arm.

    Returns
    -------
    float
        Two-sided p-value of Student's t-test with a common variance; NaN when an arm has fewer than two trays.

    Notes
    -----
    Where trays of an arm do not vary at all, the luck of single grafts is put in the place of their variance. Grafts of one tray share
    its fate: counted one by one, they claim differences between treatments that are none.
    """
    rates = [takes / grafts for grafts, takes in (first, second)]
    trays = [len(rate) for rate in rates]
    if min(trays) < 2:
        return math.nan
    freedom = sum(trays) - 2
    variance = sum(float(((rate - rate.mean()) ** 2).sum()) for rate in rates) / freedom
    if variance <= 1e-12:
        variance = float(np.mean(np.concatenate([_luck(grafts, takes) / grafts for grafts, takes in (first, second)])))
    return _student(float(rates[1].mean() - rates[0].mean()), variance * sum(1.0 / count for count in trays), freedom)


def _luck(grafts: Float, takes: Float) -> Float:
    """Variance of a single graft's outcome, kept above zero where all or none took."""
    share = (takes + 0.5) / (grafts + 1.0)
    return share * (1.0 - share)


def _student(difference: float, variance: float, freedom: int) -> float:
    from scipy.special import stdtr

    return float(2.0 * stdtr(freedom, -abs(difference) / math.sqrt(variance)))
