"""The method that a person most likely means when none is said."""

from __future__ import annotations

from datetime import date, timedelta

from scionary.answers.growing_year import in_leaf_season
from scionary.book.models import BenchDay, Method, Nursery

_LATELY_DAYS = 60


def method_for(day: date, nursery: Nursery) -> Method | None:
    """The method of the last bench day when that is not long ago, else a leafy one while trees are in leaf and a dormant one otherwise."""
    last = lately_at_the_bench(day)
    return last.method if last else season_method(day, nursery)


def lately_at_the_bench(day: date) -> BenchDay | None:
    """The last bench day of which the method is known, when that is not long ago."""
    lately = BenchDay.objects.filter(day__gte=day - timedelta(days=_LATELY_DAYS), day__lte=day).exclude(method=None)
    return lately.select_related("method").order_by("-day", "-id").first()


def season_method(day: date, nursery: Nursery) -> Method | None:
    """A leafy method while trees are in leaf, a dormant one otherwise; the first of any kind when there is none of that kind."""
    methods = list(Method.objects.filter(retired=False).order_by("name"))
    leafy = in_leaf_season(day, nursery.latitude_deg)
    return next((method for method in methods if method.leafy == leafy), methods[0] if methods else None)
