"""Every command explains itself, with an example, and starts without the heavy libraries."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scionary.cli.program import program

COMMANDS = sorted(
    [c.name or c.callback.__name__ for c in program.registered_commands if not c.hidden and c.callback]
    + [
        f"{group.name or group.typer_instance.info.name} {c.name or c.callback.__name__}"
        for group in program.registered_groups
        if group.typer_instance
        for c in group.typer_instance.registered_commands
        if c.callback
    ]
)
PROMISED = set(
    "demo serve due plan bench labels round air findings find import export backup restore rebuild".split()  # noqa: SIM905
) | {"trial new", "trial show", "trial list", "trial sheet", "trial skip"}
SHOWING = ["demo", "due", "plan", "bench", "round", "air", "findings", "find", "import", "trial new", "trial show", "trial list"]


def test_all_promised_commands_are_there() -> None:
    assert set(COMMANDS) >= PROMISED


@pytest.mark.parametrize("command", COMMANDS)
def test_help_has_an_example(scionary: Callable[..., Any], command: str) -> None:
    shown = scionary(*command.split(), "--help")
    assert shown.code == 0
    assert f"scionary {command}" in shown.out.split("Example:")[1]


@pytest.mark.parametrize("command", SHOWING)
def test_what_shows_something_shows_it_as_json_too(scionary: Callable[..., Any], command: str) -> None:
    assert "--json" in scionary(*command.split(), "--help").out


def test_an_unknown_option_is_refused_with_code_2(scionary: Callable[..., Any]) -> None:
    assert scionary("due", "--tomorrow").code == 2


def test_help_loads_neither_django_nor_numpy() -> None:
    probe = "\n".join(
        [
            "import sys",
            "from scionary.cli import main",
            "try:",
            "    main(['--help'])",
            "except SystemExit:",
            "    print({'django', 'numpy', 'scipy'} & set(sys.modules))",
        ]
    )
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert done.stdout.endswith("set()\n")


def test_the_pages_start_without_what_only_some_answers_compute_with() -> None:
    """They are there a second sooner, as is every command: an engine reads scipy in once it computes with it."""
    probe = "\n".join(
        [
            "import os, sys",
            "os.environ['DJANGO_SETTINGS_MODULE'] = 'scionary.settings'",
            "from scionary.web.wsgi import application",
            "from django.urls import get_resolver",
            "assert get_resolver().url_patterns",
            "import scionary.answers.tasks, scionary.cli.program",
            "print({'scipy', 'highspy', 'numba', 'reportlab', 'PIL'} & {name.partition('.')[0] for name in sys.modules})",
        ]
    )
    surroundings = {**os.environ, "SCIONARY_SECRET_KEY": "only-for-tests"}
    done = subprocess.run([sys.executable, "-c", probe], env=surroundings, capture_output=True, text=True, check=True)
    assert done.stdout == "set()\n"


def test_every_command_has_a_line_in_the_reference() -> None:
    reference = (Path(__file__).parents[2] / "docs" / "commands.md").read_text(encoding="utf-8")
    assert [command for command in COMMANDS if f"| `scionary {command}` |" not in reference] == []
