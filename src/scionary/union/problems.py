"""What may be the matter with a pair, as codes and numbers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from scionary.union.compatibility import CompatibilityRow, Verdict
from scionary.union.contact import Placement
from scionary.union.joint import Joint, face_length_mm
from scionary.union.methods import BARK_SLIPS, JoinMethod, Model, Shape, Stage
from scionary.union.stems import Stem, depth_at

POOR_CHANCE = 0.5  # project default, unsourced: below it the advice says so


class Code(StrEnum):
    """What may be the matter with a pair."""

    SCION_TOO_THICK = "scion_too_thick"
    SCION_TOO_THIN = "scion_too_thin"
    STOCK_TOO_THIN = "stock_too_thin"
    STOCK_TOO_THICK = "stock_too_thick"
    BARK_WILL_NOT_SLIP = "bark_will_not_slip"
    BARK_MAY_NOT_SLIP = "bark_may_not_slip"
    STAGE_UNUSUAL = "stage_unusual"
    SECTIONS_FAIL = "sections_fail"
    SECTIONS_DOUBTFUL = "sections_doubtful"
    SECTIONS_UNKNOWN = "sections_unknown"
    CANNOT_BE_CUT = "cannot_be_cut"
    LINES_CANNOT_BOTH_MEET = "lines_cannot_both_meet"
    CUT_LENGTH_UNUSUAL = "cut_length_unusual"
    BEND_SHORTENS = "bend_shortens"
    FACE_SHORT = "face_short"
    ENDS_DEEP = "ends_deep"
    POOR_CHANCE = "poor_chance"


_FORBIDS = {
    Code.SCION_TOO_THICK,
    Code.SCION_TOO_THIN,
    Code.STOCK_TOO_THIN,
    Code.STOCK_TOO_THICK,
    Code.BARK_WILL_NOT_SLIP,
    Code.SECTIONS_FAIL,
    Code.CANNOT_BE_CUT,
}


@dataclass(frozen=True)
class Problem:
    """One thing that is the matter.

    Attributes
    ----------
    code : Code
        What.
    numbers : dict
        Numbers and words for its sentence.
    """

    code: Code
    numbers: dict[str, Any]

    @property
    def forbids(self) -> bool:
        """True when the pair does not fit the method because of it."""
        return self.code in _FORBIDS

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            ``code``, ``forbids`` and the numbers.
        """
        return {"code": self.code.value, "forbids": self.forbids, **self.numbers}


def size_problems(method: JoinMethod, stock: Stem, scion: Stem) -> list[Problem]:
    """Hold two thicknesses against a method's sizes.

    Parameters
    ----------
    method : JoinMethod
        The method.
    stock, scion : Stem
        The stems.

    Returns
    -------
    list of Problem
        What does not fit; empty when all does.
    """
    ratio = scion.diameter_mm / stock.diameter_mm
    sizes = {"stock_mm": stock.diameter_mm, "scion_mm": scion.diameter_mm, "ratio": ratio}
    slack = 1e-9  # a thickness that comes from inches need not divide exactly
    tests = (
        (ratio > method.ratio_high + slack, Code.SCION_TOO_THICK, "ratio_high"),
        (ratio < method.ratio_low - slack, Code.SCION_TOO_THIN, "ratio_low"),
        (stock.diameter_mm < method.stock_low_mm - slack, Code.STOCK_TOO_THIN, "stock_low_mm"),
        (stock.diameter_mm > method.stock_high_mm + slack, Code.STOCK_TOO_THICK, "stock_high_mm"),
    )
    return [Problem(code, {**sizes, name: getattr(method, name), "source": method.source_of(name)}) for wrong, code, name in tests if wrong]


def stage_problems(method: JoinMethod, stage: Stage | None) -> list[Problem]:
    """Hold what the stock is doing against a method.

    Parameters
    ----------
    method : JoinMethod
        The method.
    stage : Stage or None
        What the stock is doing; None: not known.

    Returns
    -------
    list of Problem
        Bark that does not slip, or an unusual time.
    """
    if stage is None:
        return [Problem(Code.BARK_MAY_NOT_SLIP, {"stage": None})] if method.needs_slipping_bark else []
    slips = BARK_SLIPS[stage]
    if method.needs_slipping_bark and slips is not True:
        code = Code.BARK_WILL_NOT_SLIP if slips is False else Code.BARK_MAY_NOT_SLIP
        return [Problem(code, {"stage": stage.value})]
    unusual = stage not in method.stages
    return [Problem(Code.STAGE_UNUSUAL, {"stage": stage.value, "usual": [one.value for one in method.stages]})] if unusual else []


def name_problems(row: CompatibilityRow | None) -> list[Problem]:
    """Say what a row of the table of compatibility holds against a pair.

    Parameters
    ----------
    row : CompatibilityRow or None
        The row; None: names are not known.

    Returns
    -------
    list of Problem
        One, or none.
    """
    codes = {Verdict.FAILS: Code.SECTIONS_FAIL, Verdict.DOUBTFUL: Code.SECTIONS_DOUBTFUL, Verdict.UNKNOWN: Code.SECTIONS_UNKNOWN}
    if row is None or row.verdict not in codes:
        return []
    return [Problem(codes[row.verdict], {"stock": row.stock, "scion": row.scion, "source": row.source, "note": row.note})]


def joint_problems(method: JoinMethod, joint: Joint, best: Placement, tolerance_mm: float) -> list[Problem]:
    """Say what the cuts and their best placement leave to be desired.

    Parameters
    ----------
    method : JoinMethod
        The method.
    joint : Joint
        The cuts.
    best : Placement
        The best placement.
    tolerance_mm : float
        Gap that callus is taken to bridge [mm].

    Returns
    -------
    list of Problem
        What there is to say; none of it forbids.
    """
    found = []
    apart = float(joint.apart_mm)
    if method.model is Model.LINES and method.shape_of("stock") is not Shape.SPLIT and abs(apart) > tolerance_mm:
        found.append(Problem(Code.LINES_CANNOT_BOTH_MEET, {"apart_mm": apart, "tolerance_mm": tolerance_mm}))
    if not method.cut_low_mm <= joint.length_mm <= method.cut_high_mm:
        lengths = {"cut_low_mm": method.cut_low_mm, "cut_high_mm": method.cut_high_mm, "source": method.source_of("cut_low_mm")}
        found.append(Problem(Code.CUT_LENGTH_UNUSUAL, {"length_mm": float(joint.length_mm), **lengths}))
    found += _bend_problems(method, joint)
    if best.chance < POOR_CHANCE:
        found.append(Problem(Code.POOR_CHANCE, {"chance": best.chance, "below": POOR_CHANCE}))
    return found


def _bend_problems(method: JoinMethod, joint: Joint) -> list[Problem]:
    """On a bend a flat cut along the side runs out before its length is reached, or is deeper at its ends than the method likes."""
    if method.shape_of("stock") is not Shape.ALONG or joint.stock.is_straight:
        return []
    length = float(joint.length_mm)
    if (face := face_length_mm(joint.stock, length)) < length:
        return [Problem(Code.FACE_SHORT, {"face_mm": face, "length_mm": length})]
    ends = float(depth_at(joint.stock, length / 2.0, length))
    if ends > max(2.0 * method.deepest_share * float(joint.stock.radius_mm), float(joint.stock.depth_mm)):
        return [Problem(Code.ENDS_DEEP, {"ends_mm": ends, "middle_mm": float(joint.stock.depth_mm)})]
    if joint.usual_mm is not None and length < joint.usual_mm:
        return [Problem(Code.BEND_SHORTENS, {"length_mm": length, "usual_mm": joint.usual_mm})]
    return []
