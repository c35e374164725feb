"""This machine's own certificate authority: a TLS client that trusts it reaches this machine's names, and nothing else."""

from __future__ import annotations

import ssl
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization

from scionary.cli import authority
from scionary.cli.authority import AUTHORITY_LIVES, RENEWED_BEFORE, SERVER_LIVES, Papers, papers
from scionary.cli.own_addresses import own_names
from scionary.errors import Refused

NAMES = ["192.168.1.20", "tarn.local", "tarn", "localhost", "127.0.0.1", "::1"]
NOW = datetime.now(UTC).replace(microsecond=0)


def shakes_hands(made: Papers, trusted: bytes, name: str) -> None:
    """A TLS handshake with a client that trusts this authority alone; raises when the client refuses."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(made.certificate, made.key)
    client = ssl.create_default_context(cadata=trusted)
    there, back = ssl.MemoryBIO(), ssl.MemoryBIO()
    asking = client.wrap_bio(back, there, server_hostname=name)
    answering = server.wrap_bio(there, back, server_side=True)
    for _ in range(4):
        for side in (asking, answering):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    asking.do_handshake()


@pytest.mark.parametrize("name", NAMES)
def test_a_client_that_trusts_the_authority_reaches_every_name(tmp_path: Path, name: str) -> None:
    made = papers(tmp_path / "share", NAMES, now=NOW)
    shakes_hands(made, made.authority, name)


def test_a_client_that_trusts_another_authority_is_warned(tmp_path: Path) -> None:
    made, other = papers(tmp_path / "one", NAMES, now=NOW), papers(tmp_path / "two", NAMES, now=NOW)
    with pytest.raises(ssl.SSLCertVerificationError):
        shakes_hands(made, other.authority, "tarn.local")
    with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
        shakes_hands(made, made.authority, "192.168.1.21")


@pytest.mark.parametrize("elsewhere", ["bank.example", "203.0.113.9", "other.local"])
def test_the_authority_cannot_speak_for_anybody_else(tmp_path: Path, elsewhere: str) -> None:
    """Also when somebody takes its key: a certificate for another name is signed with it, and the client refuses."""
    made = papers(tmp_path, NAMES, now=NOW)
    root = x509.load_der_x509_certificate(made.authority)
    key = authority._read_key(tmp_path / "authority.key")
    assert key is not None
    authority._server(tmp_path, [elsewhere], root, key, NOW)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
        shakes_hands(made, made.authority, elsewhere)
    authority._server(tmp_path, ["10.1.2.3"], root, key, NOW)
    shakes_hands(made, made.authority, "10.1.2.3")


def test_keys_are_their_owners_alone_and_nothing_half_is_left(tmp_path: Path) -> None:
    papers(tmp_path / "share", NAMES, now=NOW)
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "share").iterdir()}
    assert modes == dict.fromkeys(("authority.crt", "authority.key", "server.crt", "server.key"), 0o600)
    assert stat.S_IMODE((tmp_path / "share").stat().st_mode) == 0o700


def test_shared_again_the_same_papers_serve(tmp_path: Path) -> None:
    first = papers(tmp_path, NAMES, now=NOW)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    again = papers(tmp_path, list(reversed(NAMES)), now=NOW + timedelta(days=60))
    assert (first.new_authority, again.new_authority) == (True, False)
    assert again.fingerprint == first.fingerprint
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_another_private_address_needs_no_new_trust(tmp_path: Path) -> None:
    first = papers(tmp_path, NAMES, now=NOW)
    moved = papers(tmp_path, ["10.0.0.7", *NAMES[1:]], now=NOW)
    assert (moved.new_authority, moved.authority) == (False, first.authority)
    shakes_hands(moved, first.authority, "10.0.0.7")
    with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
        shakes_hands(moved, first.authority, "192.168.1.20")


@pytest.mark.parametrize("name", ["other.local", "203.0.113.9"])
def test_a_new_name_or_an_address_of_the_open_net_makes_a_new_authority(tmp_path: Path, name: str) -> None:
    first = papers(tmp_path, NAMES, now=NOW)
    second = papers(tmp_path, [name, *NAMES], now=NOW)
    assert second.new_authority
    shakes_hands(second, second.authority, name)
    with pytest.raises(ssl.SSLCertVerificationError):
        shakes_hands(second, first.authority, name)


def test_a_certificate_that_runs_out_is_made_again_in_time(tmp_path: Path) -> None:
    first = papers(tmp_path, NAMES, now=NOW)
    assert first.ends == NOW + SERVER_LIVES
    later = papers(tmp_path, NAMES, now=first.ends - RENEWED_BEFORE + timedelta(minutes=1))
    assert (later.ends > first.ends, later.new_authority) == (True, False)
    last = papers(tmp_path, NAMES, now=NOW + AUTHORITY_LIVES - timedelta(days=160))
    assert (last.ends, last.new_authority) == (NOW + AUTHORITY_LIVES, False)
    assert papers(tmp_path, NAMES, now=NOW + AUTHORITY_LIVES - timedelta(days=100)).new_authority


@pytest.mark.parametrize("name", ["authority.crt", "authority.key", "server.crt", "server.key"])
@pytest.mark.parametrize("content", [None, b"", b"torn"])
def test_a_file_that_is_gone_or_torn_is_made_again(tmp_path: Path, name: str, content: bytes | None) -> None:
    papers(tmp_path, NAMES, now=NOW)
    (tmp_path / name).unlink() if content is None else (tmp_path / name).write_bytes(content)
    made = papers(tmp_path, NAMES, now=NOW)
    shakes_hands(made, made.authority, "tarn.local")
    assert made.new_authority == name.startswith("authority")


def test_the_papers_say_what_they_are_for(tmp_path: Path) -> None:
    made = papers(tmp_path, NAMES, now=NOW)
    root = x509.load_der_x509_certificate(made.authority)
    leaf = x509.load_pem_x509_certificate(made.certificate.read_bytes())
    assert root.extensions.get_extension_for_class(x509.BasicConstraints).value == x509.BasicConstraints(ca=True, path_length=0)
    assert root.extensions.get_extension_for_class(x509.NameConstraints).critical
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc < timedelta(days=398)
    assert (
        made.fingerprint.replace(" ", "") == __import__("hashlib").sha256(root.public_bytes(serialization.Encoding.DER)).hexdigest().upper()
    )


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(Refused, match=r"this folder cannot be made .*SCIONARY_BOOK"):
        papers(tmp_path / "file" / "share", NAMES, now=NOW)


def test_this_machines_names_begin_with_what_was_told_and_hold_its_own() -> None:
    names = own_names(["tarn.example"])
    assert names[0] == "tarn.example"
    assert {"localhost", "127.0.0.1", "::1"} <= set(names)
    assert len(names) == len(set(names))
