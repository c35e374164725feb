"""What a count of takes says on its own: the score interval of one proportion."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.units import Float, check_range, like_input


def wilson_interval(successes: Any, trials: Any, confidence: float = 0.95) -> tuple[Any, Any]:
    """Give the range that a proportion may have, from counts alone (Wilson's score interval).

    Parameters
    ----------
    successes : array_like
        Whole numbers, 0 to `trials`; NaN gives NaN.
    trials : array_like
        Whole numbers, 0 or more; 0 trials say nothing and give (0, 1).
    confidence : float
        Share of such ranges that hold the truth, more than 0 and less than 1.

    Returns
    -------
    low, high : float or ndarray
        Proportions, 0 to 1; floats when both counts are plain numbers.

    Raises
    ------
    BadValue
        When a count is negative or no whole number, or successes exceed trials.

    Notes
    -----
    Newcombe, R. G. (1998), Statistics in Medicine 17, 857-872, method 3 (after Wilson 1927). No continuity correction.
    """
    from scipy.special import ndtri

    takes, total = check_counts("successes", successes, "trials", trials)
    z = float(ndtri(0.5 + check_share("confidence", confidence) / 2.0))
    safe = np.where(total == 0, 1.0, total)
    share, weight = takes / safe, z * z / safe
    centre = (share + weight / 2.0) / (1.0 + weight)
    half = z * np.sqrt(share * (1.0 - share) / safe + weight / (4.0 * safe)) / (1.0 + weight)
    low = np.where((takes == 0) | (total == 0), 0.0, centre - half)
    high = np.where((takes == total) | (total == 0), 1.0, centre + half)
    return like_input(low, successes, trials), like_input(high, successes, trials)


def check_share(name: str, value: float) -> float:
    """Check that a share lies strictly between 0 and 1.

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    value : float
        What was given.

    Returns
    -------
    float
        The share.

    Raises
    ------
    BadValue
        When it is 0, 1, outside them or not a number.
    """
    if not 0.0 < value < 1.0:
        raise BadValue(name, value, "more than 0 and less than 1")
    return float(value)


def check_counts(part_name: str, part: Any, whole_name: str, whole: Any) -> tuple[Float, Float]:
    """Check that counts are whole numbers and that the part never exceeds the whole.

    Parameters
    ----------
    part_name, whole_name : str
        The arguments' names, for the message.
    part, whole : array_like
        Counts of shapes that fit each other; NaN passes.

    Returns
    -------
    part, whole : ndarray of float64
        Broadcast to one shape.

    Raises
    ------
    BadValue
        Naming the first count that cannot be.
    """
    parts, wholes = np.broadcast_arrays(check_range(part_name, part, 0, np.inf), check_range(whole_name, whole, 0, np.inf))
    for name, numbers in ((part_name, parts), (whole_name, wholes)):
        broken = ~np.isnan(numbers) & ~(np.floor(numbers) == numbers) | np.isinf(numbers)
        if np.any(broken):
            raise BadValue(name, float(numbers[broken].flat[0]), "whole numbers")
    over = parts > wholes
    if np.any(over):
        raise BadValue(part_name, float(parts[over].flat[0]), f"at most {whole_name} ({float(wholes[over].flat[0]):g})")
    return parts, wholes
