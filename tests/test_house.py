"""Promises that no single part can keep: settings are documented, the lock is whole, the engines have their doors."""

from __future__ import annotations

import ast
import importlib
import re
import tomllib
from pathlib import Path

import pytest
from house_rules import addresses_in_lock, breaches_in_template
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from scionary.limits import DEFAULTS

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src" / "scionary"
LOCKS = {name: ROOT / "requirements" / f"{name}.txt" for name in ("core", "test", "check")}
ENGINES = ("season", "plan", "union", "dome", "take", "names")
SETTING = re.compile(r"\b(?:SCIONARY_[A-Z]+(?:_[A-Z]+)*|DATABASE_URL)\b")
ROW = re.compile(r"^\| `([A-Z_]+)` \| ([^|]*) \| ([^|]+) \|$", re.MULTILINE)
PIN = re.compile(r"^([a-z0-9][a-z0-9._-]*)==(\S+)(?: ; ([^\\]+?))? \\\n((?:\s+--hash=\S+(?: \\)?\n)*)", re.MULTILINE)


def settings_table() -> dict[str, str]:
    """Each documented setting with what holds when it is unset."""
    return {name: unset for name, unset, _ in ROW.findall((ROOT / "docs" / "settings.md").read_text(encoding="utf-8"))}


def settings_read(*folders: Path) -> set[str]:
    """Each setting that some code under these folders looks up; to name it in words, to set it or to take it away is not to read it."""
    trees = [ast.parse(path.read_text(encoding="utf-8")) for folder in folders for path in folder.rglob("*.py")]
    looked_up = {ast.unparse(key) for tree in trees for node in ast.walk(tree) for key in _keys_looked_up(node)}
    return {name for key in looked_up for name in SETTING.findall(key)} - {"SCIONARY_LIMIT"}


def _keys_looked_up(node: ast.AST) -> list[ast.expr]:
    if isinstance(node, ast.Call) and ast.unparse(node.func).endswith(("environ.get", "getenv")):
        return node.args[:1]
    if isinstance(node, ast.Subscript) and isinstance(node.ctx, ast.Load) and ast.unparse(node.value).endswith("environ"):
        return [node.slice]
    return []


def pins(name: str) -> set[tuple[str, str, str]]:
    """Every package, version and condition of one lock file."""
    return {(package, version, condition) for package, version, condition, _ in PIN.findall(LOCKS[name].read_text(encoding="utf-8"))}


def wanted(*extras: str) -> list[Requirement]:
    """What `pyproject.toml` asks for."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = project["dependencies"] + [line for extra in extras for line in project["optional-dependencies"][extra]]
    return [Requirement(line) for line in lines]


def test_every_limit_is_documented_with_its_default() -> None:
    table = settings_table()
    documented = {name: table.get(f"SCIONARY_LIMIT_{name.upper()}", "").replace(",", "") for name in DEFAULTS}
    assert documented == {name: str(default) for name, (default, _) in DEFAULTS.items()}


def test_every_setting_that_is_read_is_documented() -> None:
    assert settings_read(SOURCE, ROOT / "tools") - set(settings_table()) == set()


def test_no_documented_setting_is_without_effect() -> None:
    limits = {f"SCIONARY_LIMIT_{name.upper()}" for name in DEFAULTS}
    assert set(settings_table()) - limits - settings_read(SOURCE, ROOT / "tools", ROOT / "tests") == set()


@pytest.mark.parametrize("name", LOCKS)
def test_the_lock_holds_no_addresses(name: str) -> None:
    assert addresses_in_lock(LOCKS[name]) == []


@pytest.mark.parametrize("name", LOCKS)
def test_every_locked_package_has_a_hash(name: str) -> None:
    text = LOCKS[name].read_text(encoding="utf-8")
    found = PIN.findall(text)
    assert len(found) == len(re.findall(r"^[a-z0-9]", text, re.MULTILINE)) > 40
    assert [package for package, _, _, hashes in found if "--hash=sha256:" not in hashes] == []


def test_the_locks_agree_on_versions() -> None:
    assert pins("core") < pins("test") < pins("check")


@pytest.mark.parametrize(("name", "extras"), [("core", ()), ("test", ("test",)), ("check", ("test", "check"))])
def test_the_lock_answers_to_the_ranges_of_the_project(name: str, extras: tuple[str, ...]) -> None:
    locked: dict[str, list[str]] = {}
    for package, version, _ in pins(name):
        locked.setdefault(package, []).append(version)
    for requirement in wanted(*extras):
        versions = locked.get(canonicalize_name(requirement.name), [])
        assert versions, f"{requirement.name} is not locked; type: make lock"
        assert all(requirement.specifier.contains(version) for version in versions), f"{requirement}: locked {versions}"


@pytest.mark.parametrize("engine", ENGINES)
def test_an_engine_lists_its_public_names(engine: str) -> None:
    module = importlib.import_module(f"scionary.{engine}")
    assert module.__all__
    assert [name for name in module.__all__ if not hasattr(module, name)] == []


def test_templates_keep_to_the_security_policy() -> None:
    assert [line for path in SOURCE.rglob("*.html") for line in breaches_in_template(path)] == []
