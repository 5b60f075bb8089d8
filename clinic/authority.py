"""The practice's own small certificate authority, and the certificate of its server.

The authority is made once; a tablet trusts it once. It may vouch for private addresses, localhost and .local
names only, and only for servers: a stolen key can pass for nothing on the internet.
"""

import ipaddress
import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from clinic.network import OWN

AUTHORITY_LASTS = timedelta(days=3652)
# Browsers refuse server certificates that last longer than 398 days; one day to spare.
SERVER_LASTS = timedelta(days=397)
# How long before its end a certificate is made anew.
NEAR_ITS_END = timedelta(days=30)
# A tablet's clock may be behind.
SLACK = timedelta(hours=1)
NAMES = ("localhost", "local")


class Unusable(Exception):
    """A stored certificate or key that can't be used; the message says which file, and what to do."""


@dataclass(frozen=True)
class Signer:
    """A certificate and its key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey


@dataclass(frozen=True)
class Made:
    """What `make_ready` had to make."""

    authority: bool
    server: bool


def make_ready(folder: Path, hosts: Sequence[str], now: datetime | None = None) -> Made:
    """Have authority.crt, authority.key, server.crt and server.key in `folder`, valid for exactly `hosts`
    (addresses and names). What is there and good stays as it is. Raises Unusable.
    """
    now = now or datetime.now(UTC)
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    authority = _stored(folder, "authority")
    made_authority = authority is None or _ends_soon(authority, now)
    if authority is None or made_authority:
        authority = _new_authority(now)
        _store(folder, "authority", authority)
    server = _stored_server(folder)
    made_server = server is None or not _serves(server, authority, hosts, now)
    if made_server:
        _store(folder, "server", _new_server(authority, hosts, now))
    return Made(made_authority, made_server)


def _new_authority(now: datetime) -> Signer:
    key = ec.generate_private_key(ec.SECP256R1())
    name = _name(f"Tautline of this practice, {now:%Y-%m-%d}")
    made = (
        _begin(name, name, key, now, now + AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_limits(), critical=True)
        .sign(key, hashes.SHA256())
    )
    return Signer(made, key)


def _limits() -> x509.NameConstraints:
    """All that the authority may vouch for (RFC 5280, 4.2.1.10). A kind of name that isn't mentioned would be
    free, hence the line for e-mail addresses.
    """
    names = [x509.DNSName(name) for name in NAMES]
    addresses = [x509.IPAddress(network) for network in OWN]
    return x509.NameConstraints([*names, *addresses, x509.RFC822Name("localhost")], excluded_subtrees=None)


def _new_server(authority: Signer, hosts: Sequence[str], now: datetime) -> Signer:
    key = ec.generate_private_key(ec.SECP256R1())
    ends = min(now - SLACK + SERVER_LASTS, authority.certificate.not_valid_after_utc)
    signer = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key())
    made = (
        _begin(_name("Tautline server"), authority.certificate.subject, key, now, ends)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName([_general_name(host) for host in hosts]), critical=False)
        .add_extension(signer, critical=False)
        .sign(authority.key, hashes.SHA256())
    )
    return Signer(made, key)


def _begin(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime, ends: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - SLACK)
        .not_valid_after(ends)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
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


def _name(words: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, words)])


def _general_name(host: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(host))
    except ValueError:
        return x509.DNSName(host)


def _serves(server: Signer, authority: Signer, hosts: Sequence[str], now: datetime) -> bool:
    """Whether this certificate is by our authority, for exactly these hosts, and for some time yet."""
    try:
        server.certificate.verify_directly_issued_by(authority.certificate)
        named = server.certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound):
        return False
    return set(named) == {_general_name(host) for host in hosts} and not _ends_soon(server, now)


def _ends_soon(signer: Signer, now: datetime) -> bool:
    """Also when it has not begun: a clock that was wrong when it was made."""
    made = signer.certificate
    return not made.not_valid_before_utc <= now < made.not_valid_after_utc - NEAR_ITS_END


def _stored(folder: Path, name: str) -> Signer | None:
    """What is in `name`.crt and `name`.key; None when neither is there, or only the key (left by a start that
    was cut off).
    """
    certificate, key = folder / f"{name}.crt", folder / f"{name}.key"
    if not certificate.exists():
        return None
    try:
        made = x509.load_pem_x509_certificate(certificate.read_bytes())
        secret = load_pem_private_key(key.read_bytes(), password=None)
    except (OSError, ValueError) as problem:
        raise Unusable(_mend(folder, name)) from problem
    if not isinstance(secret, ec.EllipticCurvePrivateKey) or secret.public_key() != made.public_key():
        raise Unusable(_mend(folder, name))
    return Signer(made, secret)


def _stored_server(folder: Path) -> Signer | None:
    """As `_stored`; what is damaged counts as not there, for no tablet remembers it."""
    try:
        return _stored(folder, "server")
    except Unusable:
        return None


def _mend(folder: Path, name: str) -> str:
    return (
        f"The certificate {folder / name}.crt and its key beside it cannot be used together: put both back "
        f"from a backup, or delete the folder {folder} and let every tablet trust the new authority"
    )


def _store(folder: Path, name: str, signer: Signer) -> None:
    """The key first: a certificate without its key would look finished."""
    key = signer.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    _write(folder / f"{name}.key", key)
    _write(folder / f"{name}.crt", signer.certificate.public_bytes(Encoding.PEM))


def _write(path: Path, content: bytes) -> None:
    """Under another name first, with rights 600 from its first byte; whole, or not there at all."""
    trial = path.with_name(f".{path.name}-{os.getpid()}")
    trial.unlink(missing_ok=True)
    handle = os.open(trial, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    trial.replace(path)
