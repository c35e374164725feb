"""A whole season through the commands, on a real book file, from old records to the next plan.

At the end the pages of the same book are asked for the same numbers.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from served import ask, fetch, run, serving

pytestmark = [pytest.mark.slow, pytest.mark.own_book]
DATA = Path(__file__).parents[1] / "data"


class Season:
    """One book file, and the commands typed on it, each in a process of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def run(self, *arguments: str, code: int = 0) -> str:
        return run(self.folder, *arguments, code=code)

    def ask(self, *arguments: str, code: int = 0) -> Any:
        return ask(self.folder, *arguments, code=code)


@pytest.fixture
def season(tmp_path: Path) -> Season:
    return Season(tmp_path)


def test_a_season_from_old_records_to_the_next_plan(season: Season, tmp_path: Path) -> None:
    # history: looked at first, then taken in
    old = str(DATA / "past_counts.xlsx")
    seen = season.ask("import", old, code=1)
    assert seen["not_understood"] == 5
    season.run("import", old, "--stage", "in_leaf", "--accept", code=2)  # rows not understood are not left out unasked
    assert season.ask("findings")["overall"]["grafts"] == 0
    season.run("import", old, "--stage", "in_leaf", "--accept", "--skip-not-understood", code=2)  # nor near names made one unasked
    assert season.ask("findings")["overall"]["grafts"] == 0
    alike = "side veneer=Side veneer, dormant, winter"
    season.run("import", old, "--stage", "in_leaf", "--accept", "--skip-not-understood", "--same", "Red Tam=Red Tam", "--same", alike)
    history = season.ask("findings", "--stage", "in_leaf")
    assert (history["overall"]["takes"], history["overall"]["grafts"]) == (58, 78)

    # wishes, and what they need
    plan = season.ask("plan", "12 Red Tarn", "4 Lanthorn", "--season", "2025", "--on", "2025-02-01", "--take")
    red = next(line for line in plan["lines"] if line["name"] == "Red Tarn")
    assert red["counted"] == "8 of 10"
    assert red["grafts"] > red["by_rate"] == 15

    # the bench day, with labels and a card for the dome
    made = season.ask("bench", "Red Tarn", "6", "--dome", "Dome 1", "--lot", "26-A", "--method", "side graft", "--on", "2025-02-10")[
        "plants"
    ]
    season.run("bench", "Lanthorn", "4", "--dome", "Dome 1", "--method", "side graft", "--on", "2025-02-10")
    season.run("labels", "--dome", "Dome 1", "--out", str(tmp_path / "labels.pdf"))
    season.run("labels", "--card", "--dome", "Dome 1", "--out", str(tmp_path / "card.pdf"))
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF")

    # due after a week; the round; the logger
    assert any("look in" in line["what"] for line in season.ask("due", "--on", "2025-02-17")["lines"])
    season.run("round", "Dome 1", "1=drops", "rest=unchanged", "--water", "--on", "2025-02-17")
    assert season.ask("due", "--on", "2025-02-17")["lines"] == []
    season.run("import", str(DATA / "loggers" / "dome_1_iso.csv"), "--as", "logger", "--dome", "Dome 1", "--accept")
    assert season.ask("air", "--dome", "Dome 1", "--on", "2026-12-31")["report"]["readings"] > 10

    # who took
    season.run(
        "round", "Dome 1", *[f"{i}=firm" for i in range(1, 8)], *[f"{i}=lost" for i in range(8, 11)], "--vent", "33", "--on", "2025-03-13"
    )
    firm = season.ask("findings", "--stage", "firm")
    assert (firm["overall"]["takes"], firm["overall"]["grafts"]) == (8, 11)  # with the one past plant, which was in leaf and so firm
    found = season.ask("find", made[0]["code"][:5] + "??")
    assert (found["status"], found["plants"][0]["spoken"]) == ("recovered", "Red Tarn 1")

    # next spring, and the next plan
    season.run("round", "Dome 1", *[f"{i}=in-leaf" for i in range(1, 7)], "7=not-in-leaf", "--on", "2026-05-20")
    leaf = season.ask("findings", "--stage", "in_leaf")
    assert (leaf["overall"]["takes"], leaf["overall"]["grafts"]) == (64, 88)
    following = season.ask("plan", "12 Red Tarn", "--season", "2027", "--on", "2026-11-21")
    line = following["lines"][0]
    assert line["counted"] == "14 of 16"
    assert "Nothing differed." in season.run("rebuild")

    # the pages of the same book show the same numbers
    with serving(tmp_path) as address:
        findings = fetch(f"{address}/findings/?stage=in_leaf")[2]
        assert "64 of 88" in findings
        assert "14 of 16" in findings
        assert f"graft {line['grafts']}" in " ".join(fetch(f"{address}/plan/?season=2027")[2].split())
