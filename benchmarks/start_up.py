"""How soon the program answers: `scionary --help`, and the first page after a cold start, each beside a yardstick.

python benchmarks/start_up.py            prints the table; exit code 1 when a target is missed
python benchmarks/start_up.py --write    also puts it, dated, into docs/speed.md
"""

from __future__ import annotations

import os
import platform
import resource
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
SCIONARY = str(Path(sys.executable).with_name("scionary"))
PATIENCE_S = 60.0
START, END = "<!-- start-up: begin -->", "<!-- start-up: end -->"


class Taken(NamedTuple):
    """What one run took. Processor seconds hardly depend on what else the machine is doing."""

    clock_s: float
    processor_s: float


@dataclass(frozen=True)
class Timing:
    """One measured thing: seconds on the clock and of the processor, and the target where it has one."""

    name: str
    taken: tuple[Taken, ...]
    target_s: float | None = None

    @property
    def seconds(self) -> list[float]:
        """On the clock, each time."""
        return [one.clock_s for one in self.taken]

    @property
    def median_s(self) -> float:
        """The middle one on the clock."""
        return statistics.median(self.seconds)

    @property
    def processor_s(self) -> float:
        """The middle one of the processor."""
        return statistics.median(one.processor_s for one in self.taken)

    @property
    def met(self) -> bool:
        """Whether the target, if any, is kept."""
        return self.target_s is None or self.median_s < self.target_s


def processor_s() -> float:
    """Processor seconds of all programs that were started from here and have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def time_command(command: list[str]) -> Taken:
    """What a command takes until it ends."""
    began, used = time.perf_counter(), processor_s()
    subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, check=True)
    return Taken(time.perf_counter() - began, processor_s() - used)


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def answers(address: str) -> bool:
    """Whether a page answers 200, after the redirects that it may send."""
    try:
        with urllib.request.urlopen(address, timeout=PATIENCE_S) as reply:
            return bool(reply.status == 200 and reply.read())
    except (urllib.error.URLError, ConnectionError):
        return False


def time_first_page(command: Callable[[int], list[str]], environment: dict[str, str]) -> Taken:
    """What a server takes from its start until its first page is there; of the processor, with its worker and until both have ended."""
    port = free_port()
    began, used = time.perf_counter(), processor_s()
    server = subprocess.Popen(command(port), env=os.environ | environment, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    try:
        while not answers(f"http://127.0.0.1:{port}/"):
            if server.poll() is not None:
                raise SystemExit(f"{command(port)} ended with exit code {server.returncode} before its first page")
            if time.perf_counter() - began > PATIENCE_S:
                raise SystemExit(f"{command(port)} showed no page within {PATIENCE_S:.0f} s")
            time.sleep(0.005)
        clock_s = time.perf_counter() - began
    finally:
        end(server)
    return Taken(clock_s, processor_s() - used)


def end(server: subprocess.Popen[bytes]) -> None:
    """End a server as Ctrl+C does, so that it ends what it started."""
    server.send_signal(signal.SIGINT)
    try:
        server.wait(PATIENCE_S)
    except subprocess.TimeoutExpired:
        server.kill()


def command_timings(times: int = 9) -> list[Timing]:
    """The terminal's answer and its two yardsticks, taken in turns so that a busy moment meets all three."""
    commands = {
        "`python -c pass`": [sys.executable, "-c", "pass"],
        '`python -c "import django"`': [sys.executable, "-c", "import django"],
        "`scionary --help`": [SCIONARY, "--help"],
    }
    rounds = [{name: time_command(command) for name, command in commands.items()} for _ in range(times)]
    target_s = {"`scionary --help`": 0.5}
    return [Timing(name, tuple(one[name] for one in rounds), target_s.get(name)) for name in commands]


def page_timings(folder: Path, times: int = 5) -> list[Timing]:
    """The first page: of a bare Django page, of a book made at that moment, of a book that is there."""

    def bare(port: int) -> list[str]:
        return [sys.executable, str(ROOT / "benchmarks" / "bare_page.py"), str(port)]

    def ours(port: int) -> list[str]:
        return [SCIONARY, "serve", "--port", str(port)]

    def book(number: int) -> dict[str, str]:
        return {"SCIONARY_BOOK": str(folder / str(number) / "book.sqlite3"), "DATABASE_URL": ""}

    hello, fresh, later = [], [], []
    for number in range(times):
        hello.append(time_first_page(bare, {}))
        fresh.append(time_first_page(ours, book(number)))
        later.append(time_first_page(ours, book(number)))
    return [
        Timing("first page: one bare Django page, same server", tuple(hello)),
        Timing("first page: Scionary, book made at that moment", tuple(fresh), 3.0),
        Timing("first page: Scionary, book is there", tuple(later), 3.0),
    ]


def table(timings: list[Timing]) -> str:
    """The timings as a table; each ratio, on the clock, is to the yardstick at the top of its group."""
    lines = ["| what | median | fastest to slowest | processor | times its yardstick | target |", "|---|--:|--:|--:|--:|--:|"]
    for timing in timings:
        yardstick = timings[0] if timing.name.startswith("`") else timings[3]
        target = f"< {timing.target_s:g} s" + ("" if timing.met else ", **missed**") if timing.target_s else ""
        spread = f"{min(timing.seconds):.2f} to {max(timing.seconds):.2f} s"
        times = timing.median_s / yardstick.median_s
        lines.append(f"| {timing.name} | {timing.median_s:.2f} s | {spread} | {timing.processor_s:.2f} s | {times:.1f} | {target} |")
    return "\n".join(lines)


def dated(text: str, load_before: float) -> str:
    """The table with the day, the machine, and how busy it was with other things before the measuring began."""
    machine = f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}"
    busy = f"{load_before:.1f} processes were waiting or running beforehand"
    return f"Measured on {datetime.now(UTC).date()} ({machine}; {busy}) by `benchmarks/start_up.py`:\n\n{text}"


def write(text: str, page: Path) -> None:
    """Put the table between its two marks on the page of timings."""
    before, _, rest = page.read_text(encoding="utf-8").partition(START)
    _, _, after = rest.partition(END)
    page.write_text(f"{before}{START}\n{text}\n{END}{after}", encoding="utf-8")


def main(arguments: list[str]) -> int:
    """Measure, print, and say whether the targets are kept."""
    load_before = os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as folder:
        timings = command_timings() + page_timings(Path(folder))
    text = dated(table(timings), load_before)
    print(text)
    if "--write" in arguments:
        write(text, ROOT / "docs" / "speed.md")
    return 0 if all(timing.met for timing in timings) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
