"""The methods of the trade as data: what is cut, which lines can meet, and for which sizes and stages."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from scionary.errors import BadValue
from scionary.language import mark
from scionary.union.contact import Way

COMMON = mark("common practice, no source")
WHIP_SHEET = mark("Cass County Extension, North Dakota State University, leaflet on grafting techniques: whip graft")
BUDDING_SHEET = mark("North Carolina Cooperative Extension, AG-396, part on budding")
_INCH = 25.4


class Model(StrEnum):
    """What meets what."""

    LINES = "lines"
    FLAP = "flap"


class Shape(StrEnum):
    """How a face runs through its stem."""

    ALONG = "along"
    SPLIT = "split"
    SLOPE_THROUGH = "slope_through"
    SLOPE_TO_PITH = "slope_to_pith"
    NOTCH = "notch"
    LIFTED = "lifted"


class Stage(StrEnum):
    """What the stock is doing."""

    DORMANT = "dormant"
    BUDS_SWELLING = "buds_swelling"
    IN_GROWTH = "in_growth"
    GROWTH_RIPENING = "growth_ripening"
    LEAVES_TURNING = "leaves_turning"


# common practice, no source: bark parts from the wood while the cambium divides; try it with the blade's back first
BARK_SLIPS: dict[Stage, bool | None] = {
    Stage.DORMANT: False,
    Stage.BUDS_SWELLING: None,
    Stage.IN_GROWTH: True,
    Stage.GROWTH_RIPENING: None,
    Stage.LEAVES_TURNING: False,
}


@dataclass(frozen=True)
class CutFace:
    """One face that is cut.

    Attributes
    ----------
    part : str
        ``stock`` or ``scion``.
    where : str
        Code of the place: ``side``, ``one_side``, ``two_sides``, ``back``, ``top``, ``bark``.
    shape : Shape
        How it runs.
    """

    part: str
    where: str
    shape: Shape


@dataclass(frozen=True)
class JoinMethod:
    """One way to join, as data that a person edits.

    Attributes
    ----------
    key, name : str
        Key for programs, name for people.
    model : Model
        Lines against lines, or a scion under a flap of bark.
    cuts : tuple of CutFace
        Which faces are cut; the first of each part is the one that the geometry takes.
    faces : int
        Pairs of faces that meet, each with two lines.
    ways : tuple of Way
        How the lines can be made to meet; the first is what growers commonly do.
    ratio_low, ratio_high : float
        Scion's thickness over the stock's.
    stock_low_mm, stock_high_mm : float
        Thickness of the stock [mm].
    cut_low_mm, cut_high_mm : float
        Length of the cut [mm].
    cut_per_scion : float
        Usual length of the cut over the scion's thickness; the result is kept between the two lengths.
    deepest_share : float
        Deepest cut into the stock's side as a share of its thickness.
    scion_depth_share : float
        Depth of the scion's long face as a share of its thickness; a half is down to the pith.
    least_wood_mm : float
        Wood that a cut along the side takes at least [mm]: no hand pares thinner.
    needs_slipping_bark : bool
        True when bark must part from the wood.
    stages : tuple of Stage
        When it is commonly done.
    flat_bed : bool
        As in `flap_contact`.
    sources : dict
        Field name to where it is from; what is not named is common practice, no source.
    """

    key: str
    name: str
    model: Model
    cuts: tuple[CutFace, ...]
    faces: int
    ways: tuple[Way, ...]
    ratio_low: float
    ratio_high: float
    stock_low_mm: float
    stock_high_mm: float
    cut_low_mm: float
    cut_high_mm: float
    cut_per_scion: float = 6.0
    deepest_share: float = 0.33
    scion_depth_share: float = 0.5
    least_wood_mm: float = 0.3
    needs_slipping_bark: bool = False
    stages: tuple[Stage, ...] = (Stage.DORMANT, Stage.BUDS_SWELLING, Stage.GROWTH_RIPENING)
    flat_bed: bool = False
    sources: dict[str, str] = field(default_factory=dict)

    def shape_of(self, part: str) -> Shape:
        """Give the shape of a part's first face.

        Parameters
        ----------
        part : str
            ``stock`` or ``scion``.

        Returns
        -------
        Shape
            Its shape.
        """
        return next(cut.shape for cut in self.cuts if cut.part == part)

    def source_of(self, name: str) -> str:
        """Say where a field is from.

        Parameters
        ----------
        name : str
            The field.

        Returns
        -------
        str
            Source, or that it is common practice.
        """
        return self.sources.get(name, COMMON)

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            The fields, ready for JSON.
        """
        plain = dict(vars(self))
        cuts = [{"part": cut.part, "where": cut.where, "shape": cut.shape.value} for cut in self.cuts]
        lists = {"ways": [way.value for way in self.ways], "stages": [stage.value for stage in self.stages], "cuts": cuts}
        return {**plain, **lists, "model": self.model.value, "sources": dict(self.sources)}


_ALL_WAYS = (Way.ONE_SIDE, Way.BOTH_SIDES, Way.CROSSED)
_WAKING = (Stage.BUDS_SWELLING, Stage.IN_GROWTH)
_GROWING = (Stage.IN_GROWTH, Stage.GROWTH_RIPENING)
_SIDE = CutFace("stock", "side", Shape.ALONG)
_LONG_FACE = CutFace("scion", "one_side", Shape.ALONG)
_SHORT_BACK = CutFace("scion", "back", Shape.ALONG)
_SPLIT = CutFace("stock", "top", Shape.SPLIT)
_WEDGE = CutFace("scion", "two_sides", Shape.SLOPE_TO_PITH)
_SLOPES = (CutFace("stock", "top", Shape.SLOPE_THROUGH), CutFace("scion", "one_side", Shape.SLOPE_THROUGH))
_LIFTED = CutFace("stock", "bark", Shape.LIFTED)
_WHIP_SOURCES = dict.fromkeys(
    ("ratio_high", "stock_low_mm", "stock_high_mm", "cut_low_mm", "cut_high_mm", "needs_slipping_bark"), WHIP_SHEET
)

METHODS: dict[str, JoinMethod] = {
    method.key: method
    for method in (
        JoinMethod(
            "side_veneer", mark("side veneer"), Model.LINES, (_SIDE, _LONG_FACE, _SHORT_BACK), 1, _ALL_WAYS,
            0.3, 1.0, 5.0, 25.0, 15.0, 40.0, stages=(Stage.DORMANT, Stage.BUDS_SWELLING, Stage.GROWTH_RIPENING),
        ),
        JoinMethod(
            "side_inlay", mark("side inlay under a bark flap"), Model.FLAP, (_LIFTED, _LONG_FACE, _SHORT_BACK), 1, (Way.BOTH_SIDES,),
            0.2, 0.7, 5.0, 30.0, 13.0, 30.0, cut_per_scion=5.0, needs_slipping_bark=True, stages=_GROWING,
        ),
        JoinMethod(
            "cleft", mark("cleft"), Model.LINES, (_SPLIT, _WEDGE), 2, (Way.ONE_SIDE, Way.CROSSED, Way.BOTH_SIDES),
            0.15, 0.9, 8.0, 60.0, 20.0, 50.0, stages=(Stage.DORMANT, Stage.BUDS_SWELLING),
        ),
        JoinMethod(
            "whip_and_tongue", mark("whip-and-tongue"), Model.LINES, (*_SLOPES, CutFace("scion", "back", Shape.ALONG)), 1,
            (Way.BOTH_SIDES, Way.ONE_SIDE), 0.6, 1.0, 0.25 * _INCH, 0.5 * _INCH, 1.0 * _INCH, 2.0 * _INCH, sources=_WHIP_SOURCES,
        ),
        JoinMethod(
            "splice", mark("splice"), Model.LINES, _SLOPES, 1, (Way.BOTH_SIDES, Way.ONE_SIDE), 0.7, 1.0, 3.0, 25.0, 15.0, 50.0,
        ),
        JoinMethod(
            "top_wedge", mark("top wedge"), Model.LINES, (_SPLIT, _WEDGE), 2,
            (Way.BOTH_SIDES, Way.ONE_SIDE), 0.7, 1.0, 3.0, 20.0, 12.0, 40.0,
        ),
        JoinMethod(
            "saddle", mark("saddle"), Model.LINES,
            (CutFace("stock", "two_sides", Shape.SLOPE_TO_PITH), CutFace("scion", "two_sides", Shape.NOTCH)), 2,
            (Way.BOTH_SIDES,), 0.8, 1.0, 4.0, 20.0, 12.0, 40.0,
        ),
        JoinMethod(
            "chip_bud", mark("chip bud"), Model.LINES, (_SIDE, _LONG_FACE), 1, (Way.BOTH_SIDES, Way.ONE_SIDE),
            0.25, 1.0, 5.0, 25.0, 18.0, 30.0, deepest_share=0.25, scion_depth_share=0.3,
            stages=(Stage.BUDS_SWELLING, Stage.IN_GROWTH, Stage.GROWTH_RIPENING),
        ),
        JoinMethod(
            "t_bud", mark("T-bud"), Model.FLAP, (_LIFTED, _LONG_FACE), 1,
            (Way.BOTH_SIDES,), 0.2, 1.0, 3 / 16 * _INCH, 7 / 16 * _INCH, 15.0, 30.0,
            scion_depth_share=0.25, needs_slipping_bark=True, stages=_GROWING, flat_bed=True,
            sources=dict.fromkeys(("stock_low_mm", "stock_high_mm"), BUDDING_SHEET),
        ),
        JoinMethod(
            "approach", mark("approach"), Model.LINES, (_SIDE, _LONG_FACE), 1, _ALL_WAYS,
            0.5, 1.5, 4.0, 40.0, 25.0, 80.0, scion_depth_share=0.35,
            stages=(*_WAKING, Stage.GROWTH_RIPENING),
        ),
        JoinMethod(
            "bark_graft", mark("bark graft"), Model.FLAP, (_LIFTED, _LONG_FACE, _SHORT_BACK), 1, (Way.BOTH_SIDES,),
            0.05, 0.5, 20.0, 150.0, 25.0, 60.0, needs_slipping_bark=True, stages=_WAKING,
        ),
    )
}  # fmt: skip


def method_called(key: str) -> JoinMethod:
    """Look a method up.

    Parameters
    ----------
    key : str
        One of `METHODS`.

    Returns
    -------
    JoinMethod
        The method.

    Raises
    ------
    BadValue
        When there is none of that key.
    """
    if key not in METHODS:
        raise BadValue("method", key, ", ".join(METHODS))
    return METHODS[key]
