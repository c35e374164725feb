"""Make the pictures of the README again, from the demo nursery in a book of its own: `python tools/pictures.py`."""

from __future__ import annotations

import re
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from served import fetch, run, serving  # noqa: E402
from watched import FLAGS  # noqa: E402

WIDTH, HEIGHT = 360, 700


def main() -> None:
    """One picture: a dome on a phone."""
    target = ROOT / "docs" / "pictures"
    target.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        run(Path(folder), "demo")
        with serving(Path(folder)) as address:
            dome = re.search(r"/domes/[0-9a-f-]{36}/", fetch(f"{address}/domes/")[2])
            if dome is None:
                raise SystemExit("no dome stands in the demo book")
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
                page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT}, device_scale_factor=1.5)
                page.goto(f"{address}{dome[0]}")
                page.evaluate("document.querySelectorAll('main > section')[1].scrollIntoView(); window.scrollBy(0, -56)")
                page.screenshot(path=target / "dome.png")
                browser.close()


if __name__ == "__main__":
    main()
