"""Histories that Hypothesis draws: sets of events by two devices, with corrections of all sorts, in any order."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from hypothesis import strategies as st

from scionary.book.record import NewEvent

NOW = datetime(2026, 2, 14, 10, 30, tzinfo=UTC)
PLANTS = [UUID(int=number) for number in (0xA1, 0xA2, 0xA3)]
DEVICES = ("phone", "laptop")


def event_id(number: int) -> UUID:
    return UUID(int=0x0190_0000_0000_7000_8000_0000_0000_0000 + number)


def _plain(cultivars: Sequence[str], domes: Sequence[str]) -> st.SearchStrategy[tuple[str, dict[str, Any]]]:
    """(kind, payload) of what can happen to a plant."""
    dome, cultivar = st.sampled_from(domes), st.sampled_from(cultivars)
    signs, answers = st.sampled_from(["firm", "growing", "in_leaf", "stalk_drops"]), st.sampled_from(["yes", "no", "unsure"])
    choices: dict[str, st.SearchStrategy[dict[str, Any]]] = {
        "grafted": st.fixed_dictionaries(
            {"cultivar": cultivar}, optional={"dome": dome, "place": st.integers(1, 3), "code_number": st.integers(0, 9)}
        ),
        "regrafted": st.fixed_dictionaries({}, optional={"cultivar": cultivar, "dome": dome}),
        "moved": st.fixed_dictionaries(
            {}, optional={"dome": dome, "place": st.integers(1, 3), "stands": st.sampled_from(["bench", "tunnel"])}
        ),
        "observed": st.fixed_dictionaries({"seen": st.sampled_from(["missing", "found", "wilting", "name_in_doubt"])}),
        "scored": st.fixed_dictionaries({"sign": signs, "answer": answers}),
        "lost": st.fixed_dictionaries({}, optional={"cause": st.sampled_from(["mould", "dry"])}),
        "left": st.fixed_dictionaries({"how": st.sampled_from(["sale", "gift"])}),
        "relabelled": st.fixed_dictionaries({}, optional={"running_number": st.integers(1, 3)}),
        "name_confirmed": st.fixed_dictionaries({}, optional={"cultivar": cultivar}),
        "name_inferred": st.fixed_dictionaries({"chance": st.sampled_from([0.5, 0.93])}),
        "name_doubted": st.just({"reason": "redder than its tree"}),
        "name_doubt_ended": st.just({}),
        "quarantined": st.just({"reason": "dark spots"}),
        "wintered_in": st.fixed_dictionaries({}, optional={"stands": st.just("tunnel")}),
        "untied": st.just({}),
    }
    return st.sampled_from(["grafted", *choices]).flatmap(lambda kind: choices[kind].map(lambda payload: (kind, payload)))


_DOME_EVENTS = st.one_of(
    st.just(("watered", {})),
    st.sampled_from([0, 33, 67, 100]).map(lambda pct: ("vented", {"open_pct": pct})),
    st.just(("observed", {})),
)


def _replacements(domes: Sequence[str]) -> st.SearchStrategy[dict[str, Any] | None]:
    """None undoes; some replacements do not fit the kind that they meet, as may happen when a correction comes first."""
    day = st.integers(0, 6).map(lambda days: (NOW + timedelta(days=days)).isoformat())
    fields = {
        "dome": st.sampled_from([*domes, None]),
        "place": st.integers(1, 3),
        "answer": st.sampled_from(["yes", "no"]),
        "happened_at": day,
    }
    some = st.fixed_dictionaries({}, optional=fields).filter(bool)
    return st.one_of(st.none(), some)


@st.composite
def histories(
    draw: st.DrawFn, cultivars: Sequence[str], domes: Sequence[str], *, longest: int = 14, fitting: bool = False
) -> list[NewEvent]:
    """A set of events with ids 0, 1, 2 …; corrections name any of them, themselves and each other in circles included.

    With `fitting`, corrections only undo, so that none is refused for a field that its target does not have.
    """
    size = draw(st.integers(1, longest))
    events: list[NewEvent] = []
    for number in range(size):
        moment = NOW + timedelta(days=draw(st.integers(0, 6)))
        device = draw(st.sampled_from(DEVICES))
        what = draw(st.sampled_from(["plant", "plant", "plant", "dome", "correction", "correction"]))
        if what == "plant":
            kind, payload = draw(_plain(cultivars, domes))
            subject = f"plant:{draw(st.sampled_from(PLANTS))}"
        elif what == "dome":
            kind, payload = draw(_DOME_EVENTS)
            subject = f"dome:{draw(st.sampled_from(domes))}"
        else:
            kind, subject = "corrected", f"plant:{draw(st.sampled_from(PLANTS))}"
            payload = {"target": str(event_id(draw(st.integers(0, size - 1))))}
            replace = None if fitting else draw(_replacements(domes))
            if replace:
                payload["replace"] = replace
            known = draw(st.lists(st.integers(0, size - 1), max_size=3))
            if known:
                payload["knew"] = [str(event_id(other)) for other in known]
        events.append(NewEvent(kind, moment, (subject,), payload, event_id(number), device=device))
    return events
