"""Each field that a record may hold, in words: what it is called, and what it says."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

from scionary.answers.chances import sign_words
from scionary.answers.due_step_words import step_words
from scionary.answers.tree_looks import STAGE_WORDS
from scionary.answers.words import short_day
from scionary.book.chances import chance_words
from scionary.book.kinds import REFERENCE_FIELDS
from scionary.book.models import Nursery, ScionBag
from scionary.language import Words, mark, say
from scionary.names import code_of, grouped
from scionary.units import length_words

Names = Mapping[str, str]
LENGTHS = ("scion_mm", "stock_mm", "cut_mm", "lean_mm", "height_mm", "water_mm", "thickness_mm", "foot_mm", "top_mm", "depth_mm")
FIELD_NAMES = Words(
    {
        "scion_mm": mark("scion"),
        "stock_mm": mark("stock"),
        "cut_mm": mark("cut"),
        "lean_mm": mark("leaned by"),
        "height_mm": mark("height"),
        "water_mm": mark("water"),
        "litres": mark("water, litres"),
        "thickness_mm": mark("thickness"),
        "foot_mm": mark("off at the foot"),
        "top_mm": mark("off at the top"),
        "depth_mm": mark("off in depth"),
        "open_pct": mark("open, %"),
        "lot": mark("stock lot"),
        "tree": mark("mother tree"),
        "bench": mark("bench day"),
        "stands": mark("where"),
        "happened_at": mark("when"),
        "nodes_left": mark("nodes left"),
        "running_number": mark("number"),
        "number": mark("number in the row"),
        "used": mark("used up"),
        "sticks": mark("sticks"),
        "care": mark("leaves"),
        "stage": mark("wood"),
        "soaked": mark("watered through"),
        "firm_at_dawn": mark("leaves firm at dawn"),
        "leaves_dry": mark("leaves dry"),
        "line": mark("about"),
        "until": mark("until"),
        "photo": mark("photo"),
        "label_says": mark("its label says"),
        "label_medium": mark("label written with"),
        "medium": mark("written with"),
        "label_light": mark("label hangs in"),
        "light": mark("hangs in"),
        "code_number": mark("code"),
        "cultivar": mark("cultivar"),
        "method": mark("method"),
        "dome": mark("dome"),
        "place": mark("place"),
        "pot": mark("pot"),
        "bag": mark("bag"),
        "grafter": mark("grafter"),
        "sign": mark("sign"),
        "answer": mark("answer"),
        "seen": mark("seen"),
        "how": mark("how"),
        "price": mark("price"),
        "product": mark("product"),
        "reason": mark("reason"),
        "cause": mark("cause"),
        "chance": mark("chance"),
        "count": mark("count"),
        "note": mark("note"),
        "precision": mark("precision"),
    }
)
_CHOICES = Words(
    {
        "sun": mark("sun"),
        "shade": mark("shade"),
        "yes": mark("yes"),
        "no": mark("no"),
        "unsure": mark("unsure"),
        "sale": mark("sale"),
        "gift": mark("gift"),
        "other": mark("other"),
        "changed": mark("changed"),
        "disinfected": mark("disinfected"),
        "put_off": mark("put off"),
        "not_needed": mark("not needed"),
        "day": mark("day"),
        "month": mark("month"),
        "year": mark("year"),
    }
)
_SIGNS = Words(
    {
        "stalk_drops": mark("stalk drops"),
        "bud_moving": mark("bud moving"),
        "callus_seen": mark("callus seen"),
        "firm": mark("firm"),
        "growing": mark("growing"),
        "in_leaf": mark("in leaf"),
    }
)
_CHOSEN = ("light", "label_light", "answer", "how", "precision", "used", "soaked", "firm_at_dawn", "leaves_dry")


def field_name(name: str) -> str:
    return FIELD_NAMES.get(name, name.replace("_", " "))


def field_words(name: str, value: Any, names: Names, nursery: Nursery) -> str:
    """Stock: 6.8 mm."""
    return f"{field_name(name)}: {value_words(name, value, names, nursery)}"


def value_words(name: str, value: Any, names: Names, nursery: Nursery) -> str:
    """What a field says, in the reader's words and units; a noun by its name."""
    if value is None:
        return say("emptied")
    if name in LENGTHS:
        return length_words(float(value), nursery.length_unit)
    if name == "happened_at":
        return datetime.fromisoformat(value).astimezone(nursery.zone).date().isoformat()
    if name in _SAID_BY:
        return _SAID_BY[name](value)
    if name in REFERENCE_FIELDS:
        return names.get(str(value), say("not in this book"))
    return f"{value:g}" if isinstance(value, float) else str(value)


def _chosen(value: Any) -> str:
    return _CHOICES.get(str(value), str(value))


def _cared(value: Any) -> str:
    return str(dict(ScionBag.Care.choices).get(value, value))


def _day(value: Any) -> str:
    """15 Jul 2026; what is no day as it stands."""
    try:
        return short_day(date.fromisoformat(value))
    except ValueError:
        return str(value)


_SAID_BY: dict[str, Callable[[Any], str]] = {
    **dict.fromkeys(_CHOSEN, _chosen),
    "code_number": lambda value: grouped(code_of(int(value))),
    "chance": lambda value: chance_words(float(value)),
    "care": _cared,
    "stage": lambda value: STAGE_WORDS.get(value, str(value)),
    "seen": lambda value: sign_words(str(value)),
    "sign": lambda value: _SIGNS.get(value, say(str(value))),
    "cause": lambda value: say(str(value)),
    "line": lambda value: step_words(str(value)),
    "until": _day,
}
