"""How soon a page can be used on a slow phone, and how many bytes it takes, measured in a real browser.

python benchmarks/phone_pages.py            prints the table; exit code 1 when a target is missed
python benchmarks/phone_pages.py --write    also puts it, dated, into docs/speed.md and benchmarks/results/phone_pages.json

The demo book, a window of 360 x 740, the browser's processor slowed to a quarter. First a browser that knows nothing, then the same page
again. The alternative is one bare page of the same framework behind the same server, in the same browser.
"""

from __future__ import annotations

import json
import os
import platform
import shutil
import statistics
import subprocess
import sys
import tempfile
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from page_load import served
from playwright.sync_api import Browser, sync_playwright

ROOT = Path(__file__).resolve().parent.parent
PAGE, STORED = ROOT / "docs" / "speed.md", ROOT / "benchmarks" / "results" / "phone_pages.json"
START, END = "<!-- phone: begin -->", "<!-- phone: end -->"
CHROMIUM = os.environ.get("SCIONARY_BROWSER") or shutil.which("chromium") or "chromium"
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
PHONE, SLOWED, TIMES = {"width": 360, "height": 740}, 4, 5
USABLE_S, FIRST_KB, AFTER_KB = 2.0, 150.0, 30.0
PAGES = {"Due": "/due/", "Plan": "/plan/", "Bench": "/bench/", "Domes": "/domes/", "Plants": "/plants/", "Findings": "/findings/"}
MARKS = """() => { const page = performance.getEntriesByType("navigation")[0];
  const painted = performance.getEntriesByName("first-contentful-paint")[0];
  return Math.max(page.domContentLoadedEventEnd, painted ? painted.startTime : 0); }"""


@dataclass(frozen=True)
class Measured:
    """One page: seconds until it can be used, in a browser that knows nothing, and the bytes of the first and of a later load."""

    name: str
    usable_s: tuple[float, ...]
    first_kb: float
    after_kb: float

    @property
    def median_s(self) -> float:
        return statistics.median(self.usable_s)

    @property
    def kept(self) -> bool:
        return self.median_s < USABLE_S and self.first_kb < FIRST_KB and self.after_kb < AFTER_KB


def measure(browser: Browser, name: str, address: str) -> Measured:
    """Some new browsers ask for the page, each twice."""
    seconds, first, after = [], 0.0, 0.0
    for _ in range(TIMES):
        context = browser.new_context(viewport=PHONE, service_workers="block")  # type: ignore[arg-type] # it hides the bytes from the count
        page = context.new_page()
        line = context.new_cdp_session(page)
        line.send("Network.enable")
        line.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
        sent = [0.0]
        line.on("Network.loadingFinished", lambda event, sent=sent: sent.__setitem__(0, sent[0] + event["encodedDataLength"]))
        page.goto(address, wait_until="networkidle")
        seconds.append(page.evaluate(MARKS) / 1000)
        first, sent[0] = sent[0] / 1000, 0.0
        page.goto(address, wait_until="networkidle")
        after = sent[0] / 1000
        context.close()
    return Measured(name, tuple(seconds), first, after)


def table(pages: list[Measured], bare: Measured) -> str:
    """Every page, beside the bare one."""
    lines = ["| page | usable after | beside a bare page | first load | again |", "|---|--:|--:|--:|--:|"]
    for page in [*pages, bare]:
        missed = "" if page is bare or page.kept else ", **missed**"
        times = f"{page.median_s / bare.median_s:.1f} ×"
        lines.append(f"| {page.name} | {page.median_s:.2f} s | {times} | {page.first_kb:.1f} kB | {page.after_kb:.1f} kB{missed} |")
    return "\n".join(lines)


def main(arguments: list[str]) -> int:
    """Make the demo, measure and print, write where asked, and say whether the targets are kept."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        book = Path(folder) / "book.sqlite3"
        surroundings = {**os.environ, "SCIONARY_BOOK": str(book), "SCIONARY_LOGS": "off"}
        subprocess.run([sys.executable, "-m", "scionary", "demo"], env=surroundings, check=True, stdout=subprocess.DEVNULL)
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        load = os.getloadavg()[0]
        with served(sys.executable, str(ROOT / "benchmarks" / "bare_page.py")) as address:
            bare = measure(browser, "a bare page (the alternative)", f"{address}/")
        with served(sys.executable, "-m", "scionary", "serve", "--port", book=book) as address:
            pages = [measure(browser, name, f"{address}{path}") for name, path in PAGES.items()]
        browser.close()
    machine = f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}"
    words = (
        f"Measured on {datetime.now(UTC).date()} ({machine}; {load:.1f} processes were waiting or running beforehand) by "
        f"`benchmarks/phone_pages.py`, the middle of {TIMES} new browsers. Targets: usable in {USABLE_S:g} s, {FIRST_KB:.0f} kB at first, "
        f"{AFTER_KB:.0f} kB again."
    )
    text = f"{words}\n\n{table(pages, bare)}"
    print(text)
    if "--write" in arguments:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
        stored = {"date": str(datetime.now(UTC).date()), "machine": machine, "load_before": load}
        stored |= {"pages": [asdict(page) for page in [*pages, bare]]}
        STORED.write_text(json.dumps(stored, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return 0 if all(page.kept for page in pages) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
