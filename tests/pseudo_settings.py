"""The program's settings with the pseudo-language as its only one; the catalogue lies beside the book."""

from __future__ import annotations

import os
from pathlib import Path

from scionary.settings import *  # noqa: F403

LANGUAGE_CODE = "xx"
LANGUAGES = [(LANGUAGE_CODE, LANGUAGE_CODE)]
LOCALE_PATHS = [Path(os.environ["SCIONARY_BOOK"]).parent]
