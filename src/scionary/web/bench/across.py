"""Stock and scion cut across, drawn side by side at one scale."""

from __future__ import annotations

from dataclasses import dataclass

_WIDTH, _LARGEST = 330.0, 62.0


@dataclass(frozen=True)
class Across:
    """Centres and radii in drawing units."""

    stock_x: float
    stock_r: float
    scion_x: float
    scion_r: float


def side_by_side(stock_mm: float, scion_mm: float) -> Across:
    """The thicker of the two fills the height; both stand in the middle of their half."""
    scale = _LARGEST / max(stock_mm, scion_mm)
    return Across(_WIDTH * 0.3, round(stock_mm * scale, 1), _WIDTH * 0.72, max(round(scion_mm * scale, 1), 1.0))
