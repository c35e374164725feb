"""What `find --photo` shows: every label in some photographs, in reading order."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from scionary.cli.terminal import read_file, say, say_json, table
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.photo_labels import PhotoAnswer, PhotoFile


def show_photos(paths: list[Path], *, as_json: bool) -> bool:
    """Read the labels and say whose they are; whether any plant was found. A photo that cannot be read refuses them all."""
    from scionary.answers.photo_labels import read_labels

    answer = read_labels([_file(path) for path in paths])
    for problem in answer.problems:
        raise problem
    if as_json:
        say_json(answer.to_dict())
    else:
        _show(answer)
    return bool(answer.plants)


def _file(path: Path) -> PhotoFile:
    from scionary.answers.photo_labels import PhotoFile

    try:
        return PhotoFile(str(path), path.stat().st_size, lambda: read_file(path))
    except OSError as error:
        raise Refused(f"it cannot be read ({error.strerror}).", where=str(path), remedy="Check the name and try again.") from None


def _show(answer: PhotoAnswer) -> None:
    from scionary.answers.photo_labels import TRY

    say(answer.words)
    rows = [[plant.spoken, label.code, plant.state, plant.where] for label in answer.labels for plant in label.plants]
    if rows:
        table(["plant", "code", "state", "where"], rows)
    for label in answer.labels:
        plant = label.plant
        if plant is None or plant.warning:
            say(f"Look: {label.words}")
        for number, step in enumerate(plant.steps if plant else (), 1):
            say(f"  {number}. {step}")
        for flag in plant.flags if plant else ():
            say(f"Look: {plant.spoken if plant else ''}: {flag}.")
    if not answer.labels:
        for words in TRY:
            say(f"  {words}")
