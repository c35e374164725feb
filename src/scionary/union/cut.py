"""Geometry of a flat cut along a round stem: how wide its face is, and how far apart its cambium lines lie."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.language import say
from scionary.units import check_range, like_input, refuse_where

LARGEST_RADIUS_MM = 500.0  # project default, unsourced: thicker than any stem that is grafted


def cut_face_width(radius_mm: Any, depth_mm: Any) -> Any:
    """Width of the flat face that a cut along the stem leaves: 2 √(2 R d − d²).

    The chord of a circle: the stem is round and the cut runs straight along it.

    Parameters
    ----------
    radius_mm : float or array_like
        Radius of the stem over its bark [mm], 0 to 500. NaN gives NaN.
    depth_mm : float or array_like
        How deep the cut goes below the bark's surface [mm], 0 to the stem's whole thickness. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Width of the face [mm].

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.
    """
    r = check_range("radius_mm", radius_mm, 0.0, LARGEST_RADIUS_MM, "mm")
    d = check_range("depth_mm", depth_mm, 0.0, 2.0 * LARGEST_RADIUS_MM, "mm")
    refuse_where(d > 2.0 * r, "depth_mm", d, say("0 to the stem's whole thickness, 2 × radius_mm"))
    return like_input(np.asarray(2.0 * np.sqrt(d * (2.0 * r - d))), radius_mm, depth_mm)


def cambium_half_width(radius_mm: Any, bark_mm: Any, depth_mm: Any) -> Any:
    """Half the distance between the two cambium lines on a cut's face: √((R − b)² − (R − d)²).

    The cambium is a thin ring under the bark and bast; the cut shows it as two lines, this far from the middle.

    Parameters
    ----------
    radius_mm : float or array_like
        Radius of the stem over its bark [mm], 0 to 500. NaN gives NaN.
    bark_mm : float or array_like
        Thickness of bark and bast together [mm], 0 to less than the radius. NaN gives NaN.
    depth_mm : float or array_like
        How deep the cut goes below the bark's surface [mm]: deeper than the bark, short of the bark on the far
        side. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Half the distance between the lines [mm].

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range; a cut that stays in the bark shows no
        cambium and is refused.
    """
    r = check_range("radius_mm", radius_mm, 0.0, LARGEST_RADIUS_MM, "mm")
    b = check_range("bark_mm", bark_mm, 0.0, LARGEST_RADIUS_MM, "mm")
    d = check_range("depth_mm", depth_mm, 0.0, 2.0 * LARGEST_RADIUS_MM, "mm")
    refuse_where(b >= r, "bark_mm", b, say("less than radius_mm"))
    refuse_where(d <= b, "depth_mm", d, say("more than bark_mm (a cut that stays in the bark shows no cambium)"))
    refuse_where(d >= 2.0 * r - b, "depth_mm", d, say("less than 2 × radius_mm − bark_mm (beyond it lies the far side's bark)"))
    return like_input(np.asarray(np.sqrt((d - b) * (2.0 * r - b - d))), radius_mm, bark_mm, depth_mm)
