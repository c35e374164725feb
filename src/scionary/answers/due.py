"""What is due: each line says what, why, since when, and what it rests on. At most five stand first."""

from __future__ import annotations

from datetime import date

from scionary.answers.dome_opening import with_opening
from scionary.answers.domes import DomeAnswer, dome_answers
from scionary.answers.due_bench import bench_lines, coming_bench
from scionary.answers.due_callus import coming_looks, look_lines
from scionary.answers.due_cutting import cutting_lines
from scionary.answers.due_domes import again_lines, ahead_lines, air_lines, dome_lines
from scionary.answers.due_lines import DueAnswer, DueLine
from scionary.answers.due_outlook import outlook_lines
from scionary.answers.due_plants import label_lines, name_lines, plant_lines
from scionary.answers.due_supplies import supply_lines
from scionary.answers.early_signs import one_reading
from scionary.answers.learned import at_hand
from scionary.answers.put_off import SetAsides, set_asides
from scionary.answers.words import listed, plural
from scionary.book import queries
from scionary.book.models import KeptAside, Nursery, Plant
from scionary.language import say

# Air and domes before plants before paper.
_RANK = {"air": 0, "heat": 0, "dry": 1, "shade": 1, "records": 3, "stock": 3, "wood": 3, "names": 4, "label": 4}
_RANK |= dict.fromkeys(("vent", "water", "check", "firm", "look", "cut", "water_tree"), 1)


def due(*, today: date) -> DueAnswer:
    """Everything due by today and in the coming week, from after-care data, events and the loggers."""
    with one_reading():
        return at_hand("due", today, lambda: _due(today))


def _due(today: date) -> DueAnswer:
    nursery, asides = queries.nursery(), set_asides()
    domes = [with_opening(answer, nursery, today) for answer in dome_answers(today=today)]
    lines = [line for answer in domes for line in dome_lines(answer, asides, today)]
    lines += air_lines(domes, asides, nursery, today)
    lines += outlook_lines(domes, asides, nursery, today)
    lines += look_lines(domes, asides, nursery, today)
    lines += again_lines(domes, asides, today)
    lines += plant_lines(nursery, asides, today)
    lines += name_lines(asides, today)
    lines += label_lines(nursery, asides, today)
    lines += supply_lines(nursery, asides, today)
    lines += cutting_lines(nursery, asides, today)
    lines += bench_lines(nursery, asides, today)
    lines += _record_lines(nursery, asides, today)
    ahead = [line for answer in domes for line in ahead_lines(answer, today)]
    ahead += coming_looks(domes, nursery, today)
    ahead += coming_bench(nursery, today)
    return DueAnswer(today, sorted(lines, key=_pressing), sorted(ahead, key=lambda line: line.when))


def dome_due(answer: DomeAnswer, *, today: date) -> list[DueLine]:
    """What is due for one dome alone, the most pressing first."""
    asides, nursery = set_asides(), queries.nursery()
    air = [*air_lines([answer], asides, nursery, today), *outlook_lines([answer], asides, nursery, today)]
    air += look_lines([answer], asides, nursery, today)
    return sorted([*dome_lines(with_opening(answer, nursery, today), asides, today), *air], key=_pressing)


def _pressing(line: DueLine) -> tuple[float, date]:
    """By rank, the longest overdue first; vents to close come right behind heat."""
    if line.event == ("vented", {"open_pct": 0.0}):
        return (0.5, line.when)
    return (_RANK.get(line.step, 2), line.when)


def _record_lines(nursery: Nursery, asides: SetAsides, today: date) -> list[DueLine]:
    lines = []
    found = queries.plants().exclude(disputed=[]).exclude(state=Plant.State.LEFT)
    disputed = [plant for plant in found if not asides.hides(plant.key, "records", None, today)]
    if disputed:
        what = say("Settle what two records say differently: {plants}", plants=listed([p.spoken for p in disputed], most=4))
        lines.append(DueLine("records", what, say("Until then neither counts."), today, 0, say("corrections in the book")).of(disputed))
    newest = KeptAside.objects.order_by("-received_at").values_list("received_at", flat=True).first()
    if newest is not None and not asides.hides(nursery.key, "records", newest, today):
        what = say("Look at {records} kept aside", records=plural(KeptAside.objects.count(), "record"))
        lines.append(DueLine("records", what, say("They came under the number of another record."), today, 0, say("records kept aside")))
    return lines
