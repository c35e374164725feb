"""A schedule as JSON holds it, and back: frozen values, dates as text, tuples as lists."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from functools import cache
from types import UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")


def to_plain(value: Any) -> Any:
    """Everything as JSON can hold it; numbers without an end are None."""
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: to_plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict):
        return {str(key): to_plain(each) for key, each in value.items()}
    if isinstance(value, tuple | list):
        return [to_plain(each) for each in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value


def from_plain(kind: type[T], data: Any) -> T:
    """The value of a kind that `to_plain` wrote; fields that an older program did not write have their defaults."""
    hints = _hints(kind)  # type: ignore[arg-type]
    return kind(**{name: _back(hints[name], each) for name, each in data.items() if name in hints})


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _back(hint: Any, value: Any) -> Any:
    if value is None or hint is Any:
        return value
    origin = get_origin(hint)
    if origin in (Union, UnionType):
        return _back(next(each for each in get_args(hint) if each is not type(None)), value)
    if origin is tuple:
        return tuple(_back(get_args(hint)[0], each) for each in value)
    if is_dataclass(hint):
        return from_plain(hint, value)  # type: ignore[arg-type]
    if hint is datetime:
        return datetime.fromisoformat(value)
    return date.fromisoformat(value) if hint is date else value
