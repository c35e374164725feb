"""Two stems in sentences: what is cut, how the scion is set, and what is the matter with the pair."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from scionary.answers.words import listed
from scionary.language import Words, mark, say
from scionary.union import Code, JoinMethod, Joint, Model, Placement, Problem, Shape, Way
from scionary.union.joint import face_length_mm
from scionary.units import MM_PER_INCH, length_words

if TYPE_CHECKING:
    from scionary.answers.join_ask import JoinAsk

WAY_WORDS = Words({Way.ONE_SIDE: mark("one side"), Way.BOTH_SIDES: mark("straight"), Way.CROSSED: mark("leaning")})
_PLAIN = {  # the longer first
    "2 × radius_mm": mark("the thickness"),
    "bend_radius_mm": mark("the bend's radius in mm"),
    "across_radius_mm": mark("half the thickness across"),
    "diameter_mm": mark("the thickness in mm"),
    "across_mm": mark("the thickness across in mm"),
    "radius_mm": mark("half the thickness"),
    "bark_mm": mark("the bark in mm"),
    "depth_mm": mark("the depth of the cut in mm"),
    "length_mm": mark("the length of the cut in mm"),
}
_STRAIGHT_MM = 0.05  # less is no distance that a hand sets


def size(mm: float, unit: str) -> str:
    """A length on a cut: 1.3 mm, 18 mm, 3/64 in."""
    if unit == "in":
        return length_words(mm, "in", part=64)
    return f"{mm:.1f}".removesuffix(".0") + " mm"


def fine(mm: float, unit: str) -> str:
    """How far a hand misses, to a hundredth of a millimetre: 0.35 mm, 0.014 in."""
    return f"{mm / MM_PER_INCH:.3f} in" if unit == "in" else f"{mm:.2f} mm"


def of_hundred(chance: float) -> str:
    """97 of 100; never none or all: a model is not as sure as that."""
    count = round(chance * 100)
    if count == 0:
        return say("under 1 of 100")
    return say("over 99 of 100") if count == 100 else say("{count} of 100", count=count)


def plain_words(text: str) -> str:
    """A refusal of the engine in a grower's words: its names for sizes are those of programs."""
    for name, words in _PLAIN.items():
        text = re.sub(rf"\b{name}\b" if name.isidentifier() else re.escape(name), say(words), text)
    return re.sub(r"(\d\.\d{1,2})\d*", r"\1", text)


def way_words(placement: Placement, unit: str) -> str:
    """Leaning by 1.3 mm; 0.8 mm to one side; straight: with where foot and top lie when that is not about the middle."""
    lean, off, foot, top = (size(abs(mm), unit) for mm in (placement.lean_mm, placement.shift_mm, placement.foot_mm, placement.top_mm))
    aside = abs(placement.shift_mm) >= _STRAIGHT_MM
    if placement.way is Way.ONE_SIDE:
        return say("{off} to one side", off=off) if aside else say("to one side")
    if placement.way is not Way.CROSSED:
        return say("straight")
    if not aside:
        return say("leaning by {lean}", lean=lean)
    same = placement.foot_mm * placement.top_mm >= 0
    words = mark("leaning by {lean} (foot {foot} to one side, top {top} to the other)")
    words = mark("leaning by {lean} (foot {foot} and top {top} to one side)") if same else words
    return say(words, lean=lean, foot=foot, top=top)


def set_sentence(method: JoinMethod, joint: Joint, best: Placement, tolerance_mm: float, unit: str) -> str:
    """One sentence on how to set the scion, and which of its living lines meet."""
    if method.model is Model.FLAP:
        return say("Slide the scion under the bark, its face flat on the wood in the middle of the opening, and press the bark down on it.")
    if best.way is Way.CROSSED:
        return _leaning(best, unit)
    if best.way is Way.ONE_SIDE:
        off = size(abs(best.shift_mm), unit)
        return say("Set the scion straight, {off} to one side of the middle, so that one of its living lines lies on the stock's.", off=off)
    apart = abs(float(joint.apart_mm))
    if apart < _STRAIGHT_MM:
        return say("Set the scion straight, in the middle of the cut: both its living lines lie on the stock's.")
    if apart <= tolerance_mm:
        words = mark(
            "Set the scion straight, in the middle of the cut: each of its living lines lies {apart} beside the stock's, within reach."
        )
    else:
        words = mark(
            "Set the scion straight, in the middle of the cut: half way up neither living line meets, {apart} beside the stock's; "
            "what meets lies nearer the ends."
        )
    return say(words, apart=size(apart, unit))


def _leaning(best: Placement, unit: str) -> str:
    lean, foot, top = abs(best.lean_mm), best.foot_mm, best.top_mm
    if abs(best.shift_mm) < _STRAIGHT_MM:
        words = mark("Lean the scion by {lean} over the middle of the cut: its foot half of that to one side, its top half to the other.")
        return say(words, lean=size(lean, unit))
    at_foot, at_top = size(abs(foot), unit), size(abs(top), unit)
    if foot * top < 0:
        words = mark("Lean the scion by {lean}: set its foot {foot} to one side of the middle and its top {top} to the other side.")
    else:
        words = mark("Lean the scion by {lean}: set its foot {foot} to one side of the middle and its top {top} to the same side.")
    return say(words, lean=size(lean, unit), foot=at_foot, top=at_top)


def steps_of(method: JoinMethod, joint: Joint, best: Placement, tolerance_mm: float, unit: str) -> list[str]:
    """What is cut and set, in the order in which hands do it."""
    cuts = [_stock_cut(method, joint, unit), _scion_cut(method, joint, unit)]
    if method.key == "whip_and_tongue":
        cuts.append(say("Cut a tongue into each slope, from a third below its tip: it holds the two, and adds no contact here."))
    mirror = say("Left or right is the same: take the side that you see best.") if best.way in (Way.ONE_SIDE, Way.CROSSED) else ""
    return [*cuts, f"{set_sentence(method, joint, best, tolerance_mm, unit)} {mirror}".strip()]


def _stock_cut(method: JoinMethod, joint: Joint, unit: str) -> str:
    shape, length, depth = method.shape_of("stock"), size(joint.length_mm, unit), size(float(joint.stock.depth_mm), unit)
    if shape is Shape.SPLIT:
        return say("Cut the stock off level and split it down the middle, {length} deep.", length=length)
    if shape is Shape.SLOPE_THROUGH:
        return say("Cut the stock off on a slope, {length} long.", length=length)
    if shape is Shape.SLOPE_TO_PITH:
        return say("Cut the stock's top to a ridge: two slopes of {length} that meet at the pith.", length=length)
    if shape is Shape.LIFTED:
        opened = size(float(joint.opening_mm), unit)
        words = mark("Cut the stock's bark {length} long, down to the wood and no deeper, and lift it so that {opened} of wood lie bare.")
        return say(words, length=length, opened=opened)
    if (face_mm := face_length_mm(joint.stock, joint.length_mm)) < joint.length_mm:
        words = mark("Cut the stock's side straight and {depth} deep in the middle: on this bend the face is {face} long then.")
        return say(words, depth=depth, face=size(face_mm, unit))
    wood = float(joint.stock.depth_mm) - float(joint.stock.bark_mm)
    words = mark("Cut the stock's side {length} long and {depth} deep: through the bark, and {wood} into the wood.")
    return say(words, length=length, depth=depth, wood=size(wood, unit))


def _scion_cut(method: JoinMethod, joint: Joint, unit: str) -> str:
    shape, length, depth = method.shape_of("scion"), size(joint.length_mm, unit), size(float(joint.scion.depth_mm), unit)
    if shape is Shape.SLOPE_TO_PITH:
        return say("Cut the scion's foot to a wedge: two faces of {length} that meet at the pith.", length=length)
    if shape is Shape.SLOPE_THROUGH:
        return say("Cut the scion's foot off on a like slope, {length} long.", length=length)
    if shape is Shape.NOTCH:
        return say("Notch the scion's foot so that it sits astride: two faces of {length}.", length=length)
    if method.scion_depth_share < 0.5:
        return say("Cut the bud's shield or the scion's face {length} long and {depth} deep.", length=length, depth=depth)
    back = any(cut.part == "scion" and cut.where == "back" for cut in method.cuts)
    if back:
        return say("Cut the scion's long face {length} long, down to the pith; pare its back short.", length=length)
    return say("Cut the scion's face {length} long, down to the pith.", length=length)


def problem_words(problem: Problem, ask: JoinAsk, method: str) -> str:
    """What is the matter, in a sentence; `method` is how the method is called."""
    return _PROBLEMS[problem.code](problem.numbers, ask, method)


def _scion_thick(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    scion, most = _told_apart(ask.scion.diameter_mm, numbers["ratio_high"] * numbers["stock_mm"], ask.unit)
    words = mark("The scion, {scion}, is too thick for a stock of {stock} by {method}: {most} at most.")
    return say(words, **{**_pair(ask, method), "scion": scion, "most": most})


def _scion_thin(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    scion, least = _told_apart(ask.scion.diameter_mm, numbers["ratio_low"] * numbers["stock_mm"], ask.unit)
    words = mark("The scion, {scion}, is too thin for a stock of {stock} by {method}: {least} at least.")
    return say(words, **{**_pair(ask, method), "scion": scion, "least": least})


def _stock_thin(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    stock, least = _told_apart(ask.stock.diameter_mm, numbers["stock_low_mm"], ask.unit)
    return say("The stock, {stock}, is too thin for {method}: {least} at least.", stock=stock, method=method, least=least)


def _stock_thick(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    stock, most = _told_apart(ask.stock.diameter_mm, numbers["stock_high_mm"], ask.unit)
    return say("The stock, {stock}, is too thick for {method}: {most} at most.", stock=stock, method=method, most=most)


def _told_apart(one_mm: float, other_mm: float, unit: str) -> tuple[str, str]:
    """Both sizes; to a hundredth where a tenth says the same of both."""
    one, other = size(one_mm, unit), size(other_mm, unit)
    return (one, other) if one != other else (fine(one_mm, unit), fine(other_mm, unit))


def _pair(ask: JoinAsk, method: str) -> dict[str, str]:
    return {"method": method, "stock": size(ask.stock.diameter_mm, ask.unit), "scion": size(ask.scion.diameter_mm, ask.unit)}


def _stage(key: str) -> str:
    from scionary.answers.join_ask import STAGE_WORDS

    return STAGE_WORDS[key]  # type: ignore[index]  # a stage is its key


def _no_slip(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    words = mark("Bark must part from the wood for {method}, and that of a stock {stage} does not (common practice, no source).")
    return say(words, method=method, stage=_stage(numbers["stage"]))


def _may_slip(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    return say("Bark must part from the wood for {method}: try it first with the back of the blade.", method=method)


def _unusual_stage(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    usual = listed([_stage(key) for key in numbers["usual"]])
    words = mark("On a stock {stage}, {method} is unusual; growers mostly do it on stocks {usual} (common practice, no source).")
    return say(words, stage=_stage(numbers["stage"]), method=method, usual=usual)


def _fails(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    return _told(say("{stock} does not carry {scion}, as the table has it.", **_names(ask)), numbers)


def _doubtful(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    return _told(say("Whether {stock} carries {scion} for long is in doubt.", **_names(ask)), numbers)


def _unknown(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    return say("Whether {stock} carries {scion} is not known to the table: try a few first.", **_names(ask))


def _names(ask: JoinAsk) -> dict[str, str]:
    return {"stock": ask.stock_name, "scion": ask.scion_name}


def _told(words: str, numbers: Mapping[str, Any]) -> str:
    note = f" {say(numbers['note']).capitalize()}." if numbers["note"] else ""
    return f"{words}{note} {say('Source: {source}.', source=say(numbers['source']))}"


def _no_cut(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    return say("These two cannot be cut for {method}: {why}.", method=method, why=plain_words(numbers["why"]))


def _apart(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    apart = numbers["apart_mm"]
    if apart > 0:
        words = mark("The stock's living lines lie {apart} further out than the scion's: half way up, a straight scion meets one at most.")
    else:
        words = mark("The scion's living lines lie {apart} further out than the stock's: half way up, a straight scion meets one at most.")
    return say(words, apart=size(abs(apart), ask.unit))


def _odd_length(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    low, high = size(numbers["cut_low_mm"], ask.unit), size(numbers["cut_high_mm"], ask.unit)
    words = mark("Cuts for {method} are mostly {low} to {high} long ({source}).")
    return say(words, method=method, low=low, high=high, source=say(numbers["source"]))


def _shortened(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    words = mark(
        "The stock's bend makes the cut {length} long, not {usual}: a straight cut that is longer leaves the stock or goes too deep."
    )
    return say(words, length=size(numbers["length_mm"], ask.unit), usual=size(numbers["usual_mm"], ask.unit))


def _short_face(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    words = mark("On this bend the face runs out after {face}, short of {length}: a knife that goes straight leaves the stock there.")
    return say(words, face=size(numbers["face_mm"], ask.unit), length=size(numbers["length_mm"], ask.unit))


def _deep_ends(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    words = mark(
        "On the inner side of this bend a straight cut of {middle} in its middle is {ends} deep at its ends: a less bent stock does better."
    )
    return say(words, middle=size(numbers["middle_mm"], ask.unit), ends=size(numbers["ends_mm"], ask.unit))


def _poor(numbers: Mapping[str, Any], ask: JoinAsk, method: str) -> str:
    return say("That is less than an even chance: another stock, scion or method does better.")


_PROBLEMS: dict[Code, Callable[[Mapping[str, Any], JoinAsk, str], str]] = {
    Code.SCION_TOO_THICK: _scion_thick,
    Code.SCION_TOO_THIN: _scion_thin,
    Code.STOCK_TOO_THIN: _stock_thin,
    Code.STOCK_TOO_THICK: _stock_thick,
    Code.BARK_WILL_NOT_SLIP: _no_slip,
    Code.BARK_MAY_NOT_SLIP: _may_slip,
    Code.STAGE_UNUSUAL: _unusual_stage,
    Code.SECTIONS_FAIL: _fails,
    Code.SECTIONS_DOUBTFUL: _doubtful,
    Code.SECTIONS_UNKNOWN: _unknown,
    Code.CANNOT_BE_CUT: _no_cut,
    Code.LINES_CANNOT_BOTH_MEET: _apart,
    Code.CUT_LENGTH_UNUSUAL: _odd_length,
    Code.BEND_SHORTENS: _shortened,
    Code.FACE_SHORT: _short_face,
    Code.ENDS_DEEP: _deep_ends,
    Code.POOR_CHANCE: _poor,
}
