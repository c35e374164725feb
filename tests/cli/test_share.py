"""scionary share: the pages over TLS, asked for by a client that trusts this machine's authority and nothing else."""

from __future__ import annotations

import http.client
import json
import re
import signal
import ssl
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from served import environment, fetch, free_port, run, surroundings

pytestmark = [pytest.mark.slow, pytest.mark.own_book]
PASSWORD = "tarn-bridge-larch-41"


@dataclass
class Shared:
    """A shared book, and a phone that trusts its authority."""

    folder: Path
    port: int
    trust: str
    process: subprocess.Popen[str]
    cookies: dict[str, str] = field(default_factory=dict)

    def trusting(self) -> ssl.SSLContext:
        with urllib.request.urlopen(f"{self.trust}/authority.crt", timeout=10) as answer:
            assert answer.headers["Content-Type"] == "application/x-x509-ca-cert"
            return ssl.create_default_context(cadata=answer.read())

    def ask(self, method: str, path: str, body: str | None = None, **headers: str) -> tuple[int, dict[str, str], str]:
        """(status, headers, body) over TLS; cookies are kept as a browser keeps them."""
        line = http.client.HTTPSConnection("localhost", self.port, context=self.trusting(), timeout=20)
        kept = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        own = {"Cookie": kept, "Origin": f"https://localhost:{self.port}", "X-CSRFToken": self.cookies.get("csrftoken", "")}
        line.request(method, path, body, {**own, **headers})
        answer = line.getresponse()
        for cookie in answer.headers.get_all("Set-Cookie") or []:
            assert "Secure" in cookie
            name, _, rest = cookie.partition("=")
            self.cookies[name] = rest.partition(";")[0]
        text = answer.read().decode(errors="replace")
        return answer.status, dict(answer.headers), text


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shared]:
    folder: Path = tmp_path_factory.mktemp("shared")
    port, trust_port = free_port(), free_port()
    command = [sys.executable, "-m", "scionary", "share", "--host", "127.0.0.1", "--port", str(port), "--trust-port", str(trust_port)]
    process = subprocess.Popen(
        [*command, "--account", "wren"], env=environment(folder, SCIONARY_PASSWORD=PASSWORD), stdout=subprocess.PIPE, text=True
    )
    fetch(f"http://127.0.0.1:{trust_port}/", patience_s=60)
    found = Shared(folder, port, f"http://127.0.0.1:{trust_port}", process)
    until = time.monotonic() + 60
    while True:
        try:
            found.ask("GET", "/account/login/")
            break
        except OSError:
            assert time.monotonic() < until
            time.sleep(0.2)
    yield found
    process.send_signal(signal.SIGINT)
    assert process.wait(timeout=20) == 0
    run(folder, "rebuild")


def test_every_page_asks_for_the_account_and_a_phone_gets_its_name_and_sends(shared: Shared) -> None:
    status, headers, _ = shared.ask("GET", "/book/phones/")
    assert (status, headers["location"]) == (302, "/account/login/?next=/book/phones/")
    assert shared.ask("GET", "/hand/data/")[0] == 401
    page = shared.ask("GET", "/account/login/")[2]
    form = {"username": "wren", "password": PASSWORD, "next": "/hand/", "csrfmiddlewaretoken": _token(page)}
    status, headers, _ = shared.ask("POST", "/account/login/", urlencode(form), **{"Content-Type": "application/x-www-form-urlencoded"})
    assert (status, headers["location"]) == (302, "/hand/")
    told = json.loads(shared.ask("GET", "/hand/data/")[2])
    assert told["version"] == 1
    json_sent: dict[str, Any] = {"Content-Type": "application/json"}
    status, _, text = shared.ask("POST", "/hand/device/", json.dumps({"name": "Wren's phone"}), **json_sent)
    assert status == 201, text
    token = json.loads(text)["token"]
    shared.cookies.clear()
    status, _, text = shared.ask("POST", "/hand/events/", '{"events": []}', Authorization=f"Bearer {token}", **json_sent)
    assert (status, json.loads(text)["answers"]) == (200, [])


def _token(page: str) -> str:
    found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
    assert found
    return found[1]


def test_a_client_that_does_not_trust_the_authority_is_warned(shared: Shared) -> None:
    line = http.client.HTTPSConnection("localhost", shared.port, context=ssl.create_default_context(), timeout=20)
    with pytest.raises(ssl.SSLCertVerificationError):
        line.request("GET", "/")


def test_the_plain_page_holds_the_certificate_and_nothing_of_the_book(shared: Shared) -> None:
    status, _, page = fetch(f"{shared.trust}/")
    assert status == 200
    assert "Take the certificate" in page
    assert f":{shared.port}/hand/" in page
    assert re.search(r"(?:[0-9A-F]{4} ){15}[0-9A-F]{4}", page)
    for path in ("/due/", "/hand/data/", "/../book.sqlite3", "/share/authority.key"):
        assert fetch(f"{shared.trust}{path}")[0] == 404
    assert "PRIVATE KEY" not in page


def test_a_request_that_is_longer_than_any_file_is_turned_away(shared: Shared) -> None:
    """Only its length is told: the answer comes before the body."""
    line = http.client.HTTPSConnection("localhost", shared.port, context=shared.trusting(), timeout=20)
    line.putrequest("POST", "/book/import/look/")
    line.putheader("Content-Length", str(10**9))
    line.endheaders()
    answer = line.getresponse()
    assert (answer.status, "bytes at once" in answer.read().decode()) == (413, True)


def test_without_an_account_nothing_is_shared(tmp_path: Path) -> None:
    done = _share(tmp_path)
    assert done.returncode == 2
    assert "no account exists" in done.stderr
    assert "scionary share --account NAME" in done.stderr
    assert not (tmp_path / "share").exists()


def test_without_the_extra_it_says_what_to_install(tmp_path: Path) -> None:
    """A module of this name that cannot be found, as on a machine without it."""
    program = (
        "import importlib.util as util, sys; find = util.find_spec\n"
        "util.find_spec = lambda name, *more: None if name == 'granian' else find(name, *more)\n"
        "sys.argv = ['scionary', 'share']\nfrom scionary.cli import main\nmain()"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], env=environment(tmp_path), capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 2
    assert "sharing needs what a book alone does not: granian. In the program's folder:" in done.stderr


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--port", "8080"], "both ports are 8080"),
        (["--name", "a b"], "'a b' is no name or address"),
        (["--name", "https://tarn"], "is no name or address"),
        (["--port", "70000"], "less than or equal to 65535"),
    ],
)
def test_what_cannot_be_is_refused_before_anything_is_made(tmp_path: Path, options: list[str], words: str) -> None:
    done = _share(tmp_path, *options)
    assert (done.returncode, words in done.stderr) == (2, True), done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_port_in_use_is_said(shared: Shared, tmp_path: Path) -> None:
    run_account = {"SCIONARY_PASSWORD": PASSWORD}
    done = _share(tmp_path, "--host", "127.0.0.1", "--port", str(shared.port), "--account", "wren", **run_account)
    assert done.returncode == 2
    assert f"port {shared.port} cannot be used" in done.stderr


def test_the_pages_of_this_machine_start_without_the_extra(tmp_path: Path) -> None:
    without = "import sys; sys.modules['granian'] = sys.modules['cryptography'] = None"
    program = f"{without}\nsys.argv = ['scionary', 'due']\nfrom scionary.cli import main\nmain()"
    done = subprocess.run(
        [sys.executable, "-c", program], env=environment(tmp_path), capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr


def _share(folder: Path, *options: str, **more: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "scionary", "share", *options]
    told = surroundings(folder / "book.sqlite3", **more)
    return subprocess.run(command, env=told, capture_output=True, text=True, timeout=60, check=False)
