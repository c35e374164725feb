"""All commands under one name."""

from __future__ import annotations

from typing import Annotated

import typer

from scionary.cli import (
    air,
    bench,
    data,
    domes,
    importing,
    leaf_names,
    leaving,
    looking,
    names,
    paper,
    serving,
    sharing,
    spread,
    tray,
    trials,
    union,
    weather,
    yard,
)

program = typer.Typer(
    name="scionary",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Plans, records, computes and learns for people who graft trees. The book is one file on this machine; SCIONARY_BOOK names it.",
)


@program.callback(invoke_without_command=True)
def _start(version: Annotated[bool, typer.Option("--version", help="Show the version and stop.")] = False) -> None:
    if version:
        from scionary import __version__

        typer.echo(__version__)
        raise typer.Exit


for module in (
    serving,
    sharing,
    looking,
    bench,
    union,
    yard,
    weather,
    domes,
    air,
    leaf_names,
    leaving,
    names,
    paper,
    spread,
    tray,
    trials,
    importing,
    data,
):
    module.add_to(program)
