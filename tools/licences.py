"""Licences of what the program needs to run: each must be on the list of permissive ones."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

PERMISSIVE = {
    "0BSD",
    "Apache Software License",
    "Apache-2.0",
    "BSD License",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "CC0-1.0",
    "CNRI-Python",
    "ISC",
    "ISC License (ISCL)",
    "MIT",
    "MIT License",
    "MIT-CMU",
    "PSF-2.0",
    "Python Software Foundation License",
    "Zlib",
    "Zope Public License",
}
# Weak copyleft of the build tool's path patterns: only used unchanged, and only while the program is being installed.
REASONED = {"pathspec": "MPL-2.0"}
EITHER, EACH = re.compile(r"\s+OR\s+"), re.compile(r"\s+AND\s+|;\s*")


def allowed(licence: str) -> bool:
    """Whether a licence expression leaves a choice of which every part is permissive."""
    return any(all(part.strip() in PERMISSIVE for part in EACH.split(choice)) for choice in EITHER.split(licence))


def names_in_lock(path: Path) -> list[str]:
    """The packages that a lock file pins."""
    return re.findall(r"^([a-z0-9][a-z0-9._-]*)==", path.read_text(encoding="utf-8"), re.MULTILINE)


def same_name(name: str) -> str:
    """A package's name as registries compare it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def refused(packages: list[dict[str, str]]) -> list[str]:
    """A line for each package whose licence is not on the list."""
    lines = []
    for package in packages:
        reasoned = same_name(package["Name"]) in REASONED
        if not reasoned and not allowed(package["License"]):
            lines.append(f"{package['Name']} {package['Version']}: licence {package['License']!r} is not on the list in tools/licences.py")
    return lines


def main() -> int:
    """Look at every installed package of the core lock; 1 when one does not fit."""
    wanted = {same_name(name) for name in names_in_lock(Path("requirements/core.txt"))}
    command = [str(Path(sys.executable).with_name("pip-licenses")), "--from=mixed", "--format=json", "--with-system"]
    installed = json.loads(subprocess.run(command, capture_output=True, check=True, text=True).stdout)
    packages = [package for package in installed if same_name(package["Name"]) in wanted]
    found = refused(packages)
    print("\n".join(found) or f"{len(packages)} packages, all permissive")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
