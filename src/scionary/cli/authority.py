"""A certificate authority of this machine's own, and the certificate that it gives the pages, so that phones reach them over TLS.

The authority can speak for this machine's names and for addresses of private networks only: trusted on a phone, it opens nothing else.
"""

from __future__ import annotations

import ipaddress
import os
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scionary.errors import Refused

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.x509 import Certificate, CertificateBuilder, GeneralName

AUTHORITY_LIVES = timedelta(days=730)
SERVER_LIVES = timedelta(days=300)
RENEWED_BEFORE = timedelta(days=200)  # a certificate with less left is made again when the sharing starts
_EARLIER = timedelta(days=1)  # a phone's clock may be behind
_PRIVATE = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128")


@dataclass(frozen=True)
class Papers:
    """Where the server's certificate and key lie, the authority's certificate for phones, and whether phones must trust a new one."""

    certificate: Path
    key: Path
    authority: bytes
    fingerprint: str
    ends: datetime
    new_authority: bool


def papers(folder: Path, names: Sequence[str], *, now: datetime) -> Papers:
    """What is needed to serve under these names: made where it is missing, runs out, or does not fit the names any more."""
    _make_folder(folder)
    authority, key, new = _authority(folder, names, now)
    certificate, own = _read_certificate(folder / "server.crt"), _read_key(folder / "server.key")
    whole = certificate is not None and own is not None and certificate.public_key() == own.public_key()
    if new or certificate is None or not whole or not _fits(certificate, names, now):
        certificate = _server(folder, names, authority, key, now)
    from cryptography.hazmat.primitives import hashes, serialization

    told = authority.fingerprint(hashes.SHA256()).hex().upper()
    return Papers(
        certificate=folder / "server.crt",
        key=folder / "server.key",
        authority=authority.public_bytes(serialization.Encoding.DER),
        fingerprint=" ".join(told[i : i + 4] for i in range(0, len(told), 4)),
        ends=certificate.not_valid_after_utc,
        new_authority=new,
    )


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        folder.chmod(0o700)
    except OSError as error:
        remedy = "Set SCIONARY_BOOK to a folder that can be written."
        raise Refused(f"this folder cannot be made ({error.strerror}).", where=str(folder), remedy=remedy) from None


def _authority(folder: Path, names: Sequence[str], now: datetime) -> tuple[Certificate, EllipticCurvePrivateKey, bool]:
    """The authority that is there, as long as it can speak for these names; else a new one, which phones have to trust anew."""
    found, key = _read_certificate(folder / "authority.crt"), _read_key(folder / "authority.key")
    alive = found is not None and found.not_valid_after_utc - now > SERVER_LIVES / 2
    if found and key and alive and found.public_key() == key.public_key() and _speaks_for(found, names):
        return found, key, False
    from cryptography import x509

    key = _new_key()
    name = _name(f"Scionary on {_host(names)}, {now.date().isoformat()}")
    builder = _begun(name, name, key, now, AUTHORITY_LIVES)
    builder = builder.add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
    builder = builder.add_extension(x509.NameConstraints(_permitted(names), None), critical=True)
    builder = builder.add_extension(_usage(signs_certificates=True), critical=True)
    made = _signed(builder, key)
    _write(folder / "authority.key", _pem_of_key(key))
    _write(folder / "authority.crt", _pem(made))
    return made, key, True


def _server(folder: Path, names: Sequence[str], authority: Certificate, own: EllipticCurvePrivateKey, now: datetime) -> Certificate:
    """A certificate for these names with a key of its own, signed by the authority; it is kept with the authority's behind it."""
    from cryptography import x509
    from cryptography.x509.oid import ExtendedKeyUsageOID

    key = _new_key()
    lives = min(SERVER_LIVES, authority.not_valid_after_utc - now)
    builder = _begun(_name("Scionary, the pages"), authority.subject, key, now, lives)
    builder = builder.add_extension(x509.SubjectAlternativeName([_general(name) for name in names]), critical=False)
    builder = builder.add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
    builder = builder.add_extension(_usage(signs_certificates=False), critical=True)
    builder = builder.add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
    issuer = x509.AuthorityKeyIdentifier.from_issuer_public_key(own.public_key())
    made = _signed(builder.add_extension(issuer, critical=False), own)
    _write(folder / "server.key", _pem_of_key(key))
    _write(folder / "server.crt", _pem(made) + _pem(authority))
    return made


def _fits(certificate: Certificate, names: Sequence[str], now: datetime) -> bool:
    """Whether the server's certificate is for exactly these names and lives long enough."""
    from cryptography import x509

    held = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return set(held) == {_general(name) for name in names} and certificate.not_valid_after_utc - now > RENEWED_BEFORE


def _speaks_for(authority: Certificate, names: Sequence[str]) -> bool:
    from cryptography import x509

    held = authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    return set(_permitted(names)) <= set(held)


def _permitted(names: Sequence[str]) -> list[GeneralName]:
    """Private networks, this machine's own names, and each address of it that lies outside private networks."""
    from cryptography import x509

    networks = [ipaddress.ip_network(network) for network in _PRIVATE]
    addresses = [address for name in names if (address := _address(name)) is not None]
    beyond = [ipaddress.ip_network(address) for address in addresses if not any(address in network for network in networks)]
    own = sorted({name for name in names if _address(name) is None})
    return [*(x509.DNSName(name) for name in own), *(x509.IPAddress(network) for network in [*networks, *sorted(set(beyond), key=str)])]


def _general(name: str) -> GeneralName:
    from cryptography import x509

    address = _address(name)
    return x509.DNSName(name) if address is None else x509.IPAddress(address)


def _address(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None


def _host(names: Sequence[str]) -> str:
    return next((name for name in names if _address(name) is None), names[0])[:40]


def _name(text: str) -> Any:
    from cryptography import x509
    from cryptography.x509.oid import NameOID

    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text[:64])])


def _begun(subject: Any, issuer: Any, key: EllipticCurvePrivateKey, now: datetime, lives: timedelta) -> CertificateBuilder:
    from cryptography import x509

    builder = x509.CertificateBuilder().subject_name(subject).issuer_name(issuer).public_key(key.public_key())
    builder = builder.serial_number(x509.random_serial_number()).not_valid_before(now - _EARLIER).not_valid_after(now + lives)
    return builder.add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)


def _usage(*, signs_certificates: bool) -> Any:
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _signed(builder: CertificateBuilder, key: EllipticCurvePrivateKey) -> Certificate:
    from cryptography.hazmat.primitives import hashes

    return builder.sign(key, hashes.SHA256())


def _new_key() -> EllipticCurvePrivateKey:
    from cryptography.hazmat.primitives.asymmetric import ec

    return ec.generate_private_key(ec.SECP256R1())


def _pem(certificate: Certificate) -> bytes:
    from cryptography.hazmat.primitives import serialization

    return certificate.public_bytes(serialization.Encoding.PEM)


def _pem_of_key(key: EllipticCurvePrivateKey) -> bytes:
    from cryptography.hazmat.primitives import serialization

    return key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())


def _read_certificate(path: Path) -> Certificate | None:
    """The first certificate of a file; None where there is none that can be read."""
    from cryptography import x509

    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except (OSError, ValueError):
        return None


def _read_key(path: Path) -> EllipticCurvePrivateKey | None:
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric import ec

    try:
        found = serialization.load_pem_private_key(path.read_bytes(), None)
    except (OSError, ValueError, TypeError):
        return None
    return found if isinstance(found, ec.EllipticCurvePrivateKey) else None


def _write(path: Path, content: bytes) -> None:
    """A file that is there as a whole or not at all, and that only its owner can read."""
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        raise Refused(f"this file cannot be written ({error.strerror}).", where=str(path), remedy="Make room for it.") from None
