"""The page for the hand without a signal: nothing that was tapped is lost, and all of it comes into the book once."""

from __future__ import annotations

import json
import socket
import sqlite3
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from scionary.files.ring import ring_arcs
from served import fetch, free_port, serving
from watched import DESKTOP, PHONE

Opened = Callable[..., "Hand"]
WORKER = """navigator.serviceWorker.ready.then(() => navigator.serviceWorker.controller ||
  new Promise(done => navigator.serviceWorker.addEventListener('controllerchange', done)))"""
AN_HOUR_FAST = """{ const True = Date; globalThis.Date = class extends True {
  constructor(...given) { given.length ? super(...given) : super(True.now() + 3600000); }
  static now() { return True.now() + 3600000; } }; }"""
FULL_WHEN_TOLD = """{ const add = IDBObjectStore.prototype.add; IDBObjectStore.prototype.add = function (...given) {
  if (globalThis.full) throw new DOMException("no room", "QuotaExceededError");
  return add.apply(this, given); }; }"""
SWIPE_LEFT = """{ const main = document.getElementById("main");
  const touch = x => new Touch({ identifier: 1, target: main, clientX: x, clientY: 200 });
  main.dispatchEvent(new TouchEvent("touchstart", { touches: [touch(300)], changedTouches: [touch(300)] }));
  main.dispatchEvent(new TouchEvent("touchend", { touches: [], changedTouches: [touch(120)] })); }"""
SMALL = """[...document.querySelectorAll('main button, main .button, nav.parts a')].filter(each => each.getClientRects().length
  && each.getBoundingClientRect().height < 48).map(each => each.textContent)"""
RING = """chance => import('/static/scionary/hand/ring.js').then(({ ring }) => {
  const drawn = Object.fromEntries(ring({ chance, mark: '' }, 20, 20, 16).filter(each => each?.hasAttribute('d'))
    .map(each => [each.getAttribute('class'), each.getAttribute('d')]));
  return { 'ring-possible': '', 'ring-sure': '', 'ring-best': '', ...drawn }; })"""
CODES = """typed => import('/static/scionary/hand/codes.js').then(({ find }) =>
  typed.map(each => find(each, ['P8KE3NA', 'P8KE3N2', '3M7NRCA'], code => code)))"""
PACE = """times => import('/static/scionary/hand/pace.js').then(({ anHour }) =>
  anHour(times.map(each => `2026-02-14T${each}:00Z`)))"""
LEARNT = """given => Promise.all([import('/static/scionary/hand/clock.js'), import('/static/scionary/hand/known.js')])
  .then(async ([clock, { known }]) => { const found = []; known.offset = null;
    for (const [there, asked, heard] of given) {
      await clock.learn(new Date(there * 1000).toISOString(), asked * 1000, heard * 1000);
      found.push(clock.offsetSeconds()); }
    return found; })"""
OFF = """seconds => import('/static/scionary/hand/waiting.js').then(({ clockWords }) => seconds.map(clockWords))"""
WIDTHS = """typed => import('/static/scionary/hand/bench.js').then(({ millimetres }) =>
  typed.map(each => { const found = millimetres(each, "mm"); return Number.isNaN(found) ? "odd" : found; }))"""
BEYOND = "document.documentElement.scrollWidth - window.innerWidth"


class Hand:
    """A phone with the page for the hand."""

    def __init__(self, context: BrowserContext, address: str, book: Path) -> None:
        self.context, self.address, self.book = context, address, book
        self.page: Page = context.new_page()

    def join(self, name: str) -> None:
        self.page.goto(f"{self.address}/hand/")
        self.page.get_by_label("Name of this phone").fill(name)
        self.tap("Take it along")
        self.says("What you write here")
        self.page.evaluate(WORKER)

    def tap(self, name: str) -> None:
        here = self.page.get_by_role("button", name=name).or_(self.page.get_by_role("link", name=name))
        here.first.click()

    def part(self, name: str) -> None:
        self.page.get_by_label("Parts").get_by_role("link", name=name).click()

    def set_bench(self) -> None:
        self.part("Bench")
        self.tap("Set the bench")
        self.page.locator("#next").wait_for()

    def graft(self, count: int = 1) -> list[str]:
        """Tap so many times; gives the names to say."""
        said = []
        for _ in range(count):
            name = self.page.locator("#next .together").inner_text()
            self.page.wait_for_timeout(360)  # a tap sooner than that is a double tap
            self.page.locator("#next").click()
            expect(self.page.locator("#next .together")).not_to_have_text(name)
            expect(self.page.locator(".label-made .spoken").first).to_have_text(name)
            said.append(name)
        return said

    def says(self, words: str) -> None:
        expect(self.page.locator("body")).to_contain_text(words, timeout=10_000)

    def reopen(self, path: str = "/hand/") -> None:
        self.page.close()
        self.page = self.context.new_page()
        self.page.goto(f"{self.address}{path}")
        self.page.locator("#wait").wait_for()

    def sent(self) -> None:
        """Wait until the book has it all."""
        expect(self.page.locator("#wait")).to_have_text("all sent", timeout=15_000)

    def events(self, kind: str, device: str) -> list[dict[str, Any]]:
        """What the book holds of this kind from a device."""
        with closing(sqlite3.connect(self.book)) as book:
            found = book.execute("SELECT id, happened_at, payload FROM book_event WHERE kind = ? AND device = ?", (kind, device))
            return [
                {"id": UUID(ident), "at": datetime.fromisoformat(at).replace(tzinfo=UTC), **json.loads(payload)}
                for ident, at, payload in found
            ]

    def plant(self, ident: UUID) -> tuple[str, list[str]]:
        """A plant's state, and what is disputed about it."""
        with closing(sqlite3.connect(self.book)) as book:
            state, disputed = book.execute("SELECT state, disputed FROM book_plant WHERE id = ?", (ident.hex,)).fetchone()
            return state, json.loads(disputed)

    def write_to_book(self, statement: str, *values: object) -> None:
        with closing(sqlite3.connect(self.book, timeout=10)) as book, book:
            assert book.execute(statement, values).rowcount == 1


def begun(context: BrowserContext, address: str) -> None:
    """A book with three grafts in a dome and a mother tree."""
    page = context.new_page()
    fetch(f"{address}/due/")
    page.goto(f"{address}/due/")
    page.get_by_role("link", name="Write down your first grafts").or_(
        page.get_by_role("button", name="Write down your first grafts")
    ).first.click()
    page.get_by_label("Which cultivar?").fill("Red Tarn")
    page.get_by_label("How many are made already?").fill("3")
    page.get_by_text("Dome, stock lot, date and more").click()
    page.get_by_label("Mother tree").fill("the tree by the gate")
    page.get_by_role("button", name="Begin").click()
    page.get_by_text("Red Tarn 3").first.wait_for()
    page.close()


@pytest.fixture(scope="module")
def nursery(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """(address, book) of a small nursery that all of these phones write into."""
    folder: Path = tmp_path_factory.mktemp("hand")
    with serving(folder) as address:
        fetch(f"{address}/due/")
        context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
        begun(context, address)
        context.close()
        yield address, folder / "book.sqlite3"


@pytest.fixture
def opened(browser: Browser, nursery: tuple[str, Path]) -> Iterator[Opened]:
    contexts = []

    def open_phone(name: str, *, script: str = "", **more: Any) -> Hand:
        context = browser.new_context(**{"viewport": PHONE, "has_touch": True, "accept_downloads": True, **more})
        contexts.append(context)
        if script:
            context.add_init_script(script)
        hand = Hand(context, *nursery)
        hand.join(name)
        return hand

    yield open_phone
    for context in contexts:
        context.close()


@pytest.mark.parametrize(("device", "window"), [("a day without", PHONE), ("a day without at a desk", DESKTOP)])
def test_a_day_without_signal_comes_into_the_book_once(opened: Opened, device: str, window: dict[str, int]) -> None:
    hand = opened(device, viewport=window)
    hand.set_bench()
    hand.sent()
    hand.context.set_offline(True)
    grafted = hand.graft(3)
    hand.tap("Blade changed")
    hand.part("Rounds")
    hand.tap("Dome 1")
    hand.tap("Next: Red Tarn")
    here = hand.page.locator(".plant-here .spoken")
    first = here.inner_text()
    hand.tap("Bud moving")  # a sign that shows in winter too
    hand.says("Now: bud moving")
    hand.tap("Firm")  # and the round goes on by itself
    expect(here).not_to_have_text(first)
    hand.page.wait_for_timeout(360)  # a tap sooner than that is a double tap
    hand.tap("Lost")
    hand.says("Now: lost")
    hand.part("Yard")
    hand.tap("the tree by the gate")
    hand.tap("Cut 12 sticks")
    hand.says("Write on the bag")

    # closed and opened again, still without a signal: all of it is there and waits
    hand.reopen()
    hand.says("8 waiting · not sent yet")
    assert hand.events("grafted", device) == []

    hand.context.set_offline(False)
    hand.part("Waiting")
    hand.sent()
    found = hand.events("grafted", device)
    assert [f"Red Tarn {each['running_number']}" for each in sorted(found, key=lambda each: each["id"])] == grafted
    assert len({each["code_number"] for each in found}) == 3
    kinds = Counter({kind: len(hand.events(kind, device)) for kind in ("scored", "lost", "scions_cut", "blade_cleaned")})
    assert kinds == {"scored": 2, "lost": 1, "scions_cut": 1, "blade_cleaned": 1}
    hand.reopen()
    hand.sent()
    assert len(hand.events("grafted", device)) == 3


def test_thickness_cut_and_lean_are_two_taps_away_and_go_with_every_graft(opened: Opened) -> None:
    hand = opened("cut and lean")
    hand.set_bench()
    hand.sent()
    hand.context.set_offline(True)
    hand.graft()
    hand.page.get_by_text("Several alike, printed label, thickness, cut").click()
    for name, typed in (("Stock, mm", "7"), ("Scion, mm", "3"), ("Length of the cut, mm", "18"), ("Top leaned by, mm", "left")):
        hand.page.get_by_label(name).fill(typed)
    hand.page.wait_for_timeout(360)
    hand.page.locator("#next").click()
    hand.says("“left” is no lean")
    hand.page.get_by_label("Top leaned by, mm").fill("0")
    hand.page.wait_for_timeout(360)
    hand.graft(2)
    hand.context.set_offline(False)
    hand.part("Waiting")
    hand.sent()
    sizes = [[each.get(name) for name in ("stock_mm", "scion_mm", "cut_mm", "lean_mm")] for each in hand.events("grafted", "cut and lean")]
    assert sorted(sizes, key=str) == [[7, 3, 18, 0], [7, 3, 18, 0], [None] * 4]


def test_with_the_machine_off_the_phone_says_so_and_keeps_what_is_tapped(browser: Browser, tmp_path: Path) -> None:
    port = str(free_port())
    context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
    hand = Hand(context, f"http://127.0.0.1:{port}", tmp_path / "book.sqlite3")
    with serving(tmp_path, "--port", port):
        begun(context, hand.address)
        hand.join("machine off")
        hand.set_bench()
        hand.sent()
        dome = hand.page.evaluate("fetch('/hand/data/').then(answer => answer.json()).then(told => told.domes[0].id)")
    hand.page.reload()
    assert hand.page.evaluate("navigator.onLine") is True  # and it lies
    hand.says("no signal")
    hand.graft(2)
    hand.says("2 waiting · not sent yet")
    for path, words in (("/bench/", "Next graft"), ("/findings/", "What you write here is kept")):
        hand.reopen(path)
        hand.says(words)
        hand.says("The book did not answer")
    with socket.create_server(("127.0.0.1", int(port))):  # a signal too weak: it is heard and never answers
        hand.reopen(f"/domes/{dome}/round/")
        hand.says("Dome 1: round")
        hand.says("The book did not answer")
        hand.page.close()
    hand.page = context.new_page()
    with serving(tmp_path, "--port", port):
        fetch(f"{hand.address}/due/")
        hand.reopen()
        hand.sent()
        assert len(hand.events("grafted", "machine off")) == 2
    context.close()


def test_an_answer_that_is_lost_on_the_way_writes_nothing_twice(opened: Opened) -> None:
    hand = opened("answer lost")
    hand.set_bench()
    hand.sent()
    heard = []

    def lose(route: Route) -> None:
        heard.append(route.fetch().json()["answers"][0]["status"])
        route.abort()

    hand.context.route("**/hand/events/", lose)
    hand.graft()
    hand.says("1 waiting · not sent yet")
    while not heard:
        hand.page.wait_for_timeout(50)
    hand.context.unroute("**/hand/events/")
    hand.reopen()
    hand.sent()
    assert heard[0] == "recorded"
    assert len(hand.events("grafted", "answer lost")) == 1


def test_a_phone_that_the_book_no_longer_knows_keeps_its_records(opened: Opened) -> None:
    hand = opened("ended")
    hand.set_bench()
    hand.sent()
    hand.write_to_book("UPDATE book_device SET ended_at = '2026-01-01 00:00:00' WHERE name = ?", "ended")
    hand.graft()
    hand.says("The book does not know this phone any more")
    hand.reopen()
    hand.says("1 waiting · not sent yet")
    hand.write_to_book("UPDATE book_device SET ended_at = NULL WHERE name = ?", "ended")
    hand.reopen()
    hand.sent()
    assert len(hand.events("grafted", "ended")) == 1


def test_a_busy_book_is_waited_for_and_one_record_that_it_cannot_read_holds_nothing_up(opened: Opened) -> None:
    hand = opened("busy")
    hand.set_bench()
    hand.sent()
    asked = []

    def answer(route: Route) -> None:
        events = (route.request.post_data_json or {})["events"]
        asked.append(len(events))
        if len(asked) == 1:
            route.fulfill(status=503, headers={"Retry-After": "1"})
        elif any(event["kind"] == "watered" for event in events):
            route.fulfill(status=400, json={"words": "Nobody can read this."})
        else:
            route.fallback()

    hand.context.route("**/hand/events/", answer)
    hand.graft()
    hand.says("1 waiting · not sent yet")
    hand.part("Rounds")
    hand.tap("Dome 1")
    hand.page.get_by_role("button", name="Watered").click()
    hand.page.wait_for_timeout(1_100)
    hand.tap("a third")
    hand.part("Waiting")
    hand.says("Nobody can read this.")
    expect(hand.page.locator("#wait")).to_have_text("1 not taken · look", timeout=15_000)
    assert [len(hand.events(kind, "busy")) for kind in ("grafted", "watered", "vented")] == [1, 0, 1]


def test_a_clock_that_is_an_hour_fast_still_writes_the_right_time(opened: Opened) -> None:
    hand = opened("an hour fast", script=AN_HOUR_FAST)
    hand.set_bench()
    hand.context.set_offline(True)
    before = time.time()
    hand.graft()
    after = time.time()
    hand.reopen()
    hand.part("Waiting")
    hand.says("60 minutes fast")
    hand.context.set_offline(False)
    hand.sent()
    [graft] = hand.events("grafted", "an hour fast")
    assert before - 4 <= graft["at"].timestamp() <= after + 4  # what a contact tells of the book's clock, half of its five seconds and more


def test_a_full_phone_says_so_and_loses_nothing(opened: Opened) -> None:
    hand = opened("full", script=FULL_WHEN_TOLD)
    hand.set_bench()
    hand.sent()
    hand.context.set_offline(True)
    [kept] = hand.graft()
    hand.page.evaluate("globalThis.full = true")
    [unkept] = hand.graft()
    hand.says("The phone could not keep that")
    hand.says("2 waiting · not sent yet")
    hand.part("Waiting")
    with hand.page.expect_download() as saving:
        hand.tap("Save to a file")
    held = json.loads(Path(saving.value.path()).read_text())
    assert [each["local"]["said"] for each in held["waiting"]] == [kept, unkept]
    hand.page.evaluate("globalThis.full = false")
    hand.context.set_offline(False)
    hand.sent()
    codes = [each["code_number"] for each in hand.events("grafted", "full")]
    assert len(codes) == len(set(codes)) == 2


def test_a_graft_is_two_taps_from_the_start_and_one_at_the_bench(opened: Opened) -> None:
    hand = opened("taps")
    hand.set_bench()
    hand.reopen()
    hand.part("Bench")  # one
    assert "Write on the label" not in hand.page.locator("main").inner_text()
    hand.page.locator("#next").click()  # two
    hand.says("Write on the label")
    hand.graft()  # and from then on one each
    hand.sent()
    assert len(hand.events("grafted", "taps")) == 2


def with_free_places(count: int) -> Callable[[Route], None]:
    """What the book tells, with so many free places on each tray."""
    free = [{"place": 0, "x_mm": 1, "y_mm": 1, "plant": None, "size_mm": 90}] * count

    def told(route: Route) -> None:
        data = route.fetch(headers={name: value for name, value in route.request.headers.items() if name != "if-none-match"}).json()
        for dome in data["domes"]:
            dome["pots"] = [{**pot, "x_mm": 1, "y_mm": 1} for pot in dome["pots"] if pot["plant"]] + free
        route.fulfill(json=data)

    return told


def test_a_full_dome_is_told_where_grafts_are_made(opened: Opened) -> None:
    hand = opened("room")
    hand.set_bench()
    for free in (0, 40):
        hand.context.route("**/hand/data/", with_free_places(free))
        hand.reopen()
        hand.part("Bench")
        expect(hand.page.get_by_text("One more has no place on it.")).to_have_count(0 if free else 1)
        hand.context.unroute("**/hand/data/")


def test_what_was_undone_before_it_was_sent_never_leaves_the_phone(opened: Opened) -> None:
    hand = opened("undone")
    hand.set_bench()
    hand.sent()
    hand.context.set_offline(True)
    hand.graft()
    hand.says("1 waiting · not sent yet")
    hand.tap("Undo Red Tarn")
    expect(hand.page.locator("#wait")).to_have_text("no signal")
    hand.context.set_offline(False)
    hand.reopen()
    hand.sent()
    assert hand.events("grafted", "undone") == []


def test_what_may_have_arrived_is_undone_by_a_record_of_its_own(opened: Opened) -> None:
    hand = opened("corrected")
    hand.set_bench()
    hand.sent()
    hand.context.route("**/hand/events/", lambda route: route.abort())
    with hand.page.expect_request("**/hand/events/"):
        hand.graft()
    hand.tap("Undo Red Tarn")
    hand.says("2 waiting · not sent yet")
    hand.context.unroute("**/hand/events/")
    hand.reopen()
    hand.sent()
    [graft], [correction] = hand.events("grafted", "corrected"), hand.events("corrected", "corrected")
    assert UUID(correction["target"]) == graft["id"]


def test_a_loss_that_was_said_more_of_twice_and_undone_leaves_no_doubt(opened: Opened) -> None:
    hand = opened("said more")
    hand.set_bench()
    [name] = hand.graft()
    hand.sent()
    hand.part("Rounds")
    hand.tap("Dome 1")
    hand.page.get_by_label("The tray as a list").or_(hand.page.get_by_text("The tray as a list")).first.click()
    hand.page.locator("details[open] a.open", has_text=name).click()
    hand.tap("Lost")
    hand.says("Now: lost")
    hand.sent()
    for sign in ("black wood", "mouldy"):
        hand.page.locator("#lost-sign").select_option(sign)
        hand.says(f"What is seen? {sign}.")
        hand.sent()
    ident = UUID(hand.page.evaluate("location.hash").rpartition("/")[2])
    assert hand.plant(ident) == ("dead", [])
    hand.page.locator("#undo").click()
    hand.says("Last:")
    hand.sent()
    assert len(hand.events("corrected", "said more")) == 3
    assert hand.plant(ident) == ("waiting", [])


def test_a_look_at_a_plant_undone_in_the_book_meanwhile_is_told_on_the_phone_and_listed_in_the_book(opened: Opened) -> None:
    hand = opened("undone meanwhile")
    hand.set_bench()
    [name] = hand.graft()
    hand.sent()
    hand.part("Rounds")
    hand.tap("Dome 1")
    hand.page.get_by_text("The tray as a list").first.click()
    hand.page.locator("details[open] a.open", has_text=name).click()
    hand.says("Last:")
    hand.context.set_offline(True)
    ident = hand.page.evaluate("location.hash").rpartition("/")[2]
    assert hand.context.browser
    laptop = hand.context.browser.new_context()
    book = laptop.new_page()
    book.goto(f"{hand.address}/plants/{ident}/")
    with book.expect_navigation():
        book.evaluate("""document.querySelector('li[id^=e] form[action="/undo/"]').submit()""")
    hand.tap("Firm")
    hand.context.set_offline(False)
    hand.part("Waiting")
    hand.sent()
    hand.says("Taken, and flagged")
    hand.says(f"{name}: Firm")
    hand.says("the graft was undone in the book")
    expect(hand.page.locator("[role=status]").first).to_contain_text("All is sent; 1 record is flagged.")
    book.goto(f"{hand.address}/due/kept-aside/")
    expect(book.locator("#waiting")).to_contain_text(name)
    with book.expect_navigation():
        book.get_by_role("button", name=f"Bring the plant back {name}").click()
    expect(book.locator("#waiting")).to_have_count(0)
    assert hand.plant(UUID(ident))[0] == "alive"
    laptop.close()


def test_what_the_book_cannot_take_is_kept_with_its_words(opened: Opened) -> None:
    hand = opened("refused")
    hand.set_bench()
    hand.sent()
    hand.context.set_offline(True)
    hand.part("Yard")
    hand.tap("the tree by the gate")
    hand.page.get_by_label("Sticks", exact=True).fill("9")
    hand.tap("Cut 9 sticks")
    hand.page.evaluate(
        """new Promise(done => { const open = indexedDB.open('scionary-hand'); open.onsuccess = () => {
        const list = open.result.transaction('waiting', 'readwrite').objectStore('waiting'); const all = list.getAll();
        all.onsuccess = () => { const [entry] = all.result; entry.event.payload.care = 'boiled';
          list.put(entry).onsuccess = done; }; }; })"""
    )
    hand.context.set_offline(False)
    hand.part("Waiting")
    hand.says("The book could not take 1 record")
    hand.says("Nothing waits, but the book could not take all of it.")
    expect(hand.page.locator("#wait")).to_have_text("1 not taken · look")
    hand.says("boiled")
    hand.tap("Delete")
    hand.says("Yes, delete it unsaved")
    hand.tap("Yes, delete it unsaved")
    hand.sent()
    assert hand.events("scions_cut", "refused") == []


def test_a_saved_file_is_taken_in_without_what_is_no_record(opened: Opened) -> None:
    hand = opened("taken in")
    hand.sent()
    look = {"kind": "observed", "happened_at": "2026-02-14T10:00:00Z", "payload": {"seen": "unchanged"}}
    dome = hand.page.evaluate("fetch('/hand/data/').then(answer => answer.json()).then(told => told.domes[0].id)")
    good = {**look, "id": "01a2238c-6673-7001-9327-3bcee71fe882", "subjects": [f"dome:{dome}"]}
    events = [good, *({**good, "id": ident} for ident in (7, None, {"a": 1}, ["x"]))]
    file = {"kept_by": "Scionary", "version": 1, "waiting": [{"event": event} for event in events], "refused": []}
    hand.part("Waiting")
    hand.page.get_by_text("Take in a saved file").click()
    chosen = {"name": "saved.json", "mimeType": "application/json", "buffer": json.dumps(file).encode()}
    hand.context.set_offline(True)
    hand.page.locator("#take-in").set_input_files(chosen)  # type: ignore[arg-type]
    expect(hand.page.locator("#told")).to_contain_text("1 of 1 was new and waits now.")
    with hand.page.expect_download():
        hand.tap("Save to a file")
    expect(hand.page.locator("#told")).to_contain_text("1 record is saved to a file.")
    hand.context.set_offline(False)
    hand.reopen()
    hand.sent()
    assert [each["id"] for each in hand.events("observed", "taken in")] == [UUID(good["id"])]


def test_a_graft_that_the_book_cannot_take_says_how_its_label_stays_right(opened: Opened) -> None:
    hand = opened("refused graft")
    hand.set_bench()
    hand.sent()
    hand.context.set_offline(True)
    hand.graft()
    code = hand.page.locator(".label-made .code").inner_text()
    hand.page.evaluate(
        """new Promise(done => { const open = indexedDB.open('scionary-hand'); open.onsuccess = () => {
        const list = open.result.transaction('waiting', 'readwrite').objectStore('waiting'); const all = list.getAll();
        all.onsuccess = () => { const [entry] = all.result; entry.event.payload.dome = '0190aaaa-0000-7000-8000-000000000000';
          list.put(entry).onsuccess = done; }; }; })"""
    )
    hand.context.set_offline(False)
    hand.part("Waiting")
    hand.says(f"Its label says {code}.")
    hand.tap("Bench in the book")
    hand.page.wait_for_url("**/bench/")


def test_a_round_goes_by_keys_and_the_ids_keep_their_order(opened: Opened) -> None:
    hand = opened("keys")
    hand.part("Rounds")
    hand.tap("Dome 1")
    hand.tap("Next: Red Tarn")
    hand.says("Last:")
    first = hand.page.locator("h1").inner_text()
    hand.page.keyboard.press("b")
    hand.says("Now: bud moving")
    hand.page.keyboard.press("ArrowRight")
    expect(hand.page.locator("h1")).not_to_have_text(first)
    hand.page.keyboard.press("ArrowLeft")
    expect(hand.page.locator("h1")).to_have_text(first)
    hand.page.keyboard.press("z")
    hand.says("Last:")
    hand.page.evaluate(SWIPE_LEFT)
    expect(hand.page.locator("h1")).not_to_have_text(first)
    made = hand.page.evaluate("import('/static/scionary/hand/ids.js').then(ids => Array.from({length: 5000}, () => ids.uuid7()))")
    assert made == sorted(set(made))
    assert {(UUID(ident).version, UUID(ident).variant) for ident in made} == {(7, "specified in RFC 4122")}


def test_an_answer_leads_on_to_the_next_plant_and_is_undone_from_there(opened: Opened) -> None:
    hand = opened("leads on")
    hand.set_bench()
    hand.graft(2)
    hand.context.set_offline(True)
    hand.part("Rounds")
    hand.tap("Dome 1")
    hand.tap("Next: Red Tarn")
    here = hand.page.locator(".plant-here .spoken")
    first = here.inner_text()
    hand.page.get_by_role("button", name="Firm").dblclick()
    expect(here).not_to_have_text(first)
    hand.says("Last:")  # the second of two quick taps was not meant for this one
    second = here.inner_text()
    hand.tap(f"Undo: {first} firm")
    expect(here).to_have_text(first)
    hand.says("Last:")
    for name in (first, second):
        hand.page.wait_for_timeout(360)
        expect(here).to_have_text(name)
        hand.page.keyboard.press("u")
        expect(here).not_to_have_text(name)
    hand.tap(f"Undo: {second} unchanged")
    expect(here).to_have_text(second)


def test_a_clock_that_is_days_off_is_told_in_days(opened: Opened) -> None:
    page = opened("days off").page
    told = page.evaluate(OFF, [90, -3600, 7200, 60 * 3060, -86400 * 30])
    spans = ["2 minutes slow", "60 minutes fast", "2 hours slow", "2 days slow", "30 days fast"]
    assert told == [f"This phone's clock is {span}. Times are written by the book's clock." for span in spans]


def test_a_slow_contact_tells_of_a_clock_only_what_it_can_know(opened: Opened) -> None:
    page = opened("slow contact").page
    # (the book's clock, asked and heard by the phone's): 3 s off in 12 s is nothing, an hour in 12 s counts, a quick contact betters it
    given = [(1009, 1000, 1012), (4606, 1000, 1012), (4604, 1000, 1002), (4620, 1000, 1012)]
    assert page.evaluate(LEARNT, given) == [0, 3600, 3603, 3603]


def test_the_ring_on_the_phone_is_the_ring_on_paper(opened: Opened) -> None:
    page = opened("ring").page
    for low, mid, high in ((0.3, 0.62, 0.9), (0.0, 0.4, 1.0), (0.55, 0.55, 0.55)):
        drawn = page.evaluate(RING, [low, mid, high])
        arcs = ring_arcs(low, mid, high, radius=16.0, centre=(20.0, 20.0))
        assert drawn == {"ring-possible": arcs.possible, "ring-sure": arcs.sure, "ring-best": arcs.best}


def test_a_worn_code_is_read_and_pauses_do_not_slow_the_pace(opened: Opened) -> None:
    page = opened("reads").page
    found = page.evaluate(CODES, ["p8k e3na", "P8KE3N?", "P?KE?NA", "P8K"])
    assert [each.get("found") for each in found] == ["P8KE3NA", None, "P8KE3NA", None]
    assert "fits several" in found[1]["words"]
    widths = page.evaluate(WIDTHS, ["7", "6,5", "6.5 mm", "1/4 in", "1 1/4 in", "5/8", "", "thick", "650", "1/0", "-3"])
    assert widths == [7, 6.5, 6.5, 6.35, 31.75, 0.63, None, "odd", "odd", "odd", "odd"]
    # 4, 4, 60 and 4 minutes apart: the hour is a pause, so 15 an hour; two grafts tell nothing yet
    assert page.evaluate(PACE, ["10:00", "10:04", "10:08", "11:08", "11:12"]) == 15
    assert page.evaluate(PACE, ["10:00", "10:04"]) is None


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_no_screen_is_wrong_on_a_phone(opened: Opened, theme: str) -> None:
    hand = opened(f"looked at in {theme}", color_scheme=theme, bypass_csp=True)
    hand.set_bench()
    hand.graft()
    wrong = look(hand, "bench")
    for part in ("Rounds", "Yard", "Waiting"):
        hand.part(part)
        wrong += look(hand, part)
    hand.part("Rounds")
    hand.tap("Dome 1")
    wrong += look(hand, "round")
    hand.page.locator("#next").click()
    hand.tap("Lost")
    hand.says("Now: lost")
    wrong += look(hand, "plant")
    assert wrong == []


def look(hand: Hand, screen: str) -> list[str]:
    """What is wrong with a screen, in words."""
    hand.page.locator("main > *").first.wait_for()
    results = Axe().run(hand.page).response["violations"]
    wider = hand.page.evaluate(BEYOND)
    small = hand.page.evaluate(SMALL)
    told = [f"{screen}: {v['id']}: {v['nodes'][0]['html'][:120]}" for v in results if v["impact"] in ("serious", "critical")]
    return [*told, *([f"{screen}: {wider} pixels too wide"] if wider > 0 else []), *(f"{screen}: small: {words}" for words in small)]
