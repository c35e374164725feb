from __future__ import annotations

from pathlib import Path

import pytest
from set_up import SetUpError, find_browser, find_postgres, how_to_install, main


def test_an_unknown_target_is_refused_with_the_known_ones(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["everything"]) == 2
    assert "unknown target everything; give one or more of run, test, check" in capsys.readouterr().err


def test_the_named_browser_is_used(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    browser = tmp_path / "browser"
    browser.touch(mode=0o755)
    monkeypatch.setenv("SCIONARY_BROWSER", str(browser))
    assert find_browser() == browser


def test_a_named_browser_that_is_not_there_is_refused(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("SCIONARY_BROWSER", str(tmp_path / "nothing"))
    with pytest.raises(SetUpError, match=r"SCIONARY_BROWSER is .*nothing.*, which is no program"):
        find_browser()


def test_a_folder_without_initdb_is_refused(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("SCIONARY_POSTGRES_BIN", str(tmp_path))
    with pytest.raises(SetUpError, match=r"SCIONARY_POSTGRES_BIN is .*, where there is no initdb"):
        find_postgres()


def test_what_is_missing_is_named_with_what_to_type() -> None:
    told = how_to_install({"browser": "chromium"})
    assert "sudo apt-get install --no-install-recommends chromium\n" in told.replace("sudo apt-get update && ", "")
    assert "SCIONARY_BROWSER" in told
