"""Writes into a book without end, and prints what was acknowledged: one line a transaction, after its commit.

Each line is JSON: the ids of the events, how many subjects each has, and the word that marks their batch. It is
killed from outside; nothing here knows when.
"""

from __future__ import annotations

import json
import random
import sys
from datetime import UTC, datetime, timedelta
from typing import Any

from scionary.book.opening import open_book

NOW = datetime(2026, 2, 14, 10, 30, tzinfo=UTC)


def write_for_ever(seed: int) -> None:
    """Grafts in threes, a move of many plants at once, corrections, readings: what a season writes."""
    from scionary.book.commands import GraftSetup, cultivar_called, undo, write_grafts
    from scionary.book.models import Event, Plant
    from scionary.book.record import NewEvent, record_events

    chance = random.Random(seed)
    cultivar = cultivar_called("Red Tarn", now=NOW)
    turn = 0
    while True:
        turn += 1
        moment, word = NOW + timedelta(minutes=turn), f"batch {seed} {turn}"
        device = f"device {seed % 3}"
        if turn % 3 == 1:
            written = write_grafts(GraftSetup(cultivar.pk, moment, note=word), 3, now=NOW, device=device)
            say(word, {str(ident): 2 for ident in written.events})
        elif turn % 3 == 2:
            plants = chance.sample(list(Plant.objects.order_by("-code_number").values_list("id", flat=True)[:30]), 3)
            keys = tuple(f"plant:{ident}" for ident in plants)
            events = [NewEvent("moved", moment, keys, {"note": word, "place": place}) for place in (1, 2, 3)]
            say(word, {str(answer.id): 3 for answer in record_events(events, now=NOW)})
        else:
            ident = chance.choice(list(Event.objects.filter(kind="moved").order_by("-id").values_list("id", flat=True)[:9]))
            say("", {str(undo(ident, now=moment, device=device).id): 3})


def say(word: str, events: dict[str, Any]) -> None:
    print(json.dumps({"word": word, "events": events}), flush=True)


if __name__ == "__main__":
    open_book(now=NOW)
    print("open", flush=True)
    write_for_ever(int(sys.argv[1]))
