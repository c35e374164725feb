"""How far two take rates lie apart, from counts alone."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.take.intervals import check_counts, wilson_interval
from scionary.units import like_input


def difference_interval(successes: Any, trials: Any, other_successes: Any, other_trials: Any, confidence: float = 0.95) -> tuple[Any, Any]:
    """Give the range that the difference of two independent proportions may have (Newcombe's hybrid score interval).

    Parameters
    ----------
    successes, trials : array_like
        Whole numbers of the first group, `successes` at most `trials`; NaN gives NaN.
    other_successes, other_trials : array_like
        The same of the second group; 0 trials of a group say nothing of its proportion.
    confidence : float
        Share of such ranges that hold the truth, more than 0 and less than 1.

    Returns
    -------
    low, high : float or ndarray
        First proportion minus second, -1 to 1; floats when all counts are plain numbers.

    Raises
    ------
    BadValue
        When a count is negative or no whole number, or successes exceed trials.

    Notes
    -----
    Newcombe, R. G. (1998), Statistics in Medicine 17, 873-890, method 10. It takes each graft as independent: not for grafts that share
    a tray or a dome with the treatment; see `analyse_trial`.
    """
    takes, total = check_counts("successes", successes, "trials", trials)
    other_takes, other_total = check_counts("other_successes", other_successes, "other_trials", other_trials)
    low, high = (np.asarray(end) for end in wilson_interval(takes, total, confidence))
    other_low, other_high = (np.asarray(end) for end in wilson_interval(other_takes, other_total, confidence))
    share, other_share = _share(takes, total), _share(other_takes, other_total)
    difference = share - other_share
    below = difference - np.hypot(share - low, other_high - other_share)
    above = difference + np.hypot(high - share, other_share - other_low)
    inputs = (successes, trials, other_successes, other_trials)
    return like_input(np.maximum(below, -1.0), *inputs), like_input(np.minimum(above, 1.0), *inputs)


def _share(takes: Any, total: Any) -> Any:
    """Proportions; one half where nothing was tried, in the middle of its range."""
    return np.where(total == 0, 0.5, takes / np.where(total == 0, 1.0, total))
