"""What the lines of Due are about, in few words: as a put-off line and a record of it say it."""

from __future__ import annotations

from scionary.language import Words, mark

STEP_WORDS = Words(
    {
        "water": mark("Water"),
        "vent": mark("Vents"),
        "check": mark("A look"),
        "firm": mark("Which are firm"),
        "look": mark("A first look at unions"),
        "air": mark("Its air"),
        "heat": mark("Tomorrow's heat"),
        "shade": mark("Shade"),
        "dry": mark("Water"),
        "head_back": mark("Heading back"),
        "untie": mark("Untying"),
        "in_leaf": mark("Which are in leaf"),
        "pot_on": mark("Potting on"),
        "again": mark("Grafting again"),
        "label": mark("Writing labels again"),
        "records": mark("Records that disagree"),
        "names": mark("Names in leaf"),
        "stock": mark("Stocks to order"),
        "wood": mark("Scion wood to find"),
        "cut": mark("Cutting scions"),
        "graft": mark("Grafting by the plan"),
        "water_tree": mark("Watering mother trees"),
    }
)


def step_words(step: str) -> str:
    """What a line was about, in few words."""
    return STEP_WORDS.get(step, step.replace("_", " ").capitalize())
