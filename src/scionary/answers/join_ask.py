"""What is asked when two stems are to be joined: the method as the book has it, whose hand, and what nobody knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from scionary.answers.compatible import rows_of
from scionary.answers.events_in_bulk import standing_events
from scionary.answers.held import held
from scionary.answers.words import listed
from scionary.book import queries
from scionary.book.models import Method, Nursery
from scionary.book.ways_to_join import way_told_by
from scionary.errors import UnknownSubject
from scionary.language import Words, forms, mark, say, several
from scionary.union import (
    BARK_SLIPS,
    METHODS,
    SKILLS,
    TOLERANCE_MM,
    WANTED_MM,
    CompatibilityRow,
    JoinMethod,
    Skill,
    Stage,
    Stem,
    learned_skill,
    skill_called,
)

OWN_NUMBER = mark("as this book's method has it; common practice, no source")
SKILL_WORDS = Words({"beginner": mark("a beginner's"), "practised": mark("a practised"), "experienced": mark("an experienced")})
STAGE_WORDS = Words(
    {
        Stage.DORMANT: mark("at rest"),
        Stage.BUDS_SWELLING: mark("with swelling buds"),
        Stage.IN_GROWTH: mark("in growth"),
        Stage.GROWTH_RIPENING: mark("with ripening growth"),
        Stage.LEAVES_TURNING: mark("with turning leaves"),
    }
)
_EDITED = ("ratio_low", "ratio_high", "stock_low_mm", "stock_high_mm", "cut_low_mm", "cut_high_mm")
LEAST_GAP_MM, MOST_GAP_MM = 0.1, 1.0
LEAST_WANTED_MM, MOST_WANTED_MM = 1.0, 20.0


@dataclass(frozen=True)
class JoinAsk:
    """Two stems, a method, and all that the advice rests on.

    `method_name` is how the book calls it, `grafter` whose hand it is, `stage_told` where the stage is from.
    """

    stock: Stem
    scion: Stem
    method: JoinMethod
    skill: Skill
    method_name: str = ""
    stage: Stage | None = None
    grafter: str = ""
    stage_told: str = ""
    tolerance_mm: float = TOLERANCE_MM
    wanted_mm: float = WANTED_MM
    stock_name: str = ""
    scion_name: str = ""
    unit: str = "mm"
    rows: tuple[CompatibilityRow, ...] = field(default_factory=rows_of)

    @property
    def called(self) -> str:
        """The method's name, as the book has it or as the trade has it."""
        return self.method_name or say(self.method.name)


def join_method(method: Method) -> JoinMethod | None:
    """The way to join that a method of the book is, with the book's numbers; None where it is not known which one it is."""
    way = METHODS.get(method.joins or way_told_by(method.name))
    if way is None:
        return None
    given = {name: float(getattr(method, name)) for name in _EDITED if getattr(method, name) is not None}
    edited: dict[str, Any] = {name: value for name, value in given.items() if value != getattr(way, name)}
    merged = replace(way, **edited, sources={**way.sources, **dict.fromkeys(edited, OWN_NUMBER)})
    return replace(merged, **_in_order(merged))


def _in_order(method: JoinMethod) -> dict[str, Any]:
    """Where the book moves one end of a range beyond the other, the other end follows."""
    pairs = (("ratio_low", "ratio_high"), ("stock_low_mm", "stock_high_mm"), ("cut_low_mm", "cut_high_mm"))
    wrong = [(low, high) for low, high in pairs if getattr(method, low) > getattr(method, high)]
    moved = {}
    for low, high in wrong:
        of_book = method.sources.get(low) == OWN_NUMBER
        moved[high if of_book else low] = getattr(method, low if of_book else high)
    return moved


def method_meant(typed: str) -> tuple[JoinMethod, str]:
    """The method of the book with this id or name, else the way to join of this key or name: (as the engine has it, its name)."""
    said = " ".join(typed.split())
    known = list(Method.objects.filter(retired=False))
    exact = [row for row in known if said.casefold() in (str(row.pk), row.name.casefold())]
    near = [row for row in known if said and row.name.casefold().startswith(said.casefold())]
    for row in exact or (near if len(near) == 1 else []):
        found = join_method(row)
        if found is None:
            remedy = say("Say under Book, Methods, which cuts meet.")
            raise UnknownSubject(say("the book does not know how {method} joins.", method=row), where="method", remedy=remedy)
        return found, row.name
    wanted = said.casefold().replace("-", " ").replace("_", " ")
    for key, way in METHODS.items():
        if wanted in (key.replace("_", " "), way.name.replace("-", " ").casefold(), say(way.name).replace("-", " ").casefold()):
            return way, ""
    listed = "; ".join([*(row.name for row in known), *METHODS])
    raise UnknownSubject(
        say("no method is called {name!r}.", name=said[:60]), where="method", remedy=say("Methods: {methods}.", methods=listed)
    )


def methods_offered() -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """(value, name) of the book's methods whose way to join is known, and of all ways."""
    rows = [(str(row.pk), row.name) for row in Method.objects.filter(retired=False) if join_method(row)]
    return rows, [(key, say(way.name)) for key, way in METHODS.items()]


def other_methods(chosen: JoinMethod) -> dict[str, JoinMethod]:
    """What to compare with: each way as the book has it where the book has it, else as the trade has it; the chosen one is left out."""
    of_book = {found.key: found for row in Method.objects.filter(retired=False) if (found := join_method(row))}
    return {key: of_book.get(key, way) for key, way in METHODS.items() if key != chosen.key}


def hand_of(nursery: Nursery, grafter: str = "", *, chosen: str = "") -> Skill:
    """How far a hand misses: a preset that is chosen, else the book's, pulled towards what was measured on unions that were opened."""
    if chosen:
        return skill_called(chosen)
    misses, depths = misses_of(grafter)
    return learned_skill(misses, SKILLS[nursery.skill], depth_misses_mm=depths)


def misses_of(grafter: str) -> tuple[list[float], list[float]]:
    """How far each end of the scion and each depth lay from where it was meant [mm], for one person; nameless ones for nobody."""
    opened = held("unions_opened", queries.stamp(), lambda: [event.payload for event in standing_events(("union_opened",), "nursery")])
    own = [payload for payload in opened if payload.get("grafter", "").casefold() == grafter.casefold()]
    ends = [float(payload[name]) for payload in own for name in ("foot_mm", "top_mm") if name in payload]
    return ends, [float(payload["depth_mm"]) for payload in own if "depth_mm" in payload]


def assumed(nursery: Nursery, given: Mapping[str, float | None] | None = None) -> dict[str, float]:
    """The gap that callus bridges and the contact wanted: as asked, else as the book moved them, else the usual ones."""
    usual = {"tolerance_mm": TOLERANCE_MM, "wanted_mm": WANTED_MM}
    kept = {name: float(value) for name, value in nursery.union_assumptions.items() if name in usual}
    asked = {name: float(value) for name, value in (given or {}).items() if name in usual and value is not None}
    return {**usual, **kept, **asked}


def ask_of_method(method: Method, stock_mm: float, scion_mm: float, nursery: Nursery, **more: Any) -> JoinAsk | None:
    """The question of a bench day; None where the book does not know how its method joins."""
    found = join_method(method)
    if found is None:
        return None
    grafter = more.pop("grafter", "")
    given: dict[str, Any] = {"skill": hand_of(nursery, grafter), "grafter": grafter, "unit": nursery.length_unit, **assumed(nursery)}
    given |= more
    return JoinAsk(Stem(stock_mm), Stem(scion_mm), found, method_name=method.name, **given)


def effect_words(method: JoinMethod) -> str:
    """What the stock's stage would change for a method."""
    if method.needs_slipping_bark:
        slips = {slip: listed([STAGE_WORDS[stage] for stage in Stage if BARK_SLIPS[stage] is slip]) for slip in (True, False, None)}
        words = mark(
            "It would change this: the bark of a stock {yes} parts from the wood, of one {no} it does not; {perhaps}, try it first."
        )
        return say(words, yes=slips[True], no=slips[False], perhaps=slips[None])
    unusual = [STAGE_WORDS[stage] for stage in Stage if stage not in method.stages]
    if not unusual:
        return say("It would change nothing here.")
    return say("It would change little: on a stock {unusual} this method is unusual.", unusual=listed(unusual))


def whose_hand(hand: Skill, grafter: str) -> str:
    """Maren’s hand as measured by 12 misses; a practised hand."""
    if not hand.unions:
        return say("{hand} hand", hand=SKILL_WORDS[hand.name])
    if not grafter:
        return several(hand.unions, "a hand as measured by {count} miss", "a hand as measured by {count} misses")
    words = forms("{grafter}’s hand as measured by {count} miss", "{grafter}’s hand as measured by {count} misses")
    return several(hand.unions, *words, grafter=grafter)


def hand_words(nursery: Nursery, grafter: str = "") -> str:
    """Whose hand is taken where none is chosen: as learned from so many measured misses, or the book's preset."""
    hand = hand_of(nursery, grafter)
    if hand.unions:
        return several(hand.unions, "as measured: {count} miss", "as measured: {count} misses")
    return say("{hand} hand, the book’s", hand=SKILL_WORDS[nursery.skill])
