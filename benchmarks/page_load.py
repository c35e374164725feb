"""How soon pages of a very large book come while four people use them, how many bytes they have, and what fifty phones send at once.

The pages are asked for twice: while nothing is written, and while a phone writes a record every few seconds, so that what pages hold of the
book is found anew, and the worker learns beside them.

python benchmarks/page_load.py                 makes the book first (about ten minutes); exit code 1 when a target is missed
python benchmarks/page_load.py --book FILE     uses a copy of this book, made by `large_book.py` and learned from by the worker
python benchmarks/page_load.py --write         also puts the tables, dated, into docs/speed.md and benchmarks/results/page_load.json

The program serves as it always does, with its worker, on this machine; pages are timed once the worker has read the book. The alternative
is one bare page of the same framework behind the same server: what no page can be quicker than. Each page is asked once before it is timed.
"""

from __future__ import annotations

import gzip
import http.cookiejar
import json
import os
import platform
import random
import re
import shutil
import socket
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
PAGE, STORED = ROOT / "docs" / "speed.md", ROOT / "benchmarks" / "results" / "page_load.json"
START, END = "<!-- load: begin -->", "<!-- load: end -->"
CLIENTS, ROUNDS = 4, 25
WRITE_EVERY_S = 5.0
MEDIAN_S, P95_S, FIRST_KB, AFTER_KB = 0.1, 0.25, 150, 30
ANEW = 5
PHONES, EVENTS, ALL_SENT_S = 50, 200, 60.0
PAGES = {
    "Due": "/due/",
    "Plan": "/plan/",
    "Bench": "/bench/",
    "Domes": "/domes/",
    "a dome": "/domes/{dome}/",
    "a round": "/domes/{dome}/round/",
    "Plants": "/plants/",
    "a plant": "/plants/{plant}/",
    "Findings": "/findings/",
    "Book": "/book/",
    "mother trees": "/book/trees/",
}


@dataclass
class Timed:
    """One page, or one of many alike, of which another is asked for each time: seconds of each answer, and the first one's bytes."""

    name: str
    addresses: list[str]
    seconds: list[float] = field(default_factory=list)
    written: list[float] = field(default_factory=list)
    anew: list[float] = field(default_factory=list)
    sent: int = 0


def percentile(seconds: list[float], share: float) -> float:
    return sorted(seconds)[int(share * (len(seconds) - 1))]


def prepare(folder: Path, given: str) -> Path:
    """A book of its own in the folder, with what was learned from it."""
    book = folder / "book.sqlite3"
    if given:
        shutil.copy(given, book)
        shutil.copytree(Path(given).parent / "answers", folder / "answers")
        return book
    surroundings = {**os.environ, "SCIONARY_BOOK": str(book), "SCIONARY_LOGS": "off", "OPENBLAS_NUM_THREADS": "1"}
    subprocess.run([sys.executable, str(ROOT / "benchmarks" / "large_book.py"), str(book)], env=surroundings, check=True)
    subprocess.run([sys.executable, "-c", LEARN], env=surroundings, check=True)
    return book


LEARN = """
import os
os.environ["DJANGO_SETTINGS_MODULE"] = "scionary.settings"
import django
django.setup()
from django.utils import timezone
from scionary.answers.learning import learn
learn({}, lambda share, word: True, timezone.now())()
"""


@contextmanager
def served(*command: str, book: Path | None = None) -> Iterator[str]:
    """The address at which a program serves, once it answers."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    kept = {name: value for name, value in os.environ.items() if name != "DATABASE_URL" and not name.startswith("SCIONARY_")}
    surroundings = {**kept, "SCIONARY_LOGS": "off", **({"SCIONARY_BOOK": str(book)} if book else {})}
    process = subprocess.Popen([*command, str(port)], env=surroundings, stdout=subprocess.DEVNULL)
    try:
        address = f"http://127.0.0.1:{port}"
        until = time.monotonic() + 60
        while True:
            try:
                urllib.request.urlopen(f"{address}/", timeout=50).read()
                break
            except OSError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.2)
        yield address
    finally:
        process.terminate()
        process.wait(timeout=30)


def settled(book: Path) -> float:
    """Wait until the worker has read the book, which the start of the pages asks for; gives the seconds."""
    begin = time.monotonic()
    while True:
        with closing(sqlite3.connect(book)) as read:
            (under_way,) = read.execute("SELECT COUNT(*) FROM book_job WHERE status IN ('waiting', 'running')").fetchone()
        if not under_way:
            return time.monotonic() - begin
        if time.monotonic() > begin + 300:
            raise TimeoutError("the worker has not read the book after 300 s: nothing was timed")
        time.sleep(1.0)


def fetch(address: str) -> tuple[bytes, int]:
    """A page, unpacked, and how many bytes were sent."""
    asked = urllib.request.Request(address, headers={"Accept-Encoding": "gzip"})
    with urllib.request.urlopen(asked, timeout=120) as answer:
        body = answer.read()
        return (gzip.decompress(body) if answer.headers.get("Content-Encoding") == "gzip" else body), len(body)


def ask_all(pages: list[Timed], *, writing: bool = False) -> None:
    """Four clients ask for all pages, each in an order of its own; `writing` says that records are written meanwhile."""
    lock = threading.Lock()

    def client(number: int) -> None:
        order = random.Random(number)
        for _ in range(ROUNDS):
            for page in order.sample(pages, len(pages)):
                address = order.choice(page.addresses)
                begin = time.perf_counter()
                fetch(address)
                with lock:
                    (page.written if writing else page.seconds).append(time.perf_counter() - begin)

    threads = [threading.Thread(target=client, args=(number,)) for number in range(CLIENTS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def ask_anew(pages: list[Timed], phone: Phone) -> None:
    """One client asks for each page right after a record was written, so that nothing that was drawn before is there."""
    order = random.Random(0)
    for plant in phone.plants:
        for page in pages:
            phone.write(plant)
            begin = time.perf_counter()
            fetch(order.choice(page.addresses))
            page.anew.append(time.perf_counter() - begin)


def first_load(address: str, page: bytes) -> int:
    """Bytes of everything that a page brings with it."""
    brought = set(re.findall(r'(?:src|href)="(/static/[^"]+\.(?:css|js|svg|png))"', page.decode()))
    return sum(fetch(f"{address}{path}")[1] for path in brought)


class Phone:
    """A phone that has lain in the yard all day: it sends its records in two parcels, each of them twice."""

    def __init__(self, address: str, number: int, plants: list[str]) -> None:
        self.address, self.plants, self.cookies = address, plants, http.cookiejar.CookieJar()
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self.cookies))
        self.opener.open(f"{address}/hand/data/", timeout=120).read()
        self.token = self.post("/hand/device/", {"name": f"phone {number}"})["token"]

    def post(self, path: str, body: Any, token: str = "") -> Any:
        csrf = next((cookie.value for cookie in self.cookies if cookie.name == "csrftoken"), "")
        headers = {"Content-Type": "application/json", "X-CSRFToken": csrf or "", "Referer": f"{self.address}/hand/"}
        headers |= {"Authorization": f"Bearer {token}"} if token else {}
        asked = urllib.request.Request(f"{self.address}{path}", data=json.dumps(body).encode(), headers=headers)
        with self.opener.open(asked, timeout=120) as answer:
            return json.loads(answer.read())

    def score(self, plant: str) -> dict[str, Any]:
        """A sign seen on a plant, as a phone keeps it."""
        now = datetime.now(UTC).isoformat()
        what = {"sign": "bud_moving", "answer": "yes"}
        subjects = [f"plant:{plant}"]
        return {"id": str(uuid7()), "kind": "scored", "subjects": subjects, "happened_at": now, "clock_offset_s": 0, "payload": what}

    def write(self, plant: str) -> None:
        """One record, sent at once."""
        self.post("/hand/events/", {"events": [self.score(plant)]}, self.token)

    def send(self) -> list[str]:
        """What became of each record, by the last answer to it."""
        events = [self.score(plant) for plant in self.plants]
        told: dict[str, str] = {}
        for begin in range(0, len(events), 100):
            for _ in range(2):
                waiting = events[begin : begin + 100]
                while waiting:  # a parcel that takes too long is answered as far as it came
                    answers = self.post("/hand/events/", {"events": waiting}, self.token)["answers"]
                    told |= {answer["id"]: answer["status"] for answer in answers if answer["id"] not in told}
                    done = {answer["id"] for answer in answers}
                    waiting = [event for event in waiting if event["id"] not in done]
        return list(told.values())


def uuid7() -> uuid.UUID:
    """An id as a phone makes it."""
    stamp = int(time.time() * 1000)
    return uuid.UUID(int=(stamp << 80) | (0x7 << 76) | (random.getrandbits(12) << 64) | (0b10 << 62) | random.getrandbits(62))


@contextmanager
def written_to(address: str, book: Path) -> Iterator[list[float]]:
    """A phone writes a record every few seconds; gives the seconds that each took."""
    phone, over, took = Phone(address, 99, newest_plants(book, EVENTS)), threading.Event(), list[float]()

    def write() -> None:
        for plant in phone.plants:
            begin = time.perf_counter()
            phone.write(plant)
            took.append(time.perf_counter() - begin)
            if over.wait(WRITE_EVERY_S):
                return

    thread = threading.Thread(target=write)
    thread.start()
    try:
        yield took
    finally:
        over.set()
        thread.join()


def newest_plants(book: Path, count: int) -> list[str]:
    with closing(sqlite3.connect(book)) as read:
        return [str(uuid.UUID(row[0])) for row in read.execute("SELECT id FROM book_plant ORDER BY id DESC LIMIT ?", (count,))]


def subjects(book: Path) -> dict[str, list[str]]:
    """All domes in which something stands, and plants from the whole book, as many as are asked for."""
    standing = "SELECT DISTINCT dome_id FROM book_plant WHERE dome_id IS NOT NULL"
    with closing(sqlite3.connect(book)) as read:
        domes, plants = ([str(uuid.UUID(row[0])) for row in read.execute(each)] for each in (standing, "SELECT id FROM book_plant"))
    return {"dome": domes, "plant": random.Random(0).sample(plants, CLIENTS * ROUNDS)}


def addresses(path: str, named: dict[str, list[str]]) -> list[str]:
    """The path with each of the things that it names."""
    noun = next((noun for noun in named if f"{{{noun}}}" in path), "")
    return [path.format(**{noun: ident}) for ident in named[noun]] if noun else [path]


def phones_send(address: str, book: Path) -> tuple[float, int, int]:
    """Seconds until all is sent, how many records were sent, and how many of them stand in the book once."""
    plants = newest_plants(book, PHONES * EVENTS)
    phones = [Phone(address, number, plants[number * EVENTS : (number + 1) * EVENTS]) for number in range(PHONES)]
    told: list[str] = []
    threads = [threading.Thread(target=lambda phone=phone: told.extend(phone.send())) for phone in phones]
    begin = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    taken = time.perf_counter() - begin
    with closing(sqlite3.connect(book)) as read:
        (there,) = read.execute("SELECT COUNT(*) FROM book_event WHERE device LIKE 'phone %' AND device < 'phone 98'").fetchone()
    return taken, len(told), there


def row(page: Timed, bare: Timed) -> str:
    """A page's line of the table."""
    missed = ""
    if page is not bare and not kept(page):
        missed = ", **missed**" if not quick(page.seconds) or page.sent >= AFTER_KB * 1000 else ", **missed while written to**"
    times = percentile(page.seconds, 0.5) / percentile(bare.seconds, 0.5)
    cells = [f"{percentile(each, share) * 1000:.0f} ms" for each in (page.seconds, page.written) if each for share in (0.5, 0.95)]
    cells += [f"{statistics.median(page.anew) * 1000:.0f} ms"] if page.anew else []
    return f"| {page.name} | {' | '.join([*cells, '', '', ''][:5])} | {times:.0f} × | {page.sent / 1000:.1f} kB{missed} |"


def kept(page: Timed) -> bool:
    """Whether its targets are kept, also while records are written."""
    return quick(page.seconds) and quick(page.written) and page.sent < AFTER_KB * 1000


def quick(seconds: list[float]) -> bool:
    return percentile(seconds, 0.5) < MEDIAN_S and percentile(seconds, 0.95) < P95_S


def tables(pages: list[Timed], bare: Timed, brought: int, phones: tuple[float, int, int], took: list[float], started: float) -> str:
    """The table of pages, what a first page brings with it, and the phones."""
    largest = max(page.sent for page in pages)
    taken, told, there = phones
    all_in = taken < ALL_SENT_S and there == told == PHONES * EVENTS
    lines = [
        "| page | median | 95 of 100 within | median, written to | 95 of 100, written to | drawn anew | beside a bare page | sent |",
        "|---|--:|--:|--:|--:|--:|--:|--:|",
        *(row(page, bare) for page in [*pages, bare]),
        "",
        f"{CLIENTS} clients that never pause ask at once; written to: a phone writes a record every {WRITE_EVERY_S:.0f} s meanwhile "
        f"({len(took)} records, the middle one taken after {statistics.median(took) * 1000:.0f} ms), so that pages are found anew and the "
        f"worker learns beside them. Pages were timed once the worker had read the book, as it does for {started:.0f} s after a start. "
        f"A dome, a round and a plant are another one of {len(pages[4].addresses):,} domes and "
        f"{len(pages[7].addresses):,} plants each time. A page is held as it was drawn until something is written: drawn anew is what one "
        f"client waits for it right after a record, the middle of {ANEW}. The target is "
        f"{MEDIAN_S * 1000:.0f} ms at the median, {P95_S * 1000:.0f} ms for 95 of 100, "
        f"and {AFTER_KB} kB. The first page brings {brought / 1000:.0f} kB of style and script with it: "
        f"{(brought + largest) / 1000:.0f} kB with the largest page (target {FIRST_KB} kB).",
        "",
        f"{PHONES} phones sent {EVENTS} records each, every parcel twice: {told:,} were answered and {there:,} are in the book, each once, "
        f"after {taken:.1f} s: signs on plants of its own, as many as 50 of which are written together "
        f"(target {ALL_SENT_S:.0f} s{'' if all_in else ', **missed**'}).",
    ]
    return "\n".join(lines)


def rounded(seconds: list[float]) -> list[float]:
    return [round(s, 4) for s in seconds]


def main(arguments: list[str]) -> int:
    """Prepare, measure and print, write where asked, and say whether the targets are kept."""
    given = arguments[arguments.index("--book") + 1] if "--book" in arguments else ""
    with tempfile.TemporaryDirectory() as folder:
        book = prepare(Path(folder), given)
        named = subjects(book)
        load = os.getloadavg()[0]
        with served(sys.executable, str(ROOT / "benchmarks" / "bare_page.py")) as address:
            bare = Timed("a bare page (the alternative)", [f"{address}/"])
            bare.sent = fetch(bare.addresses[0])[1]
            ask_all([bare])
        with served(sys.executable, "-m", "scionary", "serve", "--port", book=book) as address:
            pages = [Timed(name, [f"{address}{each}" for each in addresses(path, named)]) for name, path in PAGES.items()]
            for page in pages:
                body, page.sent = fetch(page.addresses[0])
                brought = first_load(address, body)
            started = settled(book)
            ask_all(pages)
            with written_to(address, book) as took:
                ask_all(pages, writing=True)
            ask_anew(pages, Phone(address, 98, newest_plants(book, ANEW)))
            phones = phones_send(address, book)
    machine = f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}"
    words = (
        f"Measured on {datetime.now(UTC).date()} ({machine}; {load:.1f} processes were waiting or running beforehand; clients and server "
        "share the cores) by `benchmarks/page_load.py`, 100,000 plants on SQLite:"
    )
    text = f"{words}\n\n{tables(pages, bare, brought, phones, took, started)}"
    print(text)
    if "--write" in arguments:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
        stored = {"date": str(datetime.now(UTC).date()), "load_before": load, "brought": brought, "phones": phones}
        stored |= {
            "pages": {
                page.name: {
                    "seconds": rounded(page.seconds),
                    "written": rounded(page.written),
                    "anew": rounded(page.anew),
                    "sent": page.sent,
                }
                for page in [*pages, bare]
            }
        }
        STORED.write_text(json.dumps(stored, ensure_ascii=False) + "\n", encoding="utf-8")
    return 0 if all(kept(page) for page in pages) and phones[0] < ALL_SENT_S and phones[1] == phones[2] == PHONES * EVENTS else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
