"""Time zones as people look for them: by their town."""

from __future__ import annotations

import zoneinfo
from functools import lru_cache

_NOT_OFFERED = ("Etc/", "SystemV/", "posix/", "right/")


@lru_cache(maxsize=1)
def zone_names() -> tuple[str, ...]:
    """The zones that are offered: those of a town, and UTC."""
    towns = (name for name in zoneinfo.available_timezones() if "/" in name and not name.startswith(_NOT_OFFERED))
    return ("UTC", *sorted(towns))


def zone_meant(typed: str) -> str:
    """The zone of a town, when only one has it: "Melbourne" is Australia/Melbourne; else what was typed."""
    wanted = _folded(typed)
    whole = [name for name in zone_names() if _folded(name) == wanted]
    found = whole or [name for name in zone_names() if _folded(name.rpartition("/")[2]) == wanted]
    return found[0] if len(found) == 1 else typed


def _folded(name: str) -> str:
    return " ".join(name.replace("_", " ").casefold().split())
