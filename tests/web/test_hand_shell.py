"""The frame of the page for the hand: nothing of the book in it, small, and told to phones with every file that belongs to it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client

from scionary.answers.rounds import SEEN
from scionary.book.models import Nursery

SCRIPTS = Path(str(finders.find("scionary/hand/app.js"))).parent
SIGN = re.compile(r'said: "([a-z-]+)".*kind: "([a-z]+)", payload: \{(.*?)\} \}')
MOST_BYTES = 150_000


def kept(client: Client) -> dict[str, object]:
    """What the worker is told to keep."""
    found = re.match(r"self\.KEPT = (.*);\n", client.get("/sw.js").content.decode())
    assert found
    told: dict[str, object] = json.loads(found[1])
    return told


def test_the_frame_opens_for_anybody_and_tells_nothing_of_the_book(client: Client, nursery: Nursery, settings: object) -> None:
    settings.LOGIN_REQUIRED = True  # type: ignore[attr-defined]
    assert [client.get(path).status_code for path in ("/hand/", "/sw.js", "/manifest.webmanifest")] == [200, 200, 200]
    assert nursery.name not in client.get("/hand/").content.decode()
    assert client.get("/bench/").status_code == 302


def test_the_worker_may_stand_before_every_page_and_is_never_old(client: Client, db: None) -> None:
    answer = client.get("/sw.js")
    assert (answer["Service-Worker-Allowed"], answer["Cache-Control"]) == ("/", "no-cache")
    assert answer["Content-Type"].startswith("text/javascript")


def test_every_script_that_another_one_imports_is_kept_on_the_phone(client: Client, db: None) -> None:
    files = {str(name).rpartition("/")[2] for name in kept(client)["files"]}  # type: ignore[attr-defined]
    imported = {name for path in SCRIPTS.glob("*.js") for name in re.findall(r'from "\./(\w+\.js)"', path.read_text())}
    assert imported | {"app.js"} == {name for name in files if name.endswith(".js")}


def test_what_the_phone_loads_at_first_is_small(client: Client, db: None) -> None:
    """Bytes over the line, packed as every browser asks for them."""
    addresses = ["/hand/", "/sw.js", *(str(name) for name in kept(client)["files"])]  # type: ignore[attr-defined]
    sizes = [len(b"".join(client.get(address, headers={"accept-encoding": "gzip"}))) for address in addresses]
    assert min(sizes) > 0
    assert sum(sizes) < MOST_BYTES / 2


def test_one_changed_file_makes_another_worker(client: Client, db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    from scionary.web.hand import shell

    before, read = kept(client)["version"], shell._read
    monkeypatch.setattr(shell, "_read", lambda name: read(name) + (b" " if name == "hand/bench.js" else b""))
    assert kept(client)["version"] != before


def test_a_sign_on_the_phone_writes_what_it_writes_on_a_round() -> None:
    found = {
        said: (kind, dict(re.findall(r'(\w+): "(\w+)"', payload)))
        for said, kind, payload in SIGN.findall((SCRIPTS / "signs.js").read_text())
    }
    assert len(found) == 10
    assert found == {said: SEEN[said] for said in found}


def test_the_manifest_names_icons_that_are_there(client: Client, db: None) -> None:
    told = json.loads(client.get("/manifest.webmanifest").content)
    assert (told["name"], told["start_url"], told["display"]) == ("Scionary", "/hand/", "standalone")
    assert {client.get(icon["src"]).status_code for icon in told["icons"]} == {200}
