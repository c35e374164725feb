"""What a person types about two stems: thicknesses with their doubts, a method, a stage, a hand; from a page or the terminal."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from scionary.answers.compatible import rows_of
from scionary.answers.join_ask import JoinAsk, assumed, method_meant
from scionary.answers.join_usual import hand_meant, stage_meant, usual_way
from scionary.answers.join_words import plain_words, size
from scionary.book import queries
from scionary.book.commands import save_noun
from scionary.book.models import Nursery
from scionary.errors import BadValue, Refused
from scionary.language import mark, say
from scionary.union import Doubt, Stem, Thickness, read_thickness

UNITS = ("mm", "in", "64ths")
_THICKEST_MM = 1000.0  # what the engine takes at most; no stem is so thick
MOST_OVAL = 2.0  # one thickness over the other; project default, unsourced: no young stem is more oval
_MORE = {
    f"{part}_{field}": (part, name)
    for part in ("stock", "scion")
    for field, name in (("bark", "bark_mm"), ("across", "across_mm"), ("bend", "bend_radius_mm"))
}
_DOUBTS = {
    Doubt.INCHES_AS_MM: mark("{typed} is taken as {size}. Were inches meant, {guess}?"),
    Doubt.SIXTY_FOURTHS_AS_INCHES: mark("{typed} is taken as {size}. Were 64ths of an inch meant, {guess}?"),
    Doubt.MM_AS_INCHES: mark("{typed} is taken as {size}. Were millimetres meant, {guess}?"),
    Doubt.THIN: mark("{typed} is taken as {size}: that is very thin for a stem."),
    Doubt.THICK: mark("{typed} is taken as {size}: that is very thick for a stem."),
}


@dataclass(frozen=True)
class StemsTyped:
    """Two stems as they were typed, and what is to ask about: (which, question, what to type instead)."""

    stock: Stem
    scion: Stem
    doubts: tuple[tuple[str, str, str], ...]


def read_stems(typed: Mapping[str, str], unit: str) -> StemsTyped:
    """The stems; refused at the field that is wrong.

    Fields are ``stock`` and ``scion``, and for either ``_bark``, ``_across`` (the other thickness of an oval stem), and ``stock_bend``.
    """
    known = {part: _thickness(part, typed.get(part, ""), unit) for part in ("stock", "scion")}
    more = {field: _more(field, text, unit) for field in _MORE if (text := typed.get(field, "").strip())}
    doubts = tuple((field, doubt_words(each), instead_of(each)) for field, each in {**known, **more}.items() if each.doubt)
    stems = {part: _stem(part, each, more, typed) for part, each in known.items()}
    return StemsTyped(stems["stock"], stems["scion"], doubts)


def _thickness(where: str, text: str, unit: str) -> Thickness:
    if not text.strip():
        raise Refused(say("no thickness is given."), where=where, remedy=say("Measure where the two will meet: 6.8, 13/64 in."))
    return stem_reading(where, text, unit)


def stem_reading(where: str, text: str, unit: str) -> Thickness:
    """A stem's thickness as it was typed; refused at its place where no stem is so thick."""
    found: Thickness = reading_at(where, lambda: read_thickness(text, unit))
    if found.thickness_mm > _THICKEST_MM:
        remedy = say("A stem has at most {most:g} mm: is the unit right?", most=_THICKEST_MM)
        raise Refused(say("{text!r} is no thickness of a stem.", text=text.strip()[:20]), where=where, remedy=remedy)
    return found


def reading_at(where: str, read: Callable[[], Any]) -> Any:
    """What was read; a value that makes no sense is refused at its field."""
    try:
        return read()
    except BadValue as error:
        raise Refused(f"{plain_words(str(error))}.", where=where, remedy="") from error


def _stem(part: str, thickness: Thickness, more: Mapping[str, Thickness], typed: Mapping[str, str]) -> Stem:
    """The stem, refused at the field that does not go with the others; a bend is negative where it was typed with a minus."""
    given = {name: more[field].thickness_mm for field, (of, name) in _MORE.items() if of == part and field in more}
    if typed.get(f"{part}_bend", "").strip().startswith("-"):
        given["bend_radius_mm"] *= -1.0
    _check_oval(part, thickness.thickness_mm, given.get("across_mm"))
    wrong = {"bark_mm": f"{part}_bark", "across_mm": f"{part}_across", "bend_radius_mm": f"{part}_bend"}
    try:
        return Stem(thickness.thickness_mm, **given)
    except BadValue as error:
        where = wrong[error.name] if error.name in given else part
        raise Refused(f"{plain_words(str(error))}.", where=where, remedy="") from error


def _check_oval(part: str, thickness_mm: float, across_mm: float | None) -> None:
    """No young stem is so oval: one of the two is in another unit."""
    if across_mm is None or 1.0 / MOST_OVAL <= across_mm / thickness_mm <= MOST_OVAL:
        return
    sizes = {"one": _as_read(thickness_mm), "other": _as_read(across_mm)}
    raise Refused(
        say("{one} one way and {other} the other is no oval stem.", **sizes),
        where=f"{part}_across",
        remedy=say("One may be at most {most:g} times the other: are both in the same unit?", most=MOST_OVAL),
    )


def _more(field: str, text: str, unit: str) -> Thickness:
    """A length, asked about where it looks like another unit; a bend that opens towards the cut is typed with a minus."""
    inner = field.endswith("_bend") and text.startswith("-")
    if text.strip("-−0., ") == "":
        remedy = say("Leave it out where it was not measured, or where the stem is straight or round.")
        raise Refused(say("{text!r} is no length.", text=text[:20]), where=field, remedy=remedy)
    found: Thickness = reading_at(field, lambda: read_thickness(text.removeprefix("-") if inner else text, unit))
    if found.doubt in (Doubt.THIN, Doubt.THICK) and not field.endswith("_across"):
        return replace(found, doubt=Doubt.NONE)  # bark is thin, a bend is wide
    if field.endswith("_bark") and found.doubt is Doubt.INCHES_AS_MM and "/" not in text:
        return replace(found, doubt=Doubt.NONE)  # bark of 0.6 mm is what bark is like
    return replace(found, typed=text)


def doubt_words(thickness: Thickness) -> str:
    guess = size(thickness.guess_mm, "mm") if thickness.guess_mm is not None else ""
    typed, taken = thickness.typed.strip(), _as_read(thickness.thickness_mm)
    words = _DOUBTS[thickness.doubt] if guess or "{guess}" not in _DOUBTS[thickness.doubt] else _DOUBTS[Doubt.THICK]
    return say(words, typed=typed, size=taken, guess=guess)


def _as_read(mm: float) -> str:
    """A size that may be in the wrong unit: below a millimetre so exact that it can be told from others."""
    return size(mm, "mm") if mm >= 1.0 else f"{mm:.3g} mm"


def instead_of(thickness: Thickness) -> str:
    return f"{thickness.guess_mm:.4g} mm" if thickness.guess_mm is not None else ""


def read_ask(
    typed: Mapping[str, str], nursery: Nursery, *, today: date, unit: str = ""
) -> tuple[JoinAsk, tuple[tuple[str, str, str], ...]]:
    """The whole question, and what is to ask about.

    Fields besides those of the stems: method, stage, skill, tolerance, wanted, stock_name, scion_name, grafter. What is not named is
    as at the bench of the day; an empty grafter is named, as nobody.
    """
    unit = unit or nursery.length_unit
    if unit not in UNITS:
        raise Refused(say("{unit!r} is no unit.", unit=unit[:20]), where="unit", remedy=say("Give mm, in or 64ths."))
    stems = read_stems(typed, unit)
    method, name = method_meant(typed.get("method", "") or usual_way(today, nursery))
    grafter, hand = hand_meant(typed.get("grafter"), typed.get("skill", ""), nursery, today=today)
    known = stage_meant(typed.get("stage", ""), nursery, today=today)
    moved = {"tolerance_mm": number_of(typed, "tolerance"), "wanted_mm": number_of(typed, "wanted")}
    ask = JoinAsk(
        stems.stock,
        stems.scion,
        method,
        hand,
        name,
        known.stage,
        grafter,
        known.words,
        stock_name=typed.get("stock_name", "").strip(),
        scion_name=typed.get("scion_name", "").strip(),
        unit=nursery.length_unit,
        rows=rows_of(nursery),
        **assumed(nursery, moved),
    )
    return ask, stems.doubts


def number_of(typed: Mapping[str, str], field: str) -> float | None:
    """Millimetres of an assumption; None where it stays as it is."""
    text = typed.get(field, "").strip().replace(",", ".")
    if not text:
        return None
    low, high = {"tolerance": (0.05, 2.0), "wanted": (0.5, 60.0)}[field]
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not low <= value <= high:
        raise Refused(
            say("{text!r} cannot be.", text=text[:20]),
            where=field,
            remedy=say("Give millimetres from {low:g} to {high:g}.", low=low, high=high),
        )
    return value


def keep_assumed(typed: Mapping[str, str], *, now: datetime, who: str = "") -> Nursery:
    """Keep the gap and the contact wanted as the book's own; one that is left empty goes back to the usual."""
    found = {f"{name}_mm": number_of(typed, name) for name in ("tolerance", "wanted")}
    kept = {name: value for name, value in found.items() if value is not None}
    return save_noun(Nursery, {"union_assumptions": kept}, now=now, pk=queries.nursery().pk, who=who)
