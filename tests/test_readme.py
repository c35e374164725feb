"""The README's ten lines name buttons and pages as they are named on the screen."""

from __future__ import annotations

import re
from pathlib import Path

from catalogue import gathered

ROOT = Path(__file__).parents[1]
WEB = ROOT / "src" / "scionary" / "web"


def names_in_ten_lines() -> list[str]:
    """What stands in bold or italics, each step of a way by itself."""
    section = (ROOT / "README.md").read_text(encoding="utf-8").split("## A first season in ten lines")[1].split("\n## ")[0]
    lines = re.split(r"^\d+\. ", section.split("\n\nThe same")[0], flags=re.MULTILINE)[1:]
    assert len(lines) == 10
    found = (name for line in lines for name in re.findall(r"\*{1,2}([^*]+)\*{1,2}", line))
    return [step.strip() for name in found for step in name.split("→")]


def test_every_name_in_the_ten_lines_stands_on_a_page() -> None:
    texts = {message.id for message in gathered(WEB)}
    assert [name for name in names_in_ten_lines() if name not in texts] == []
