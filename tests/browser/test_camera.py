"""A label before the camera: a real browser that is given a film of one, and the pages that read it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, expect, sync_playwright

from scionary.names import code_of, grouped
from served import ask, fetch, run, serving
from watched import FLAGS, PHONE, Watched, watched

WIDTH, HEIGHT = 1280, 720
NO_READER = "delete window.BarcodeDetector;"
OWN_READER = """window.BarcodeDetector = class {
  static async getSupportedFormats() { return ["qr_code", "data_matrix"]; }
  async detect() { return (globalThis.shown ?? []).map(rawValue => ({ rawValue })); } };"""
LENT = """{ globalThis.lent = []; const give = navigator.mediaDevices?.getUserMedia.bind(navigator.mediaDevices);
  if (give) navigator.mediaDevices.getUserMedia = async (asked) => {
    const stream = await give(asked); globalThis.lent.push(stream); return stream; }; }"""
FORBIDDEN = "navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('no', 'NotAllowedError'));"
RUNNING = "globalThis.lent.map(stream => stream.getTracks().some(track => track.readyState === 'live'))"
LEAVE = """Object.defineProperty(document, "hidden", { value: true, configurable: true });
  document.dispatchEvent(new Event("visibilitychange"))"""
SCAN = """() => new Promise(done => import("/static/scionary/hand/scan.js").then(({ scan }) =>
  scan(document.body.appendChild(document.createElement("div")), (code, words) => setTimeout(() => done([code, words])))))"""
Held = Callable[..., Watched]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, str]]:
    """A book with two grafts and its pages, which also have a name that is no secure address."""
    folder: Path = tmp_path_factory.mktemp("camera")
    run(folder, "bench", "Red Tarn", "2")
    with serving(folder, SCIONARY_HOSTS="bench.test") as address:
        fetch(f"{address}/due/")
        yield folder, address


@pytest.fixture(scope="module")
def cameras(book: tuple[Path, str]) -> Iterator[Callable[[str], Browser]]:
    """A browser for each thing that is held before its camera: the book's first label, or nothing."""
    folder, _ = book
    path = os.environ.get("SCIONARY_BROWSER") or shutil.which("chromium") or shutil.which("chromium-browser")
    opened: dict[str, Browser] = {}
    with ExitStack() as stack:
        playwright = stack.enter_context(sync_playwright())

        def before(what: str) -> Browser:
            if what not in opened:
                shown = film(folder / f"{what}.y4m", printed_label(folder) if what == "label" else None)
                fake = [
                    "--use-fake-ui-for-media-stream",
                    "--use-fake-device-for-media-stream",
                    f"--use-file-for-fake-video-capture={shown}",
                ]
                flags = [*FLAGS, *fake, "--host-resolver-rules=MAP bench.test 127.0.0.1"]
                opened[what] = playwright.chromium.launch(executable_path=path, args=flags)
                stack.callback(opened[what].close)
            return opened[what]

        yield before


@pytest.fixture
def hold(book: tuple[Path, str], cameras: Callable[[str], Browser]) -> Iterator[Held]:
    """Gives a phone before whose camera something is held; nothing may go wrong on its page."""
    phones: list[Watched] = []

    def before(what: str, *scripts: str, host: str = "127.0.0.1") -> Watched:
        context = cameras(what).new_context(viewport=PHONE, has_touch=True)
        for script in (LENT, *scripts):
            context.add_init_script(script)
        phones.append(watched(context, book[1].replace("127.0.0.1", host)))
        return phones[-1]

    yield before
    for phone in phones:
        phone.page.context.close()
    assert [error for phone in phones for error in phone.errors if "origin was untrustworthy" not in error] == []


def printed_label(folder: Path) -> Image.Image:
    """The label of the book's first plant, as it is printed."""
    run(folder, "labels", "--grid", "single-60x30", "--out", str(folder / "labels.pdf"))
    return pypdfium2.PdfDocument((folder / "labels.pdf").read_bytes())[0].render(scale=4).to_pil().convert("L")


def film(path: Path, label: Image.Image | None) -> Path:
    """A film of a label held before a camera, not quite straight; of a wall alone without one."""
    wall = Image.new("L", (WIDTH, HEIGHT), 120)
    if label is not None:
        askew = label.rotate(9, expand=True, fillcolor=120, resample=Image.Resampling.BICUBIC)
        askew.thumbnail((WIDTH - 80, HEIGHT - 80))
        wall.paste(askew, (40, 40))
    light = np.asarray(wall, dtype=float) + np.random.default_rng(4).normal(0, 5, (HEIGHT, WIDTH))
    colourless = bytes([128]) * (WIDTH * HEIGHT // 2)
    frame = b"FRAME\n" + np.clip(light, 16, 235).astype(np.uint8).tobytes() + colourless
    path.write_bytes(f"YUV4MPEG2 W{WIDTH} H{HEIGHT} F10:1 Ip A1:1 C420jpeg\n".encode() + frame * 5)
    return path


def plant_called(folder: Path, name: str) -> tuple[str, str]:
    """Its code and its page."""
    (plant,) = ask(folder, "find", name)["plants"]
    return plant["code"], f"/plants/{plant['id']}/"


def begin(phone: Watched, path: str = "/plants/") -> Page:
    phone.go(path)
    phone.page.get_by_role("button", name="Read the label with the camera").first.click()
    phone.page.locator("video").wait_for()
    return phone.page


def show(page: Page, *texts: str) -> None:
    page.evaluate("texts => { globalThis.shown = texts; }", list(texts))


@pytest.mark.parametrize("path", ["/plants/", "/plants/photo/"])
def test_a_printed_label_before_the_camera_leads_to_its_plant(book: tuple[Path, str], hold: Held, path: str) -> None:
    _, leads_to = plant_called(book[0], "Red Tarn 1")
    page = begin(hold("label", NO_READER), path)
    page.wait_for_url(f"**{leads_to}", timeout=15_000)
    expect(page.get_by_role("heading", name="Red Tarn 1").first).to_be_visible()


def test_a_browser_that_reads_symbols_itself_sends_no_picture(book: tuple[Path, str], hold: Held) -> None:
    code, leads_to = plant_called(book[0], "Red Tarn 2")
    phone = hold("nothing", OWN_READER)
    sent: list[str] = []
    phone.page.on("request", lambda request: sent.append(request.post_data or "") if request.url.endswith("/seen/") else None)
    page = begin(phone)
    show(page, code)
    page.wait_for_url(f"**{leads_to}")
    assert len(sent) == 1
    assert code in sent[0]
    assert "image/jpeg" not in sent[0]


def test_several_labels_at_once_lead_to_their_list(book: tuple[Path, str], hold: Held) -> None:
    codes = [plant_called(book[0], f"Red Tarn {number}")[0] for number in (2, 1)]
    page = begin(hold("nothing", OWN_READER))
    show(page, *codes)
    page.wait_for_url(f"**/plants/photo/?code={codes[0]}&code={codes[1]}")
    expect(page.get_by_text("2 labels read, 2 plants found.")).to_be_visible()


def test_what_is_seen_is_said_and_a_strangers_symbol_leads_nowhere(book: tuple[Path, str], hold: Held) -> None:
    page = begin(hold("nothing", OWN_READER))
    said = page.locator(".camera [role=status]")
    expect(said).to_have_text("Hold a label before the camera.")
    show(page, "<img src=x>")
    expect(said).to_have_text("“<img src=x>” is no code of a plant.")
    expect(page.locator("video")).to_be_visible()
    show(page, code_of(5_000_000))
    page.wait_for_url("**/plants/?q=*")
    expect(page.get_by_text("is the label from another nursery?")).to_be_visible()


def test_the_camera_stops_when_told_and_can_be_begun_again(hold: Held) -> None:
    page = begin(hold("nothing", NO_READER))
    assert page.evaluate(RUNNING) == [True]
    page.get_by_role("button", name="Stop the camera").click()
    assert page.evaluate(RUNNING) == [False]
    expect(page.locator("video")).to_have_count(0)
    again = page.get_by_role("button", name="Read the label with the camera")
    expect(again).to_be_focused()
    again.click()
    page.locator("video").wait_for()


def test_the_camera_stops_when_the_page_is_left(hold: Held) -> None:
    page = begin(hold("nothing", NO_READER))
    page.evaluate(LEAVE)
    assert page.evaluate(RUNNING) == [False]
    expect(page.locator(".camera [role=status]")).to_have_text("The camera was stopped, because the page was left.")


def test_a_camera_that_may_not_be_used_is_said_so(hold: Held) -> None:
    phone = hold("nothing", FORBIDDEN)
    phone.go("/plants/")
    phone.page.get_by_role("button", name="Read the label with the camera").click()
    expect(phone.page.locator(".camera [role=status]")).to_have_text("The camera may not be used here. Type the code.")


def test_without_a_secure_address_the_photo_stands_alone(hold: Held) -> None:
    phone = hold("nothing", host="bench.test")
    phone.go("/plants/")
    expect(phone.page.locator("video, .camera button")).to_have_count(0)
    phone.page.get_by_role("link", name="Read labels from a photo").click()
    expect(phone.page.get_by_label("Take a photo")).to_be_visible()
    expect(phone.page.locator(".camera button")).to_have_count(0)


@pytest.mark.parametrize(
    ("sizes", "words"),
    [
        ([35, 0], "This photo has 35 MB; at most 30 MB are read."),
        ([25, 20], "These photos have 45 MB together; at most 40 MB can be sent. Choose fewer."),
    ],
)
def test_photos_that_are_too_heavy_are_told_before_they_are_sent(hold: Held, sizes: list[int], words: str) -> None:
    phone = hold("nothing")
    phone.go("/plants/photo/")
    page = phone.page
    page.evaluate(
        """sizes => document.querySelectorAll("input[type=file]").forEach((input, place) =>
        Object.defineProperty(input, "files", { value: sizes[place] ? [{ size: sizes[place] * 1e6 }] : [] }))""",
        sizes,
    )
    page.get_by_role("button", name="Read the labels").click()
    expect(page.locator("p.errorlist")).to_contain_text(words)
    assert page.url.endswith("/plants/photo/")


def test_codes_of_printed_labels_gather_in_the_field_of_the_bench(book: tuple[Path, str], hold: Held) -> None:
    taken, _ = plant_called(book[0], "Red Tarn 1")
    phone = hold("nothing", OWN_READER)
    phone.go("/bench/")
    phone.page.get_by_role("link", name="Red Tarn").first.click()
    phone.page.get_by_text("Several alike, thickness, label").click()
    phone.page.get_by_role("button", name="Read the label with the camera").click()
    phone.page.locator("video").wait_for()
    codes, field = [code_of(number) for number in (4_000_000, 4_000_001)], phone.page.locator("#id_codes")
    for place, code in enumerate(codes):
        show(phone.page, code)
        expect(field).to_have_value(", ".join(grouped(each) for each in codes[: place + 1]))
    show(phone.page, taken)
    expect(phone.page.locator(".camera [role=status]")).to_contain_text("Red Tarn 1")
    show(phone.page, codes[0])
    expect(field).to_have_value(", ".join(map(grouped, codes)))
    phone.page.get_by_role("button", name="Stop the camera").click()


@pytest.mark.parametrize(
    ("scripts", "seen", "heard"),
    [
        ([OWN_READER], "P8WECYC", ["P8WECYC", ""]),
        ([OWN_READER], "https://bench.test/plants/P8W ECYC/", ["P8WECYC", ""]),
        ([NO_READER], "", ["", "This browser reads no labels by the camera. Type the code."]),
        ([OWN_READER, FORBIDDEN], "", ["", "The camera may not be used here. Type the code."]),
    ],
)
def test_the_page_for_the_hand_hears_the_code_or_why_there_is_none(hold: Held, scripts: list[str], seen: str, heard: list[str]) -> None:
    phone = hold("nothing", *scripts)
    phone.go("/hand/")
    show(phone.page, seen)
    assert phone.page.evaluate(SCAN) == heard
    assert phone.page.evaluate(RUNNING) in ([], [False])


def test_a_label_read_on_a_round_jumps_to_its_row(book: tuple[Path, str], hold: Held) -> None:
    code, leads_to = plant_called(book[0], "Red Tarn 2")
    phone = hold("nothing", OWN_READER)
    phone.go("/domes/")
    dome = phone.page.locator("a[href*='/domes/0']").first.get_attribute("href")
    phone.go(f"{dome}round/")
    phone.page.get_by_text("Find a plant here by its label").click()
    phone.page.get_by_role("button", name="Read the label with the camera").click()
    phone.page.locator("video").wait_for()
    show(phone.page, code)
    phone.page.wait_for_url(f"**/round/#plant-{leads_to.split('/')[-2]}")
    expect(phone.page.locator(".plant-row.now")).to_have_attribute("data-said", "Red Tarn 2")
