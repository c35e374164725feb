"""A page in a real browser that notes what goes wrong on it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from playwright.sync_api import Browser, BrowserContext, Page, expect

FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE = {"width": 360, "height": 740}
DESKTOP = {"width": 1280, "height": 800}
AHEAD = """{ const now = performance.now.bind(performance); globalThis.ahead = 0; performance.now = () => now() + globalThis.ahead; }"""


@dataclass
class Watched:
    """A page that notes what goes wrong: errors on the console and refused policies."""

    page: Page
    address: str
    errors: list[str] = field(default_factory=list)

    def go(self, path: str) -> None:
        answer = self.page.goto(f"{self.address}{path}")
        assert answer is not None
        assert answer.status == 200, f"{path}: {answer.status}"

    def tap(self, name: str, *, exact: bool = False) -> None:
        """Tap the button or link of this name."""
        role = self.page.get_by_role("button", name=name, exact=exact).or_(self.page.get_by_role("link", name=name, exact=exact))
        role.first.click()
        self.page.wait_for_load_state("networkidle")

    def take_along(self, name: str) -> None:
        """Name this phone to the book, so that the page for the hand works on it."""
        self.go("/hand/")
        self.page.get_by_label("Name of this phone").fill(name)
        self.page.get_by_role("button", name="Take it along").click()

    def text(self) -> str:
        return " ".join(self.page.locator("body").inner_text().split())


def later(page: Page) -> None:
    """Half a second passes, so that the next tap is no double tap; the page was opened with the script `AHEAD`."""
    page.evaluate("globalThis.ahead += 500")


@contextmanager
def named_phone(browser: Browser, address: str, name: str) -> Iterator[Watched]:
    """A phone that the book knows by this name, on the first screen of the page for the hand."""
    context = browser.new_context(viewport=PHONE, has_touch=True)  # type: ignore[arg-type]
    seen = watched(context, address)
    seen.take_along(name)
    expect(seen.page.locator("ul.lines")).to_be_visible()
    yield seen
    context.close()


def watched(context: BrowserContext, address: str) -> Watched:
    page = context.new_page()
    seen = Watched(page, address)
    page.on("console", lambda message: seen.errors.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: seen.errors.append(str(error)))
    return seen
