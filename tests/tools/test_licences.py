from __future__ import annotations

from pathlib import Path

import pytest
from licences import allowed, names_in_lock, refused


@pytest.mark.parametrize("licence", ["MIT", "BSD-3-Clause AND MIT AND Zlib", "GPL-3.0-only OR MIT", "Apache-2.0 OR BSD-2-Clause"])
def test_permissive_licences_pass(licence: str) -> None:
    assert allowed(licence)


@pytest.mark.parametrize("licence", ["GPL-3.0-only", "MIT AND GPL-2.0-only", "AGPL-3.0", "LGPL-3.0-only", "UNKNOWN", "Proprietary", ""])
def test_other_licences_do_not(licence: str) -> None:
    assert not allowed(licence)


def test_a_refused_package_is_named_with_its_licence() -> None:
    packages = [{"Name": "fine", "Version": "1", "License": "MIT"}, {"Name": "not_fine", "Version": "2", "License": "AGPL-3.0"}]
    assert refused(packages) == ["not_fine 2: licence 'AGPL-3.0' is not on the list in tools/licences.py"]


def test_names_are_read_from_a_lock(tmp_path: Path) -> None:
    lock = tmp_path / "lock.txt"
    lock.write_text(
        "django==5.2.19 \\\n    --hash=sha256:00\n    # via scionary\nzxing-cpp==3.1.1 ; python_version < '4' \\\n    --hash=sha256:00\n"
    )
    assert names_in_lock(lock) == ["django", "zxing-cpp"]
