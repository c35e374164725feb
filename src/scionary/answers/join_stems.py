"""How to join two stems: what to cut, how to set the scion, how likely the living lines meet, and what else would do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from scionary.answers.join_ask import JoinAsk, effect_words, other_methods, whose_hand
from scionary.answers.join_words import of_hundred, problem_words, set_sentence, size, steps_of, way_words
from scionary.files.union_drawing import DrawnUnion, drawn_union
from scionary.language import Words, mark, say
from scionary.union import (
    Advice,
    Code,
    MethodOffer,
    Model,
    Placement,
    UnionView,
    Way,
    advice,
    advice_when_moved,
    placement_chance,
    union_view,
)

_OF_NAMES = (Code.SECTIONS_DOUBTFUL, Code.SECTIONS_UNKNOWN)  # the same by every method
_OF_CUTS = (
    Code.LINES_CANNOT_BOTH_MEET,
    Code.CUT_LENGTH_UNUSUAL,
    Code.BEND_SHORTENS,
    Code.FACE_SHORT,
    Code.ENDS_DEEP,
    Code.POOR_CHANCE,
)  # of no use where nothing is cut
GAPS_MM, WANTED_MM = (0.2, 0.5, 1.0), (3.0, 5.0, 10.0)  # between which nobody knows; a person steps through them
_NAMES = Words(
    {
        "tolerance_mm": mark("gap that callus bridges"),
        "wanted_mm": mark("contact wanted"),
        "error_mm": mark("how far each end of the scion comes to lie off"),
        "depth_error_mm": mark("how far the depth of a cut is off"),
        "stock_bark_mm": mark("bark and bast of the stock"),
        "scion_bark_mm": mark("bark and bast of the scion"),
        "ratio_low": mark("thinnest scion, of the stock's thickness"),
        "ratio_high": mark("thickest scion, of the stock's thickness"),
        "stock_low_mm": mark("thinnest stock"),
        "stock_high_mm": mark("thickest stock"),
        "cut_low_mm": mark("shortest cut"),
        "cut_high_mm": mark("longest cut"),
        "cut_per_scion": mark("length of the cut, in thicknesses of the scion"),
        "least_wood_mm": mark("wood that a cut along the side takes at least"),
        "deepest_share": mark("deepest cut, of the stock's thickness"),
    }
)


@dataclass(frozen=True)
class OtherMethod:
    """What another method offers the pair, in a line; `key` chooses it."""

    key: str
    name: str
    fits: bool
    words: str


@dataclass(frozen=True)
class Moved:
    """The best way when the two unknowns stand elsewhere; `here` marks where they stand now."""

    tolerance_mm: float
    wanted_mm: float
    words: str
    here: bool


@dataclass(frozen=True)
class JoinAnswer:
    """The advice in sentences, with the drawing and everything that it rests on."""

    ask: JoinAsk
    found: Advice
    sentence: str
    chance: str
    range_words: str
    low: float | None
    high: float | None
    steps: Sequence[str]
    instead: Sequence[str]
    cautions: Sequence[str]
    problems: Sequence[str]
    others: Sequence[OtherMethod]
    moved: Sequence[Moved]
    views: Sequence[tuple[str, UnionView]]

    @property
    def fits(self) -> bool:
        return self.found.chosen.fits

    @property
    def best(self) -> Placement | None:
        return self.found.chosen.best

    @property
    def drawn(self) -> DrawnUnion | None:
        return drawn_union(self.views) if self.views else None

    @property
    def reckoned(self) -> str:
        """The method, whose hand, and which gap the chance is for."""
        given = {"method": self.ask.called, "hand": whose_hand(self.ask.skill, self.ask.grafter), "gap": f"{self.ask.tolerance_mm:g}"}
        return say("Reckoned for {method}, {hand}, and callus that bridges {gap} mm.", **given)

    @property
    def stage_words(self) -> str:
        """Where the stock's stage is from; where it is not known, what it would change; empty where a person said it."""
        if self.ask.stage:
            return self.ask.stage_told
        return f"{self.ask.stage_told or say('What the stock is doing is not said.')} {effect_words(self.ask.method)}"

    @property
    def assumed(self) -> list[str]:
        """What it rests on, a line each: name, value, source."""
        return [_assumption(row, self.ask.unit) for row in self.found.assumptions]

    @property
    def moved_rows(self) -> list[tuple[float, list[Moved]]]:
        """The table of what moves, a row for each gap."""
        gaps = dict.fromkeys(each.tolerance_mm for each in self.moved)
        return [(gap, [each for each in self.moved if each.tolerance_mm == gap]) for gap in gaps]

    def to_dict(self) -> dict[str, Any]:
        told = {"sentence": self.sentence, "chance": self.chance, "range": self.range_words, "steps": list(self.steps)}
        more = {"instead": list(self.instead), "problems": list(self.problems), "cautions": list(self.cautions)}
        span = {
            "chance_low": self.low,
            "chance_high": self.high,
            "method": self.ask.called,
            "skill": self.ask.skill.name,
            "reckoned": self.reckoned,
            "stage_words": self.stage_words,
        }
        return {**told, **more, **span, "others_told": [vars(other) for other in self.others], **self.found.to_dict()}


def join_stems(ask: JoinAsk, *, compare: bool = True) -> JoinAnswer:
    """Advise how to join two stems; without `compare` only the chosen method is looked at, which takes a few milliseconds."""
    given: dict[str, Any] = {"stage": ask.stage, "skill": ask.skill, "tolerance_mm": ask.tolerance_mm, "wanted_mm": ask.wanted_mm}
    names: dict[str, Any] = {"stock_name": ask.stock_name, "scion_name": ask.scion_name, "rows": ask.rows}
    methods = other_methods(ask.method) if compare else {}
    found = advice(ask.stock, ask.scion, ask.method, **given, **names, methods=methods)
    offer = found.chosen
    shown = offer if offer.fits else replace(offer, joint=None, placements=())
    low, high = _span(ask, shown)
    told = [(one.forbids, problem_words(one, ask, ask.called)) for one in offer.problems if offer.fits or one.code not in _OF_CUTS]
    return JoinAnswer(
        ask=ask,
        found=found,
        sentence=_sentence(ask, offer),
        chance=_chance(ask, shown),
        range_words=_range(low, high, _gaps(ask)),
        low=low,
        high=high,
        steps=steps_of(ask.method, shown.joint, shown.best, ask.tolerance_mm, ask.unit) if shown.joint and shown.best else (),
        instead=_instead(ask, shown),
        cautions=[words for forbids, words in told if not forbids],
        problems=[words for forbids, words in told if forbids],
        others=[_other(each, ask, offer) for each in found.others],
        moved=_moved(ask, shown) if compare else (),
        views=_views(shown, ask.tolerance_mm),
    )


def _sentence(ask: JoinAsk, offer: MethodOffer) -> str:
    """How to set the scion; why not, where the pair does not fit."""
    if not offer.fits or offer.best is None:
        return next(problem_words(problem, ask, ask.called) for problem in offer.problems if problem.forbids)
    assert offer.joint is not None
    return set_sentence(ask.method, offer.joint, offer.best, ask.tolerance_mm, ask.unit)


def _chance(ask: JoinAsk, offer: MethodOffer) -> str:
    if offer.best is None:
        return ""
    wanted = size(ask.wanted_mm, ask.unit)
    words = mark("Chance that {wanted} or more of the living lines meet: {chance}.")
    return say(words, wanted=wanted, chance=of_hundred(offer.best.chance))


def _span(ask: JoinAsk, offer: MethodOffer) -> tuple[float | None, float | None]:
    """The chance of the same placement, with the least and the widest gap that callus may bridge."""
    if offer.joint is None or offer.best is None:
        return None, None
    errors = {"error_mm": ask.skill.error_mm, "depth_error_mm": ask.skill.depth_error_mm}
    chances = [
        placement_chance(offer.joint, offer.best, tolerance_mm=gap, wanted_mm=ask.wanted_mm, **errors).chance
        for gap in (*_gaps(ask), ask.tolerance_mm)
    ]
    return min(chances), max(chances)


def _gaps(ask: JoinAsk) -> tuple[float, float]:
    """The least and the widest gap that is looked at: the usual ones, or the person's own where it lies outside."""
    return min(GAPS_MM[0], ask.tolerance_mm), max(GAPS_MM[-1], ask.tolerance_mm)


def _range(low: float | None, high: float | None, used: tuple[float, float]) -> str:
    if low is None or high is None:
        return ""
    gaps = {"narrow": f"{used[0]:g}", "wide": f"{used[1]:g}"}
    if of_hundred(low) == of_hundred(high):
        return say("The same whether callus bridges {narrow} or {wide} mm, which nobody knows.", **gaps)
    words = mark("Between {low} and {high}, as callus bridges {narrow} or {wide} mm, which nobody knows.")
    return say(words, low=of_hundred(low), high=of_hundred(high), **gaps)


def _instead(ask: JoinAsk, offer: MethodOffer) -> list[str]:
    """The other ways of setting the scion, each with its chance."""
    told = []
    for placement in offer.placements[1:]:
        words = way_words(placement, ask.unit)
        told.append(say("{way} instead: {chance}", way=words.capitalize(), chance=of_hundred(placement.chance)))
    return told


def _other(offer: MethodOffer, ask: JoinAsk, chosen: MethodOffer) -> OtherMethod:
    name = say(offer.method.name)
    if not offer.fits or offer.best is None:
        why = next(problem_words(problem, ask, name) for problem in offer.problems if problem.forbids)
        return OtherMethod(offer.method.key, name, False, why)
    words = say("{way}: {chance}", way=_other_way(offer, ask.unit), chance=of_hundred(offer.best.chance))
    notes = [problem_words(problem, ask, name) for problem in offer.problems if problem.code not in _OF_NAMES]
    longer = chosen.best is not None and offer.best.contact_mm > chosen.best.contact_mm
    compared = mark("about {contact} of contact, more than here") if longer else mark("about {contact} of contact, less than here")
    contact = say(compared, contact=size(offer.best.contact_mm, ask.unit))
    return OtherMethod(offer.method.key, name, True, " ".join([f"{words}; {contact}.".capitalize(), *notes]))


def _other_way(offer: MethodOffer, unit: str) -> str:
    assert offer.best is not None
    return say("under the bark") if offer.method.model is Model.FLAP else way_words(offer.best, unit)


def _moved(ask: JoinAsk, offer: MethodOffer) -> list[Moved]:
    if offer.joint is None:
        return []
    gaps, wanted = ({*steps, here} for steps, here in ((GAPS_MM, ask.tolerance_mm), (WANTED_MM, ask.wanted_mm)))
    given: dict[str, Any] = {"skill": ask.skill, "tolerances_mm": sorted(gaps), "wanted_mm": sorted(wanted)}
    rows = advice_when_moved(ask.stock, ask.scion, ask.method, **given)
    here = (ask.tolerance_mm, ask.wanted_mm)
    return [_told_moved(row, ask, (row["tolerance_mm"], row["wanted_mm"]) == here) for row in rows]


def _told_moved(row: dict[str, Any], ask: JoinAsk, here: bool) -> Moved:
    if ask.method.model is Model.FLAP:
        words = of_hundred(row["chance"])
    else:
        placement = Placement(0.0, row["lean_mm"], 1.0, Way(row["way"]))
        words = say("{way}: {chance}", way=way_words(placement, ask.unit), chance=of_hundred(row["chance"]))
    return Moved(row["tolerance_mm"], row["wanted_mm"], words, here)


def _views(offer: MethodOffer, tolerance_mm: float) -> list[tuple[str, UnionView]]:
    """Before and after where the scion is leaned or set aside; the last is the one that is advised."""
    if offer.joint is None or offer.best is None:
        return []
    best = offer.best
    shown = [(_title(best, offer.method.model), best)]
    if best.way in (Way.CROSSED, Way.ONE_SIDE):
        shown.insert(0, (say("straight"), Placement(0.0, 0.0, best.length_mm, Way.BOTH_SIDES)))
    return [(title, union_view(offer.joint, placement, tolerance_mm)) for title, placement in shown]


def _title(best: Placement, model: Model) -> str:
    if model is Model.FLAP:
        return say("under the bark")
    return {Way.CROSSED: say("leaning"), Way.ONE_SIDE: say("to one side")}.get(best.way or Way.BOTH_SIDES, say("straight"))


def _assumption(row: dict[str, Any], unit: str) -> str:
    value, name = row["value"], _NAMES[row["name"]]
    small = row["unit"] == "mm" and value < 1.0
    shown = f"{value:.2g} mm" if small else size(value, unit) if row["unit"] == "mm" else f"{value:g}"
    return say("{name}: {value} ({source})", name=name[:1].upper() + name[1:], value=shown, source=say(row["source"]))
