"""Which scion goes to which stock: pairs in the order in which the stocks stand, what is left over, and what to order for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from scionary.answers.compatible import rows_of
from scionary.answers.join_ask import STAGE_WORDS, JoinAsk, whose_hand
from scionary.answers.join_words import of_hundred, problem_words, size, way_words
from scionary.answers.stems_typed import StemLine
from scionary.answers.words import listed
from scionary.errors import BadValue, Refused
from scionary.language import forms, mark, say, several
from scionary.union import (
    BARK_SLIPS,
    METHODS,
    CompatibilityRow,
    Matching,
    Model,
    OrderLine,
    Shape,
    ShortfallCost,
    Stage,
    Stem,
    advice,
    alike_pairs,
    compatible_pairs,
    cut_length_mm,
    likely_thicknesses,
    match_stocks,
    pairs_in_order,
    shortfall_cost,
    stage_problems,
    thicknesses_to_order,
)

_MOST_ADVISED = 150  # different pairs of thicknesses of which the way of setting is told; more would keep a person waiting
_LISTED = 40
_TO_ORDER_MM = (2.0, 40.0)  # thicknesses of stock that are looked at for an order


@dataclass(frozen=True)
class MatchAsk:
    """Scions and stocks, how they are joined, and what limits the pairs."""

    scions: Sequence[StemLine]
    stocks: Sequence[StemLine]
    how: JoinAsk  # its two stems say nothing here
    names_go_together: bool = True
    rows: tuple[CompatibilityRow, ...] = field(default_factory=rows_of)
    stage_words: str = ""  # what the stocks are doing, and where that is from


@dataclass(frozen=True)
class BenchPair:
    """One line of the bench list; `how` says how to cut and set it, where that was worked out."""

    stock: StemLine
    scion: StemLine
    shortfall_mm: float
    sizes: str
    how: str = ""

    @property
    def words(self) -> str:
        """Stock 14 with scion 3, Red Tarn."""
        name = say(", {name}", name=self.scion.said) if self.scion.said and self.scion.said not in self.scion.label else ""
        return say("Stock {stock} with scion {scion}{name}", stock=self.stock.label, scion=self.scion.label, name=name)


@dataclass(frozen=True)
class MatchAnswer:
    """The pairs in order of standing, and what is left."""

    ask: MatchAsk
    pairs: Sequence[BenchPair]
    left_scions: Sequence[StemLine]
    left_stocks: Sequence[StemLine]
    order: Sequence[OrderLine]
    sentence: str
    notes: Sequence[str]
    assumed: Sequence[str]

    @property
    def order_words(self) -> list[str]:
        """3 stocks of 6 to 7 mm."""
        unit = self.ask.how.unit
        ends = [{"low": size(line.low_mm, unit), "high": size(line.high_mm, unit)} for line in self.order]
        counts = [line.count for line in self.order]
        words = forms("{count} stock of {low} to {high}", "{count} stocks of {low} to {high}")
        return [several(count, *words, **ends[at]) for at, count in enumerate(counts)]

    @property
    def left_words(self) -> list[str]:
        """What has no partner, a sentence for each side."""
        return [
            say(words, names=_named(stems, self.ask.how.unit))
            for words, stems in (
                (mark("Scions left over: {names}."), self.left_scions),
                (mark("Stocks left over: {names}."), self.left_stocks),
            )
            if stems
        ]

    def to_dict(self) -> dict[str, Any]:
        pairs = [
            {"stock": p.stock.label, "scion": p.scion.label, "stock_mm": p.stock.thickness_mm, "scion_mm": p.scion.thickness_mm,
             "cultivar": p.scion.said, "shortfall_mm": p.shortfall_mm, "how": p.how}
            for p in self.pairs
        ]  # fmt: skip
        left = {"left_scions": [stem.label for stem in self.left_scions], "left_stocks": [stem.label for stem in self.left_stocks]}
        told = {"sentence": self.sentence, "order_words": self.order_words, "notes": list(self.notes), "assumptions": list(self.assumed)}
        return {"pairs": pairs, **left, "order": [vars(line) for line in self.order], **told}


def match_stems(ask: MatchAsk) -> MatchAnswer:
    """Pair as many scions as can be, so that the contact that is missing is least over all; none where the stocks' bark does not part."""
    for where, stems in (("scions", ask.scions), ("stocks", ask.stocks)):
        if not stems:
            remedy = say("Write their thicknesses, one a line, or choose measured ones.")
            raise Refused(say("none stand there."), where=where, remedy=remedy)
    scions, stocks = _thicknesses(ask.scions, "scions"), _thicknesses(ask.stocks, "stocks")
    if any(problem.forbids for problem in stage_problems(ask.how.method, ask.how.stage)):
        return MatchAnswer(ask, (), ask.scions, ask.stocks, (), say("None may be joined now."), _not_now(ask), _assumed(ask))
    cost = _cost(ask)
    matching = match_stocks(scions, stocks, cost, allowed=_allowed(ask), priority=[stem.first for stem in ask.scions])
    pairs = _advised(ask, [_pair(ask, *pair) for pair in pairs_in_order(matching)])
    left = matching.left_scions
    order = _to_order(np.mean(scions[left], axis=1), cost)
    return MatchAnswer(
        ask,
        pairs,
        [ask.scions[at] for at in left],
        [ask.stocks[at] for at in matching.left_stocks],
        order,
        _sentence(ask, matching),
        [*_notes(ask, matching), *_not_to_order(ask, len(left) - sum(line.count for line in order))],
        _assumed(ask),
    )


def _to_order(left_mm: Any, cost: ShortfallCost) -> list[OrderLine]:
    smallest, largest = _TO_ORDER_MM
    return thicknesses_to_order(left_mm, cost, smallest_mm=smallest, largest_mm=largest) if len(left_mm) else []


def _not_to_order(ask: MatchAsk, count: int) -> list[str]:
    """Scions for which no stock can be ordered."""
    words = forms(
        "For {count} scion left over no stock of {low:g} to {high:g} mm would do by {method}: too thin or too thick for it.",
        "For {count} scions left over no stock of {low:g} to {high:g} mm would do by {method}: too thin or too thick for it.",
    )
    low, high = _TO_ORDER_MM
    return [several(count, *words, low=low, high=high, method=ask.how.called)] if count else []


def _cost(ask: MatchAsk) -> ShortfallCost:
    how = ask.how
    errors = {"error_mm": how.skill.error_mm, "depth_error_mm": how.skill.depth_error_mm}
    return shortfall_cost(method=how.method, tolerance_mm=how.tolerance_mm, wanted_mm=how.wanted_mm, **errors)


def _thicknesses(stems: Sequence[StemLine], where: str) -> Any:
    """Equally likely thicknesses of each stem; one that was not measured has those of its lot."""
    measured = [np.nan if stem.thickness_mm is None else stem.thickness_mm for stem in stems]
    groups = [stem.group for stem in stems]
    usual = {stem.group: stem.usual_mm for stem in stems if stem.usual_mm}
    try:
        return likely_thicknesses(measured, groups, usual, 1 if not np.isnan(measured).any() else 7)
    except BadValue as error:
        remedy = say("Measure some of them, or write the lot's usual thickness under Book.")
        raise Refused(say("nothing tells how thick those are that were not measured."), where=where, remedy=remedy) from error


def _allowed(ask: MatchAsk) -> Any:
    limits = alike_pairs([stem.pot for stem in ask.scions], [stem.pot for stem in ask.stocks])
    limits &= alike_pairs([stem.lot for stem in ask.scions], [stem.lot for stem in ask.stocks])
    if ask.names_go_together:
        limits &= compatible_pairs([stem.name for stem in ask.scions], [stem.name for stem in ask.stocks], ask.rows)
    return limits


def _pair(ask: MatchAsk, stock: int, scion: int, cost: float) -> BenchPair:
    below, above = ask.stocks[stock], ask.scions[scion]
    sizes = say("stock {stock}, scion {scion}", stock=_size(below, ask.how.unit), scion=_size(above, ask.how.unit))
    return BenchPair(below, above, cost, sizes)


def _size(stem: StemLine, unit: str) -> str:
    return size(stem.thickness_mm, unit) if stem.thickness_mm is not None else say("not measured")


def _advised(ask: MatchAsk, pairs: list[BenchPair]) -> list[BenchPair]:
    """Each pair with how to cut and set it, where both stems were measured and there are not too many different ones."""
    keys = {key for pair in pairs if (key := _key(pair))}
    if len(keys) > _MOST_ADVISED:
        return pairs
    told = {key: _how(ask, *key) for key in keys}
    return [replace(pair, how=told[key]) if (key := _key(pair)) else pair for pair in pairs]


def _key(pair: BenchPair) -> tuple[float | None, float] | None:
    """Both thicknesses; None for a stock that was not measured."""
    stock, scion = pair.stock.thickness_mm, pair.scion.thickness_mm
    return None if scion is None else (stock, scion)


def _how(ask: MatchAsk, stock_mm: float | None, scion_mm: float) -> str:
    """Length and depth of the cut, the way, its chance; of an unmeasured stock the length alone, which goes by the scion."""
    if stock_mm is None:
        length = size(cut_length_mm(ask.how.method, Stem(scion_mm)), ask.how.unit)
        return say("cut {length}; measure the stock for the rest", length=length)
    how = ask.how
    given: dict[str, Any] = {"stage": how.stage, "skill": how.skill, "tolerance_mm": how.tolerance_mm, "wanted_mm": how.wanted_mm}
    found = advice(Stem(stock_mm), Stem(scion_mm), how.method, methods={}, **given).chosen
    if found.joint is None or found.best is None:
        return ""
    way = say("under the bark") if how.method.model is Model.FLAP else way_words(found.best, how.unit)
    length, depth = size(float(found.joint.length_mm), how.unit), size(float(found.joint.stock.depth_mm), how.unit)
    along = how.method.shape_of("stock") is Shape.ALONG
    words = say("cut {length}, {depth} deep, {way}" if along else "cut {length}, {way}", length=length, depth=depth, way=way)
    return say("{words}: {chance}", words=words, chance=of_hundred(found.best.chance))


def _stage_notes(ask: MatchAsk) -> list[str]:
    """What the stocks must be doing, and what they are doing."""
    notes = [problem_words(each, ask.how, ask.how.called) for each in stage_problems(ask.how.method, ask.how.stage)]
    return [*notes, ask.stage_words] if ask.stage_words else notes


def _not_now(ask: MatchAsk) -> list[str]:
    """Why nothing may be joined while bark does not part, and what to do."""
    parts = [STAGE_WORDS[stage] for stage in Stage if BARK_SLIPS[stage] is True]
    now = [say(way.name) for way in METHODS.values() if not way.needs_slipping_bark and ask.how.stage in way.stages]
    words = mark(
        "Wait until bark parts, on a stock {stages}; or take a method that needs no parting bark now: {methods}. Where your stocks are "
        "further on, say what they are doing and match them again."
    )
    return [say(words, stages=listed(parts), methods=listed(now)), *_stage_notes(ask)]


def _sentence(ask: MatchAsk, matching: Matching) -> str:
    made, scions = len(matching.pairs), len(ask.scions)
    if made == scions:
        return several(made, "{count} pair: the scion has its stock.", "{count} pairs: every scion has its stock.")
    return several(scions, "The scion has no stock.", "{made} of {count} scions have a stock.", made=made)


def _notes(ask: MatchAsk, matching: Matching) -> list[str]:
    """What the stock must be doing, what keeps scions without a stock, and what is not measured."""
    notes = _stage_notes(ask)
    if len(matching.left_scions) and len(matching.left_stocks):
        notes.append(say("Of those left over, none may be joined: by their sizes for {method}, or by a limit.", method=ask.how.called))
    unknown = sum(stem.thickness_mm is None for stem in (*ask.scions, *ask.stocks))
    if unknown:
        words = forms(
            "{count} stem not measured: the spread of its lot is taken.", "{count} stems not measured: the spread of their lots is taken."
        )
        notes.append(several(unknown, *words))
    nameless = sum(not stem.name for stem in (*ask.scions, *ask.stocks))
    if ask.names_go_together and nameless:
        words = forms(
            "{count} stem without a botanical name: it goes with everything.",
            "{count} stems without a botanical name: they go with everything.",
        )
        notes.append(several(nameless, *words))
    return notes


def _assumed(ask: MatchAsk) -> list[str]:
    how = ask.how
    unknown = mark("Gap that callus bridges: {gap:g} mm; contact wanted: {wanted:g} mm; nobody knows either.")
    wanted = size(how.wanted_mm, how.unit)
    return [
        say("“98 of 100”: so likely it is that {wanted} or more of the living lines meet.", wanted=wanted),
        say(
            "“Leaning”: the scion’s top lies so much further across the stock than its foot; half of that to either side of the middle, "
            "where nothing else is said. “To one side”: so far off the middle of the stock. Left or right is the same."
        ),
        say("By {method}: what costs is the contact that a pair is expected to miss, never a bare difference.", method=how.called),
        say(unknown, gap=how.tolerance_mm, wanted=how.wanted_mm),
        say("Reckoned for {hand}, which misses by {error:.2g} mm.", hand=whose_hand(how.skill, how.grafter), error=how.skill.error_mm),
    ]


def _named(stems: Sequence[StemLine], unit: str) -> str:
    return listed([f"{stem.label} ({_size(stem, unit)})" for stem in stems], most=_LISTED)
