"""What to tell somebody who holds a stock and a scion, as codes and numbers: words are made elsewhere."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from scionary.errors import BadValue
from scionary.language import mark, say
from scionary.union.compatibility import COMPATIBILITY, SECTIONS, CompatibilityRow, compatibility
from scionary.union.contact import Placement
from scionary.union.joint import Joint, face_width_mm, planned_joint
from scionary.union.methods import METHODS, JoinMethod, Shape, Stage
from scionary.union.placing import ways_compared
from scionary.union.problems import Code, Problem, joint_problems, name_problems, size_problems, stage_problems
from scionary.union.skill import TOLERANCE_MM, UNSOURCED, WANTED_MM, Skill, assumption, contact_assumptions
from scionary.union.stems import BARK_SHARE, Stem, line_half_width

_BARK_SOURCE = mark("project default, unsourced: {share} of the thickness; peel a little and measure")
_EVEN_CHANCE = 0.02  # methods whose chances differ by less are alike; more contact is better then


@dataclass(frozen=True)
class MethodOffer:
    """What a method offers a pair.

    Attributes
    ----------
    method : JoinMethod
        The method.
    problems : tuple of Problem
        What is the matter.
    joint : Joint or None
        The cuts; None where they cannot be.
    placements : tuple of Placement
        The best of each way, best first; empty without a joint.
    """

    method: JoinMethod
    problems: tuple[Problem, ...]
    joint: Joint | None
    placements: tuple[Placement, ...]

    @property
    def fits(self) -> bool:
        """True when nothing forbids it."""
        return not any(problem.forbids for problem in self.problems)

    @property
    def best(self) -> Placement | None:
        """The best placement, when there is one."""
        return self.placements[0] if self.placements else None

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            Method, whether it fits, problems, cuts, placements.
        """
        return {
            "method": self.method.key,
            "name": self.method.name,
            "fits": self.fits,
            "problems": [problem.to_dict() for problem in self.problems],
            "cuts": cut_numbers(self.joint) if self.joint else None,
            "placements": [placement.to_dict() for placement in self.placements],
        }


@dataclass(frozen=True)
class Advice:
    """How to join two stems.

    Attributes
    ----------
    stock, scion : Stem
        The stems.
    chosen : MethodOffer
        What the chosen method offers.
    others : tuple of MethodOffer
        The other methods, the best first.
    compatibility : CompatibilityRow
        What the table says of the two names.
    assumptions : tuple of dict
        ``name``, ``value``, ``unit``, ``source``, for some ``low`` and ``high``.
    tolerance_mm : float
        Gap that callus is taken to bridge [mm].
    """

    stock: Stem
    scion: Stem
    chosen: MethodOffer
    others: tuple[MethodOffer, ...]
    compatibility: CompatibilityRow
    assumptions: tuple[dict[str, Any], ...]
    tolerance_mm: float

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            The fields, ready for JSON.
        """
        return {
            "stock_mm": self.stock.diameter_mm,
            "scion_mm": self.scion.diameter_mm,
            "tolerance_mm": self.tolerance_mm,
            "chosen": self.chosen.to_dict(),
            "others": [offer.to_dict() for offer in self.others],
            "compatibility": self.compatibility.to_dict(),
            "assumptions": [dict(each) for each in self.assumptions],
        }


def cut_numbers(joint: Joint) -> dict[str, Any]:
    """Give the sizes of the cuts.

    Parameters
    ----------
    joint : Joint
        The two cuts.

    Returns
    -------
    dict
        Length, depths at the middle, widths of the faces and of the living lines, opening [mm].
    """
    cuts = {"stock": joint.stock, "scion": joint.scion}
    depths = {f"{part}_depth_mm": float(cut.depth_mm) for part, cut in cuts.items()}
    faces = {f"{part}_face_mm": face_width_mm(cut) for part, cut in cuts.items()}
    lines = {f"{part}_lines_mm": 2.0 * float(line_half_width(cut, 0.0, joint.length_mm)) for part, cut in cuts.items()}
    return {"length_mm": float(joint.length_mm), **depths, **faces, **lines, "opening_mm": joint.opening_mm}


def advice(
    stock: Stem,
    scion: Stem,
    method: JoinMethod,
    *,
    stage: Stage | None,
    skill: Skill,
    tolerance_mm: float = TOLERANCE_MM,
    wanted_mm: float = WANTED_MM,
    length_mm: float | None = None,
    depth_mm: float | None = None,
    stock_name: str = "",
    scion_name: str = "",
    methods: Mapping[str, JoinMethod] = METHODS,
    rows: Sequence[CompatibilityRow] = COMPATIBILITY,
    sections: Mapping[str, str] = SECTIONS,
) -> Advice:
    """Advise how to join two stems.

    Parameters
    ----------
    stock, scion : Stem
        The stems.
    method : JoinMethod
        The method that was chosen.
    stage : Stage or None
        What the stock is doing; None: not known.
    skill : Skill
        How far the person misses.
    tolerance_mm, wanted_mm : float
        Gap that callus bridges, contact wanted [mm]: assumptions.
    length_mm, depth_mm : float, optional
        Length of the cut and depth of a cut along the stock's side [mm], when they are set; else the method's.
    stock_name, scion_name : str
        Botanical names, for the table of what carries what.
    methods : mapping of str to JoinMethod
        The methods to compare with.
    rows, sections
        As in `compatibility`.

    Returns
    -------
    Advice
        Codes and numbers.

    Raises
    ------
    BadValue
        When a length, depth, tolerance or wanted contact makes no sense.
    """
    row = compatibility(stock_name, scion_name, rows, sections)

    asked = _Asked(stock, scion, stage, skill, tolerance_mm, wanted_mm, row if stock_name and scion_name else None)
    chosen = _offer(method, asked, length_mm, depth_mm)
    others = [_offer(one, asked) for one in methods.values() if one.key != method.key]
    assumptions = (*contact_assumptions(tolerance_mm=tolerance_mm, wanted_mm=wanted_mm, skill=skill), *_stem_assumptions(stock, scion))
    return Advice(stock, scion, chosen, tuple(sorted(others, key=_standing)), row, (*assumptions, *_window(method)), tolerance_mm)


@dataclass(frozen=True)
class _Asked:
    """What is asked of every method."""

    stock: Stem
    scion: Stem
    stage: Stage | None
    skill: Skill
    tolerance_mm: float
    wanted_mm: float
    row: CompatibilityRow | None


def _offer(method: JoinMethod, asked: _Asked, length_mm: float | None = None, depth_mm: float | None = None) -> MethodOffer:
    """What one method offers; sizes that a person set are refused where they make no sense, the method's own are a problem."""
    found = [*size_problems(method, asked.stock, asked.scion), *stage_problems(method, asked.stage), *name_problems(asked.row)]
    try:
        joint = planned_joint(method, asked.stock, asked.scion, length_mm=length_mm, depth_mm=depth_mm)
    except BadValue as error:
        if length_mm is not None or depth_mm is not None:
            raise
        return MethodOffer(method, (*found, Problem(Code.CANNOT_BE_CUT, {"why": str(error)})), None, ())
    errors = {"error_mm": asked.skill.error_mm, "depth_error_mm": asked.skill.depth_error_mm}
    placements = ways_compared(joint, method.ways, tolerance_mm=asked.tolerance_mm, wanted_mm=asked.wanted_mm, **errors)
    found += joint_problems(method, joint, placements[0], asked.tolerance_mm)
    return MethodOffer(method, tuple(found), joint, placements)


def _standing(offer: MethodOffer) -> tuple[bool, int, float]:
    """Sort key: what fits first, then by chance, then by contact."""
    chance = offer.best.chance if offer.best else 0.0
    return not offer.fits, -round(chance / _EVEN_CHANCE), -(offer.best.contact_mm if offer.best else 0.0)


def _stem_assumptions(stock: Stem, scion: Stem) -> list[dict[str, Any]]:
    pairs = (("stock_bark_mm", stock), ("scion_bark_mm", scion))
    return [assumption(name, stem.bark, "mm", say(_BARK_SOURCE, share=f"{BARK_SHARE:g}")) for name, stem in pairs if stem.bark_mm is None]


def _window(method: JoinMethod) -> list[dict[str, Any]]:
    units = {"ratio_low": "scion ÷ stock", "ratio_high": "scion ÷ stock", "cut_per_scion": "cut's length ÷ scion's thickness"}
    names = ("ratio_low", "ratio_high", "stock_low_mm", "stock_high_mm", "cut_low_mm", "cut_high_mm", "cut_per_scion")
    found = [assumption(name, getattr(method, name), units.get(name, "mm"), method.source_of(name)) for name in names]
    return [*found, *(_pared(method) if method.shape_of("stock") is Shape.ALONG else [])]


def _pared(method: JoinMethod) -> list[dict[str, Any]]:
    return [
        assumption("least_wood_mm", method.least_wood_mm, "mm", UNSOURCED),
        assumption("deepest_share", method.deepest_share, "of the stock's thickness", UNSOURCED),
    ]


def advice_when_moved(
    stock: Stem,
    scion: Stem,
    method: JoinMethod,
    *,
    skill: Skill,
    tolerances_mm: Sequence[float] = (0.2, 0.5, 1.0),
    wanted_mm: Sequence[float] = (3.0, 5.0, 10.0),
) -> list[dict[str, Any]]:
    """Say how the best way changes when the two unknowns move.

    Parameters
    ----------
    stock, scion : Stem
        The stems.
    method : JoinMethod
        The method.
    skill : Skill
        How far the person misses.
    tolerances_mm, wanted_mm : sequence of float
        Gaps that callus may bridge, contacts that may be needed [mm].

    Returns
    -------
    list of dict
        For each pair of them ``tolerance_mm``, ``wanted_mm``, ``way``, ``lean_mm``, ``chance``.

    Raises
    ------
    BadValue
        When the pair cannot be cut for the method.
    """
    joint = planned_joint(method, stock, scion)
    errors = {"error_mm": skill.error_mm, "depth_error_mm": skill.depth_error_mm}
    found = []
    for tolerance in tolerances_mm:
        for wanted in wanted_mm:
            best = ways_compared(joint, method.ways, tolerance_mm=tolerance, wanted_mm=wanted, **errors)[0]
            way = best.way.value if best.way else None
            found.append({"tolerance_mm": tolerance, "wanted_mm": wanted, "way": way, "lean_mm": best.lean_mm, "chance": best.chance})
    return found
