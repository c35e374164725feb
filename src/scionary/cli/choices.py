"""Choices as they are typed: with hyphens, spaces or underscores alike, and refused by the option's own name."""

from __future__ import annotations

from collections.abc import Iterable

from scionary.errors import BadValue, Refused


def stage_meant(typed: str | None) -> str | None:
    """The stage that is meant; None when none was typed."""
    from scionary.answers.take_model import STAGES

    return None if typed is None else _chosen("--stage", typed, STAGES)


def factor_meant(typed: str) -> str:
    """The factor that is meant."""
    from scionary.answers.take_facts import FACTORS

    return _chosen("--by", typed, FACTORS)


def rate_meant(typed: str | None, factor: str) -> str | None:
    """The kind of rate that is meant; None when none was typed."""
    from scionary.answers.rates import PAST, kinds_of
    from scionary.answers.take_facts import FACTORS

    past = f"; a {FACTORS[factor]} that is past has no other" if factor in PAST else ""
    return None if typed is None else _chosen("--rate", typed, kinds_of(factor), past)


def light_meant(typed: str) -> str:
    """Where a label hangs; empty when nothing was typed."""
    return _chosen("--light", typed, ("sun", "shade")) if typed else ""


def light_source(typed: str | None) -> str:
    """What shines on a logger's column of light: the sun when nothing was typed."""
    from scionary.answers.air_light import LIGHT_SOURCES

    return _chosen("--light", typed, LIGHT_SOURCES) if typed else LIGHT_SOURCES[0]


def care_meant(typed: str) -> str:
    """What was done with the leaves of scions; empty when nothing was typed."""
    from scionary.book.kinds import SCION_CARE

    return _chosen("--care", typed, SCION_CARE) if typed else ""


def wood_meant(typed: str | None) -> str | None:
    """The stage of a mother tree's wood; None when none was typed."""
    from scionary.book.kinds import WOOD_STAGES

    return None if typed is None else _chosen("--wood", typed, WOOD_STAGES)


def yes_or_no(option: str, typed: str | None) -> bool | None:
    """An answer; None when none was typed."""
    return None if typed is None else _chosen(option, typed, ("yes", "no")) == "yes"


def columns_named(typed: list[str] | None) -> dict[str, str]:
    """What each quantity's column is headed, from 'Temp 2=temperature'; a number counts columns from 1."""
    found: dict[str, str] = {}
    for text in typed or []:
        header, sign, role = text.rpartition("=")
        if not sign or not header.strip() or not role.strip():
            raise Refused(f"{text!r} names no column.", where="--column", remedy="Write HEADER=WHAT: 'Temp 2=temperature'.")
        found[role.strip()] = header.strip()
    return found


def _chosen(option: str, typed: str, choices: Iterable[str], more: str = "") -> str:
    allowed = list(choices)
    meant = "_".join(typed.strip().casefold().replace("-", " ").replace("_", " ").split())
    if meant not in allowed:
        raise BadValue(option, typed, ", ".join(choice.replace("_", "-") for choice in allowed) + more)
    return meant
