"""The kinds of event, and what each may hold.

A payload is a flat JSON object. Every field is checked when the event is written; a reference names a noun
by its id and makes that noun a subject of the event.
"""

from __future__ import annotations

import math
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from scionary.errors import Refused
from scionary.language import mark, say

Check = Callable[[Any], Any]

SIGNS = ("stalk_drops", "bud_moving", "callus_seen", "firm", "growing", "in_leaf")
SEEN = ("unchanged", "wilting", "mould", "missing", "found", "name_in_doubt", "stalks_picked_out")
SCION_CARE = ("stalks_left", "half_blades", "whole_leaves", "dormant")
WOOD_STAGES = ("dormant", "bud_break", "soft", "half_ripe", "ripe")  # of a mother tree, as it is looked at
STAGES = ("firm", "growing", "in_leaf")
_KEPT = "\n\u200c\u200d"  # a new line, and the two joiners
FIRST_YEAR, LAST_YEAR = 1800, 2999


def plain(value: str) -> str:
    """Text as it is kept: without control characters and marks that turn the direction, every kind of space a plain one.

    Letters joined by a joiner (in some scripts, and in emoji) stay joined.
    """
    spaced = "".join(" " if letter.isspace() and letter != "\n" else letter for letter in value)
    return "".join(letter for letter in spaced if letter.isprintable() or letter in _KEPT).strip()


def text(longest: int) -> Check:
    """Text of at most so many characters, made plain."""

    def check(value: Any) -> str:
        if not isinstance(value, str):
            raise ValueError(say("text"))
        cleaned = plain(value)
        if len(cleaned) > longest:
            raise ValueError(say("at most {longest} characters; this has {length}", longest=longest, length=len(cleaned)))
        return cleaned

    return check


def number(low: float, high: float) -> Check:
    def check(value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value) or not low <= value <= high:
            raise ValueError(say("a number from {low:g} to {high:g}", low=low, high=high))
        return float(value) + 0.0  # no minus zero: a database may forget its sign

    return check


def whole(low: int, high: int) -> Check:
    def check(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise ValueError(say("a whole number from {low} to {high}", low=low, high=high))
        return value

    return check


def one_of(*choices: str) -> Check:
    def check(value: Any) -> str:
        if value not in choices:
            raise ValueError(say("one of {choices}", choices=", ".join(choices)))
        return str(value)

    return check


@dataclass(frozen=True)
class Reference:
    """A field that holds the id of a noun; `noun` is the word in its subject key."""

    noun: str

    def __call__(self, value: Any) -> str:
        try:
            return str(uuid.UUID(str(value)))
        except ValueError:
            raise ValueError(say("the id of a {noun}", noun=self.noun)) from None


@dataclass(frozen=True)
class Kind:
    """One kind of event: what it is about, what it may hold, and the text for it."""

    text: str
    about: tuple[str, ...]
    fields: Mapping[str, Check] = field(default_factory=dict)
    needed: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What happened, in the reader's language."""
        return say(self.text)


_NOTE: dict[str, Check] = {"note": text(2000)}
_NUMBER: dict[str, Check] = {"running_number": whole(1, 1_000_000)}  # the number that is said: Red Tarn 12
_PRECISION = one_of("day", "month", "year")
_YES_NO = one_of("yes", "no")
_LIGHT = one_of("sun", "shade")  # where a label hangs
_GRAFT: dict[str, Check] = {
    **_NOTE,
    "cultivar": Reference("cultivar"),
    "method": Reference("method"),
    "lot": Reference("lot"),
    "tree": Reference("tree"),
    "bag": Reference("bag"),
    "bench": Reference("bench"),
    "dome": Reference("dome"),
    "place": whole(1, 10_000),
    "stands": text(120),
    "pot": Reference("pot"),
    "scion_mm": number(0.1, 500),
    "stock_mm": number(0.1, 500),
    "cut_mm": number(1, 500),
    "lean_mm": number(0, 100),  # how far the scion's top was leaned across the stock's face, to either side
    "grafter": text(60),
    "precision": _PRECISION,
}

KINDS: dict[str, Kind] = {
    "grafted": Kind(
        mark("grafted"),
        ("plant",),
        {**_GRAFT, "code_number": whole(0, 5_999_999), **_NUMBER, "label_medium": text(30), "label_light": _LIGHT},
        ("cultivar",),
    ),
    "regrafted": Kind(mark("grafted again"), ("plant",), {**_GRAFT, **_NUMBER}),
    "moved": Kind(mark("moved"), ("plant",), {**_NOTE, "dome": Reference("dome"), "place": whole(1, 10_000), "stands": text(120)}),
    "observed": Kind(mark("seen"), ("plant", "dome"), {**_NOTE, "seen": one_of(*SEEN), "height_mm": number(0, 50_000)}),
    "scored": Kind(
        mark("sign scored"), ("plant",), {**_NOTE, "sign": one_of(*SIGNS), "answer": one_of("yes", "no", "unsure")}, ("sign", "answer")
    ),
    "watered": Kind(mark("watered"), ("dome", "plant", "tree"), {**_NOTE, "water_mm": number(0, 500), "litres": number(0, 100_000)}),
    "vented": Kind(mark("vents set"), ("dome",), {**_NOTE, "open_pct": number(0, 100)}, ("open_pct",)),
    "treated": Kind(mark("treated"), ("dome", "plant"), {**_NOTE, "product": text(80), "reason": text(120), "label_says": text(500)}),
    "headed_back": Kind(mark("headed back"), ("plant",), {**_NOTE, "nodes_left": whole(0, 50)}),
    "untied": Kind(mark("untied"), ("plant",), _NOTE),
    "suckers_rubbed": Kind(mark("suckers rubbed off"), ("plant",), {**_NOTE, "count": whole(0, 1000)}),
    "staked": Kind(mark("staked"), ("plant",), _NOTE),
    "potted_on": Kind(mark("potted on"), ("plant",), {**_NOTE, "pot": Reference("pot")}),
    "wintered_in": Kind(mark("brought in for winter"), ("plant",), {**_NOTE, "stands": text(120)}),
    "wintered_out": Kind(mark("put out after winter"), ("plant",), {**_NOTE, "stands": text(120)}),
    "relabelled": Kind(mark("relabelled"), ("plant",), {**_NOTE, "medium": text(30), "light": _LIGHT, **_NUMBER}),
    "lost": Kind(mark("lost"), ("plant",), {**_NOTE, "sign": text(60), "cause": text(120)}),
    "left": Kind(mark("left"), ("plant",), {**_NOTE, "how": one_of("sale", "gift", "other"), "price": number(0, 1e6)}, ("how",)),
    "name_confirmed": Kind(mark("name confirmed"), ("plant",), {**_NOTE, "cultivar": Reference("cultivar"), **_NUMBER}),
    "name_inferred": Kind(mark("name inferred"), ("plant",), {**_NOTE, "chance": number(0, 1)}, ("chance",)),
    "name_doubted": Kind(mark("name in doubt"), ("plant", "tree", "bag"), {**_NOTE, "reason": text(200)}, ("reason",)),
    "name_doubt_ended": Kind(mark("name no longer in doubt"), ("plant", "tree", "bag"), {**_NOTE, "reason": text(200)}),
    "quarantined": Kind(mark("quarantined"), ("plant", "tree", "bag", "lot"), {**_NOTE, "reason": text(200)}, ("reason",)),
    "released": Kind(mark("released from quarantine"), ("plant", "tree", "bag", "lot"), {**_NOTE, "reason": text(200)}),
    "blade_cleaned": Kind(
        mark("blade changed or disinfected"),
        ("bench",),
        {**_NOTE, "how": one_of("changed", "disinfected"), "grafter": text(60)},
        ("how",),
    ),
    "scions_cut": Kind(
        mark("scions cut"),
        ("tree", "bag"),
        {**_NOTE, "sticks": whole(1, 10_000), "care": one_of(*SCION_CARE), "stands": text(120), "code_number": whole(0, 5_999_999)},
        ("sticks",),
    ),
    "tree_seen": Kind(
        mark("mother tree looked at"),
        ("tree",),
        {**_NOTE, "stage": one_of(*WOOD_STAGES), "soaked": _YES_NO, "firm_at_dawn": _YES_NO, "leaves_dry": _YES_NO},
    ),
    "measured": Kind(  # one stem of a lot or one stick of a bag, by its number in the row; `used` when it is there no more
        mark("stem measured"),
        ("lot", "bag"),
        {**_NOTE, "number": whole(1, 10_000), "thickness_mm": number(0.1, 500), "used": _YES_NO},
        ("number",),
    ),
    "union_opened": Kind(  # how far a hand missed, measured on a union that was opened: a practice piece, or a graft that failed
        mark("union opened and measured"),
        ("nursery",),
        {**_NOTE, "foot_mm": number(-50, 50), "top_mm": number(-50, 50), "depth_mm": number(-50, 50), "grafter": text(60)},
    ),
    "photographed": Kind(mark("photographed"), ("plant", "dome", "tree", "bag", "lot"), {**_NOTE, "photo": Reference("photo")}, ("photo",)),
    "answered": Kind(
        mark("due line answered"),
        ("plant", "dome", "tree", "lot", "nursery"),
        {**_NOTE, "line": text(40), "answer": one_of("put_off", "not_needed"), "until": text(10)},
        ("line", "answer"),
    ),
    "corrected": Kind(mark("corrected"), (), {**_NOTE}),
    "edited": Kind(mark("edited"), (), {}),
}

BESIDE = frozenset({"photographed", "answered"})  # kept beside a plant or dome; they change no state

# A field that names a noun has the same name and noun in every kind.
REFERENCE_FIELDS: dict[str, Reference] = {
    name: check for spec in KINDS.values() for name, check in spec.fields.items() if isinstance(check, Reference)
}


def checked_payload(kind: str, payload: Mapping[str, Any]) -> dict[str, Any]:
    """The payload with every field checked; empty fields are left out.

    Raises `Refused` naming the field, what it held and what it may hold.
    """
    spec = KINDS.get(kind)
    if spec is None:
        raise Refused(
            say("no kind of event is called {kind!r}.", kind=kind), where="kind", remedy=say("Kinds: {kinds}.", kinds=", ".join(KINDS))
        )
    if kind == "corrected":
        return _checked_correction(payload)
    if kind == "edited":
        return dict(payload)
    result = _checked_fields(kind, spec, payload)
    for name in spec.needed:
        if name not in result:
            raise Refused(say("'{name}' is missing.", name=name), where=kind, remedy=_needs(spec))
    return result


def _checked_fields(kind: str, spec: Kind, payload: Mapping[str, Any]) -> dict[str, Any]:
    result: dict[str, Any] = {}
    for name, value in payload.items():
        if value is None or value == "":
            continue
        if name not in spec.fields:
            raise Refused(
                say("no field is called {name!r}.", name=name),
                where=kind,
                remedy=say("Fields: {fields}.", fields=", ".join(spec.fields) or say("none")),
            )
        try:
            checked = spec.fields[name](value)
        except ValueError as error:
            raise _bad(kind, name, value, error) from None
        if checked != "":
            result[name] = checked
    return result


def _needs(spec: Kind) -> str:
    return say("A {kind} event needs: {fields}.", kind=spec.words, fields=", ".join(spec.needed))


def _bad(kind: str, name: str, value: Any, allowed: ValueError) -> Refused:
    return Refused(
        say("{name} is {value!r}.", name=name, value=str(value)[:80]), where=kind, remedy=say("Give {allowed}.", allowed=allowed)
    )


def _checked_correction(payload: Mapping[str, Any]) -> dict[str, Any]:
    """A correction names its target and either replaces fields or, with none, undoes it.

    `knew` lists the earlier corrections of the same event that its writer saw, and so overrules.
    """
    unknown = set(payload) - {"target", "replace", "knew", "note"}
    if unknown:
        raise Refused(
            say("no field is called {name!r}.", name=min(unknown)), where="corrected", remedy=say("Fields: target, replace, knew, note.")
        )
    result: dict[str, Any] = {"target": _event_id("target", payload.get("target"))}
    knew = payload.get("knew") or []
    if not isinstance(knew, list | tuple):
        raise Refused(say("knew is no list."), where="corrected", remedy=say("List the ids of the corrections that were known."))
    if knew:
        result["knew"] = sorted({_event_id("knew", ident) for ident in knew})
    replace = payload.get("replace")
    if replace is not None:
        if not isinstance(replace, Mapping) or not replace:
            raise Refused(
                say("replace holds no field."), where="corrected", remedy=say("Give the fields that change, or leave it out to undo.")
            )
        result["replace"] = {name: _replacing(name, value) for name, value in replace.items()}
    return result | _checked_fields("corrected", KINDS["corrected"], {"note": payload.get("note")})


def _event_id(name: str, value: Any) -> str:
    try:
        return str(uuid.UUID(str(value)))
    except ValueError:
        raise Refused(
            say("{name} is no event's id: {value!r}.", name=name, value=str(value)[:40]),
            where="corrected",
            remedy=say("Name the event that is corrected."),
        ) from None


def _replacing(name: str, value: Any) -> Any:
    """A new value as far as it can be checked without its target, which may arrive later."""
    if name == "happened_at":
        return read_moment(value).astimezone(UTC).isoformat()
    if not any(name in spec.fields for spec in KINDS.values()):
        raise Refused(
            say("no field is called {name!r}.", name=str(name)[:40]),
            where="corrected",
            remedy=say("Name a field of the event that is corrected."),
        )
    try:
        if name in REFERENCE_FIELDS and value is not None:
            return REFERENCE_FIELDS[name](value)
        if isinstance(value, str):
            return text(2000)(value) or None
        if value is None or isinstance(value, bool):
            return value
        return whole(-(10**9), 10**9)(value) if isinstance(value, int) else number(-1e9, 1e9)(value)
    except ValueError as error:
        raise _bad("corrected", name, value, error) from None


def checked_replacement(kind: str, replace: Mapping[str, Any]) -> dict[str, Any]:
    """A correction's new values, checked against the kind of event that it corrects; None empties a field."""
    spec = KINDS[kind]
    for name in spec.needed:
        if name in replace and replace[name] in (None, ""):
            raise Refused(say("'{name}' cannot be empty.", name=name), where=kind, remedy=say("Give a value, or undo the whole record."))
    emptied = {name: None for name, value in replace.items() if value is None and name in spec.fields and name not in spec.needed}
    values = {name: value for name, value in replace.items() if name not in emptied and name != "happened_at"}
    result = emptied | _checked_fields(kind, spec, values)
    if "happened_at" in replace:
        result["happened_at"] = replace["happened_at"]
    return result


def read_moment(value: Any) -> datetime:
    """A moment with its zone, from ISO 8601 text or a datetime."""
    try:
        moment = value if isinstance(value, datetime) else datetime.fromisoformat(str(value))
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None or not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise Refused(
            say("{value!r} is no moment.", value=str(value)[:40]),
            where="happened_at",
            remedy=say("Give date, time and zone: 2026-02-14T10:30+01:00."),
        )
    return moment


def references(kind: str, payload: Mapping[str, Any]) -> list[tuple[str, str]]:
    """(field, subject key) of every noun that a payload names."""
    values = payload.get("replace") or {} if kind == "corrected" else payload
    fields = REFERENCE_FIELDS if kind == "corrected" else KINDS[kind].fields
    return [(name, f"{check.noun}:{values[name]}") for name, check in fields.items() if isinstance(check, Reference) and values.get(name)]
