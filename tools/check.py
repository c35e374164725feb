"""`make check`: every check, one line each; what a failing one said is shown below its line."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

from house_rules import addresses_in_lock, breaches_in_template

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src" / "scionary"
PROGRAMS = Path(sys.executable).parent
ENGINES = ("season", "plan", "union", "dome", "take", "names")
SHARED_SITE = {
    "DJANGO_SETTINGS_MODULE": "scionary.settings",
    "SCIONARY_HTTPS": "1",
    "SCIONARY_LOGIN": "1",
    "SCIONARY_HOSTS": "nursery.invalid",
    "SCIONARY_ORIGINS": "https://nursery.invalid",
}


def engine_files() -> list[str]:
    """Every module whose docstrings are linted."""
    found = [path for engine in ENGINES for path in sorted((SOURCE / engine).rglob("*.py"))]
    return [str(path.relative_to(ROOT)) for path in [*found, SOURCE / "units.py", SOURCE / "errors.py"]]


def commands() -> dict[str, list[str]]:
    """Each check by its name, as the command that it runs."""
    python = sys.executable
    return {
        "ruff: faults": [str(PROGRAMS / "ruff"), "check", "--quiet", "."],
        "ruff: layout": [str(PROGRAMS / "ruff"), "format", "--check", "--quiet", "."],
        "mypy: types": [str(PROGRAMS / "mypy")],
        "import-linter: borders": [str(PROGRAMS / "lint-imports"), "--no-cache"],
        "numpydoc: engines' docstrings": [python, "-m", "numpydoc", "lint", *engine_files()],
        "Django: a shared HTTPS site": [python, "-m", "django", "check", "--deploy", "--fail-level", "WARNING"],
        "Django: migrations": [python, "-m", "django", "makemigrations", "--check", "--dry-run"],
        "texts: the translators' template": [python, "tools/catalogue.py", "--check"],
        "licences": [python, "tools/licences.py"],
    }


def house_rules() -> list[str]:
    """Breaches of the rules about templates and the lock."""
    templates = [*SOURCE.rglob("*.html"), *SOURCE.rglob("*.svg")]
    found = [line for path in sorted(templates) for line in breaches_in_template(path)]
    return found + [line for path in sorted((ROOT / "requirements").glob("*.txt")) for line in addresses_in_lock(path)]


def report(name: str, failed: bool, seconds: float, said: str) -> None:
    """One line, and what the check said when it failed."""
    print(f"{'FAILED' if failed else 'ok':>6}  {name}  ({seconds:.1f} s)", flush=True)
    if failed:
        print(said.rstrip(), flush=True)


def run(command: list[str]) -> tuple[bool, float, str]:
    """Run one check: whether it failed, how long it took, what it said."""
    began = time.monotonic()
    environment = os.environ | SHARED_SITE
    done = subprocess.run(command, cwd=ROOT, env=environment, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    return done.returncode != 0, time.monotonic() - began, done.stdout + done.stderr


def main() -> int:
    """Run every check, also after one has failed; 1 when any did."""
    failures = []
    for name, command in commands().items():
        failed, seconds, said = run(command)
        report(name, failed, seconds, said)
        failures += [name] if failed else []
    began, breaches = time.monotonic(), house_rules()
    report("house rules: templates, lock", bool(breaches), time.monotonic() - began, "\n".join(breaches))
    failures += ["house rules"] if breaches else []
    print(f"check: {'failed: ' + ', '.join(failures) if failures else 'all well'}")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
