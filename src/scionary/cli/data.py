"""Commands for files in and out: import, export, backup, restore, rebuild."""

from __future__ import annotations

import typer

from scionary.cli.terminal import opened, say


def rebuild() -> None:
    """Make every present state again from the events alone, and say whether anything differed. Exit code 1 when it did.

    Example: scionary rebuild
    """
    opened()
    from scionary.book.projection import columns
    from scionary.book.projection import rebuild as rebuild_columns

    before = columns()
    counts = rebuild_columns()
    same = before == columns()
    say(f"Rebuilt from events: {', '.join(f'{count} {name}' for name, count in counts.items())}.")
    if not same:
        say("Something differed and is mended now. The events are untouched; please keep a backup from before and report it.")
        raise typer.Exit(1)
    say("Nothing differed.")


def add_to(program: typer.Typer) -> None:
    program.command()(rebuild)
