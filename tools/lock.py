"""Write the lock again: `requirements/*.txt` from `pyproject.toml`, with hashes and without addresses.

`check.txt` holds everything and is solved first; `test.txt` and `core.txt` take their versions from it, so that the three agree.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

from house_rules import addresses_in_lock

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "requirements"
EXTRAS = {"check.txt": ["test", "check"], "test.txt": ["test"], "core.txt": []}
OPTIONS = ["--universal", "--generate-hashes", "--no-header", "--python-version", "3.11", "--quiet"]


def main(arguments: list[str]) -> int:
    """Solve and write the three files; 1 when the tool is missing or a file would hold an address."""
    beside = Path(sys.executable).with_name("uv")
    uv = str(beside) if beside.exists() else shutil.which("uv")
    if uv is None:
        print("lock: this needs uv. Type: .venv/bin/python -m pip install uv", file=sys.stderr)
        return 1
    for name, extras in EXTRAS.items():
        write(uv, name, extras, arguments)
    found = [line for path in sorted(FOLDER.glob("*.txt")) for line in addresses_in_lock(path)]
    print("\n".join(found) or f"lock: {', '.join(sorted(EXTRAS))} written")
    return 1 if found else 0


def write(uv: str, name: str, extras: list[str], arguments: list[str]) -> None:
    """Solve one file; all but the widest are bound to the widest one's versions."""
    widest = name == "check.txt"
    bound = arguments if widest else ["--upgrade", "--constraint", "requirements/check.txt"]
    wanted = [part for extra in extras for part in ("--extra", extra)]
    files = ["--output-file", f"requirements/{name}", "pyproject.toml", "requirements/build.in"]
    command = [uv, "pip", "compile", *OPTIONS, *wanted, *bound, *files]
    subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL, check=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
