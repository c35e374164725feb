"""Rows as JSON can hold them, and back again."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any, TypeVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import models

from scionary.language import say

M = TypeVar("M", bound=models.Model)


def as_plain(row: models.Model, *, without: Iterable[str] = ()) -> dict[str, Any]:
    """The values of a row's own columns, with dates, ids and exact numbers as text."""
    names = [field.attname for field in row._meta.concrete_fields if field.attname not in without]
    return {name: _plain(getattr(row, name)) for name in names}


def from_plain(model: type[M], values: dict[str, Any]) -> M:
    """An unsaved row from such values; a column that is not among them has its default.

    Raises `ValueError` when a name or value does not fit.
    """
    fields = {field.attname: field for field in model._meta.concrete_fields}
    if unknown := set(values) - set(fields):
        raise ValueError(say("no column is called {min}", min=min(unknown)))
    try:
        return model(**{name: _value(fields[name], value) for name, value in values.items()})
    except ValidationError as error:
        raise ValueError(str(error)) from error


def _plain(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(value, UUID | Decimal) else value


def _value(field: models.Field[Any, Any], value: Any) -> Any:
    target = field.target_field if isinstance(field, models.ForeignKey) else field
    return None if value is None else target.to_python(value)
