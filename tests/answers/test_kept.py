"""Long answers are kept in files beside the book; a file that is gone or broken only means computing again."""

from __future__ import annotations

from pathlib import Path

import pytest

from scionary.answers import kept as module
from scionary.answers.kept import forget, kept, last_kept


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(module, "_folder", lambda: tmp_path / "answers")
    forget()
    return tmp_path / "answers"


def never() -> str:
    raise AssertionError("computed again")


def test_an_answer_is_read_back_by_another_process(folder: Path) -> None:
    assert kept("fit", 1, "firm", "a", lambda: "answer") == "answer"
    forget()  # as a process that has just begun
    assert kept("fit", 1, "firm", "a", never) == "answer"


def test_other_content_and_another_version_are_computed(folder: Path) -> None:
    kept("fit", 1, "firm", "a", lambda: "first")
    assert kept("fit", 1, "firm", "b", lambda: "second") == "second"
    assert kept("fit", 2, "firm", "a", lambda: "third") == "third"


def test_the_last_answer_is_found_with_its_stamp(folder: Path) -> None:
    assert last_kept("fit", 1, "firm") is None
    kept("fit", 1, "firm", "a", lambda: "first", stamp="(1, 'x')")
    kept("fit", 1, "firm", "b", lambda: "second", stamp="(2, 'y')")
    forget()
    assert last_kept("fit", 1, "firm") == ("second", "(2, 'y')")


@pytest.mark.parametrize("broken", [b"", b"not an answer", b"x\x9c\x03\x00\x00\x00\x00\x01"])
def test_a_broken_file_is_computed_again(folder: Path, broken: bytes) -> None:
    kept("fit", 1, "firm", "a", lambda: "first")
    forget()
    for path in folder.glob("*.answer"):
        path.write_bytes(broken)
    assert kept("fit", 1, "firm", "a", lambda: "again") == "again"


def test_only_so_many_files_are_kept(folder: Path) -> None:
    for i in range(60):
        kept("fit", 1, "firm", str(i), lambda i=i: i)
    assert len(list(folder.glob("*.answer"))) == 40
    assert not list(folder.glob("*.part"))


def test_a_folder_that_cannot_be_written_only_costs_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setattr(module, "_folder", lambda: tmp_path / "file" / "answers")
    assert kept("fit", 1, "firm", "a", lambda: "answer") == "answer"
