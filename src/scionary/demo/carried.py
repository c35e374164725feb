"""What carries something from plant to plant at Tarn Bridge: a young mother tree, blades; and plants set apart for a while."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from uuid import UUID

from scionary.book.record import NewEvent
from scionary.demo.diary import Diary
from scionary.demo.grafts import MINUTES_A_GRAFT
from scionary.demo.ground import Ground
from scionary.demo.seasons import Filling
from scionary.demo.tarn_bridge import OLD_TREE, YOUNG_CULTIVAR, YOUNG_TREE

_GONE = frozenset({"lost", "left"})
_SCORED_IN_LEAF = {"sign": "in_leaf", "answer": "yes"}
_APART_DAYS = 18
_SET_APART = 3
_CLEAN_AFTER = 5  # grafts; the growers do it about so often, and forget to write it down every third time


def clean_blades(diary: Diary, ground: Ground, fillings: Iterable[Filling]) -> None:
    """Between the grafts of a session the blade is disinfected, and now and then changed."""
    for session, filling in enumerate(fillings):
        for count in range(_CLEAN_AFTER, filling.grafts, _CLEAN_AFTER):
            turn = session + count // _CLEAN_AFTER
            if turn % 3 == 2:
                continue
            payload = {"how": "changed" if turn % 3 else "disinfected", "grafter": filling.grower}
            moment = diary.at(filling.day, 9, count * MINUTES_A_GRAFT + MINUTES_A_GRAFT // 2)
            diary.write("blade_cleaned", moment, f"bench:{ground.bench[filling.key]}", payload, who=filling.grower)


def cut_from_young_tree(diary: Diary, ground: Ground, since: date) -> UUID | None:
    """One sound plant of the cultivar became a mother tree; grafts since that day took its wood instead of the old pot's.

    Gives the plant back; None, and nothing is changed, where no plant is known to have come into leaf.
    """
    events = diary.events()
    parent = _parent(events, str(ground.cultivar[YOUNG_CULTIVAR]), since)
    if parent is None:
        return None
    old, young = str(ground.tree[OLD_TREE]), str(ground.tree[YOUNG_TREE])
    for event in events:
        if event.payload.get("tree") == old and event.happened_at.date() >= since:
            event.payload["tree"] = young
    return UUID(parent.removeprefix("plant:"))


def set_apart(diary: Diary) -> None:
    """Three plants stood in quarantine until somebody had looked at them twice; a name was doubted until it leafed out again."""
    events = diary.events()
    gone = {event.subjects[0] for event in events if event.kind in _GONE}
    said = (e for e in events if e.kind == "scored" and _says(e.payload, {"sign": "firm", "answer": "yes"}) and e.subjects[0] not in gone)
    firm = [e for e in said if e.happened_at + timedelta(days=_APART_DAYS + 1) <= diary.until]
    for event in firm[-_SET_APART:]:
        begin = event.happened_at + timedelta(hours=2)
        diary.write("quarantined", begin, event.subjects[0], {"reason": "dark spots on the shoots"}, who=event.who)
        diary.write(
            "released", begin + timedelta(days=_APART_DAYS), event.subjects[0], {"reason": "looked at twice, nothing new"}, who=event.who
        )
    leafed = next((e for e in events if e.kind == "scored" and _says(e.payload, _SCORED_IN_LEAF) and e.subjects[0] not in gone), None)
    if leafed is not None:
        begin = leafed.happened_at + timedelta(hours=1)
        diary.write("name_doubted", begin, leafed.subjects[0], {"reason": "redder than its tree"}, who=leafed.who)
        ended = {"reason": "second flush like its tree"}
        diary.write("name_doubt_ended", begin + timedelta(days=40), leafed.subjects[0], ended, who=leafed.who)


def _parent(events: list[NewEvent], cultivar: str, before: date) -> str | None:
    """The first plant of this cultivar that was seen in leaf before a day, and stayed."""
    gone = {event.subjects[0] for event in events if event.kind in _GONE}
    grafted = {event.subjects[0] for event in events if event.kind == "grafted" and event.payload["cultivar"] == cultivar}
    seen = (e for e in events if e.kind == "scored" and _says(e.payload, _SCORED_IN_LEAF) and e.happened_at.date() < before)
    return next((event.subjects[0] for event in seen if event.subjects[0] in grafted - gone), None)


def _says(payload: Mapping[str, object], wanted: Mapping[str, object]) -> bool:
    return all(payload.get(name) == value for name, value in wanted.items())
