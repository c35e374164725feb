"""How to join: the geometry of a cut, and whether two thicknesses suit each other."""

from scionary.union.cut import cambium_half_width, cut_face_width
from scionary.union.thickness import Fit, ThicknessAdvice, thickness_advice

__all__ = ["Fit", "ThicknessAdvice", "cambium_half_width", "cut_face_width", "thickness_advice"]
