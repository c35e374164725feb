"""Commands for the whole book: export, backup, restore, rebuild."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.terminal import check_target, now, opened, say
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.book.backup import Counts


def export(
    target: Annotated[Path, typer.Argument(help="A folder, or a file that ends in .zip; .npz for draws, .json for a summary.")],
    what: Annotated[
        str,
        typer.Option(help="tables of the whole book; draws of the take model (NPZ) or its summary (JSON), for a notebook."),
    ] = "tables",
    stage: Annotated[str | None, typer.Option(help="Of the model: firm, growing or in_leaf; the latest known when left out.")] = None,
) -> None:
    """Write plants, grafts, events, names, trees and the rest as CSV and XLSX, for other programs; or the take model, for a notebook.

    Example: scionary export season-2026.zip
    """
    if what not in ("tables", "draws", "summary"):
        raise Refused(f"{what[:40]!r} cannot be exported.", where="--what", remedy="One of: tables, draws, summary.")
    if what == "tables" and stage is not None:
        raise Refused("tables hold every stage.", where="--stage", remedy="Leave --stage out, or add --what draws or --what summary.")
    opened()
    if what == "tables":
        _export_tables(target)
        return
    from scionary.answers.model_export import WORDS, write_model
    from scionary.answers.take_model import STAGES

    check_target(target)
    told = write_model(what, target, stage=stage, now=now())
    say(f"Written to {target}: {WORDS[what]}, grafts {STAGES[told]}. Its fields are described in docs/take-model.md.")


def _export_tables(target: Path) -> None:
    from scionary.answers.words import plural
    from scionary.book.export import export as export_tables

    counts = export_tables(target, now=now())
    say(f"Written to {target}: " + ", ".join(f"{plural(count, 'row')} of {name}" for name, count in counts.items()) + ".")


def backup(target: Annotated[Path, typer.Argument(help="The archive to write, such as book-backup.zip.")]) -> None:
    """Write the whole book into one archive of open formats; restore reads it back. Accounts are not in it.

    Example: scionary backup book-backup.zip
    """
    opened()
    check_target(target)
    from scionary.book.backup import backup as write_backup

    counts = write_backup(target, now=now())
    say(f"Written to {target}: {_counted(counts)}.")


def restore(
    source: Annotated[Path, typer.Argument(help="An archive that backup wrote.")],
    replace: Annotated[bool, typer.Option("--replace", help="Replace a book that holds records; a backup of it is kept first.")] = False,
) -> None:
    """Fill the book from a backup, all or nothing; a damaged archive is refused before anything is touched.

    Example: SCIONARY_BOOK=new.sqlite3 scionary restore book-backup.zip
    """
    opened()
    from scionary.book.backup import restore as read_backup

    done = read_backup(source, replace=replace, now=now())
    if done.safety:
        say(f"What was there before is kept in {done.safety}.")
    say(f"Restored: {_counted(done.counts)}.")


def _counted(counts: Counts) -> str:
    from scionary.answers.words import plural

    parts = ((counts.events, "event"), (counts.nouns, "noun"), (counts.readings, "reading"), (counts.files, "file"))
    return ", ".join(plural(count, one) for count, one in parts)


def rebuild() -> None:
    """Make every present state again from the events alone, and say whether anything differed. Exit code 1 when it did.

    Example: scionary rebuild
    """
    opened()
    from scionary.answers.words import plural
    from scionary.book.projection import columns
    from scionary.book.projection import rebuild as rebuild_columns

    before = columns()
    counts = rebuild_columns()
    same = before == columns()
    say(f"Rebuilt from events: {', '.join(plural(count, name.removesuffix('s')) for name, count in counts.items())}.")
    if not same:
        say("Something differed and is mended now. The events are untouched; please keep a backup from before and report it.")
        raise typer.Exit(1)
    say("Nothing differed.")


def add_to(program: typer.Typer) -> None:
    for command in (export, backup, restore, rebuild):
        program.command()(command)
