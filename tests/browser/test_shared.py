"""The pages as a phone has them: over TLS, under an address of this machine on its network, in a browser that trusts the authority.

The browser is told to trust the authority by the hash of its key, and looks at no name then; that the certificate is for the address, a
client in Python finds, which trusts the authority alone and checks the name.
"""

from __future__ import annotations

import base64
import hashlib
import os
import shutil
import signal
import ssl
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from playwright.sync_api import Error, expect, sync_playwright

from scionary.cli.own_addresses import own_names
from served import environment, fetch, free_port, run
from watched import FLAGS, PHONE

pytestmark = [pytest.mark.slow, pytest.mark.own_book]
PASSWORD = "tarn-bridge-larch-41"
HERE = own_names()[0]
CONTROLLED = """navigator.serviceWorker.ready.then(() => navigator.serviceWorker.controller ||
  new Promise(done => navigator.serviceWorker.addEventListener('controllerchange', done))).then(() => isSecureContext)"""


@dataclass(frozen=True)
class Shared:
    """Where the pages are, and the authority that speaks for them."""

    address: str
    trust: str
    authority: bytes

    @property
    def key_hash(self) -> str:
        key = x509.load_der_x509_certificate(self.authority).public_key()
        return base64.b64encode(hashlib.sha256(key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)).digest()).decode()


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shared]:
    if HERE.startswith("127.") or HERE == "localhost" or HERE.endswith(".local"):
        pytest.skip("this machine has no address beside those of its own loop")
    folder: Path = tmp_path_factory.mktemp("shared")
    run(folder, "bench", "Red Tarn", "3", "--dome", "Dome 1")
    port, trust_port = free_port(), free_port()
    command = [sys.executable, "-m", "scionary", "share", "--port", str(port), "--trust-port", str(trust_port), "--account", "wren"]
    process = subprocess.Popen(command, env=environment(folder, SCIONARY_PASSWORD=PASSWORD), stdout=subprocess.PIPE, text=True)
    trust = f"http://{HERE}:{trust_port}"
    fetch(f"{trust}/", patience_s=60)
    with urllib.request.urlopen(f"{trust}/authority.crt", timeout=10) as answer:
        authority = answer.read()
    found = Shared(f"https://{HERE}:{port}", trust, authority)
    _wait_for(found)
    yield found
    process.send_signal(signal.SIGINT)
    assert process.wait(timeout=20) == 0
    run(folder, "rebuild")


def _wait_for(shared: Shared) -> None:
    """Until a client that trusts the authority alone is answered under this address."""
    trusting, until = ssl.create_default_context(cadata=shared.authority), time.monotonic() + 60
    while True:
        try:
            with urllib.request.urlopen(f"{shared.address}/account/login/", timeout=10, context=trusting) as answer:
                assert answer.status == 200
                return
        except OSError:
            assert time.monotonic() < until
            time.sleep(0.2)


def test_a_browser_that_trusts_the_authority_pairs_and_writes_without_a_signal(shared: Shared, tmp_path: Path) -> None:
    path = os.environ.get("SCIONARY_BROWSER") or shutil.which("chromium") or shutil.which("chromium-browser")
    assert path, "no Chromium was found"
    with sync_playwright() as playwright:
        stranger = playwright.chromium.launch(executable_path=path, args=FLAGS)
        with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
            stranger.new_page().goto(f"{shared.address}/")
        stranger.close()

        trusting = [*FLAGS, f"--ignore-certificate-errors-spki-list={shared.key_hash}"]
        context = playwright.chromium.launch_persistent_context(
            tmp_path / "phone", executable_path=path, args=trusting, viewport=PHONE, has_touch=True
        )
        page = context.new_page()
        page.goto(f"{shared.trust}/")
        expect(page.get_by_role("link", name="Take the certificate")).to_be_visible()
        page.goto(f"{shared.address}/hand/")
        page.locator("main a[href*='/account/login/']").first.click()
        page.locator("[name=username]").fill("wren")
        page.locator("[name=password]").fill(PASSWORD)
        page.locator("form button").first.click()
        page.wait_for_url("**/hand/")
        page.locator("#phone-name").fill("Wren's phone")
        page.locator("#join").click()
        expect(page.locator("ul.lines")).to_be_visible(timeout=20_000)
        assert page.evaluate(CONTROLLED) is True

        context.set_offline(True)
        page.reload()
        page.locator("#parts [data-part=rounds]").click()
        page.locator("a.open").first.click()
        page.locator("#watered").click()
        expect(page.locator("#wait")).to_contain_text("waiting")
        context.set_offline(False)
        page.reload()
        expect(page.locator("#wait")).to_have_text("all sent", timeout=20_000)
        page.goto(f"{shared.address}/book/phones/")
        expect(page.locator("body")).to_contain_text("Wren's phone")
        context.close()
