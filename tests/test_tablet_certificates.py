"""The practice's authority can vouch for its own network and nothing else; its server's certificate renews.

Judged by OpenSSL's command, not by the library that made the certificates.
"""

import ipaddress
import os
import stat
import subprocess
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, load_pem_private_key
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from clinic import authority, network
from clinic.authority import make_ready

NOW = datetime.now(UTC)
HOSTS = ("192.168.1.20", "fd00::2", "127.0.0.1", "::1", "localhost", "desk.local")
FILES = ("authority.crt", "authority.key", "server.crt", "server.key")


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "certificates"
    make_ready(made, HOSTS)
    return made


def read(folder, name="server") -> x509.Certificate:
    return x509.load_pem_x509_certificate((folder / f"{name}.crt").read_bytes())


def value(certificate, kind):
    return certificate.extensions.get_extension_for_class(kind).value


def verified(folder, certificate, *more: str, purpose: str = "sslserver") -> str:
    """ "" when OpenSSL accepts the certificate on the word of the authority, else its complaint."""
    file = folder / "asked.crt"
    file.write_bytes(certificate.public_bytes(Encoding.PEM))
    told = subprocess.run(
        ["openssl", "verify", "-purpose", purpose, *more, "-CAfile", folder / "authority.crt", file],
        capture_output=True,
        text=True,
    )
    return "" if told.returncode == 0 else told.stderr


def forged(folder, *names: x509.GeneralName, usage=ExtendedKeyUsageOID.SERVER_AUTH, ca=False):
    """What a thief of the authority's key would make."""
    key = load_pem_private_key((folder / "authority.key").read_bytes(), None)
    return (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Forged")]))
        .issuer_name(read(folder, "authority").subject)
        .public_key(ec.generate_private_key(ec.SECP256R1()).public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(NOW - timedelta(hours=1))
        .not_valid_after(NOW + timedelta(days=30))
        .add_extension(x509.BasicConstraints(ca=ca, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([usage]), critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .sign(key, hashes.SHA256())
    )


def ip(text: str) -> x509.IPAddress:
    return x509.IPAddress(ipaddress.ip_address(text))


# The authority


def test_the_authority_is_limited_to_networks_of_ones_own(folder):
    made = read(folder, "authority")
    limits = made.extensions.get_extension_for_class(x509.NameConstraints)
    assert limits.critical and limits.value.excluded_subtrees is None
    named = {str(each.value) for each in limits.value.permitted_subtrees}
    private = {"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7"}
    link_local, machine = {"169.254.0.0/16", "fe80::/10"}, {"127.0.0.0/8", "::1/128", "localhost", "local"}
    assert named == private | link_local | machine
    basic = value(made, x509.BasicConstraints)
    assert basic.ca and basic.path_length == 0
    assert value(made, x509.KeyUsage).key_cert_sign and not value(made, x509.KeyUsage).digital_signature


@pytest.mark.parametrize("own", ["10.1.2.3", "172.31.0.9", "192.168.255.1", "169.254.7.7", "fd12::9"])
def test_it_can_vouch_for_an_address_of_ones_own_network(folder, own):
    assert verified(folder, forged(folder, ip(own))) == ""


@pytest.mark.parametrize(
    "name",
    [
        *(x509.DNSName(name) for name in ("bank.example", "www.example.com", "local.example", "notlocal")),
        *(ip(text) for text in ("8.8.8.8", "172.32.0.1", "192.169.0.1", "11.0.0.1", "2001:db8::1")),
        x509.RFC822Name("someone@example.com"),
    ],
    ids=lambda name: str(name.value),
)
def test_a_stolen_key_can_pass_for_nothing_on_the_internet(folder, name):
    assert "permitted subtree violation" in verified(folder, forged(folder, name))
    assert "permitted subtree violation" in verified(folder, forged(folder, x509.DNSName("a.local"), name))


@pytest.mark.parametrize(
    ("usage", "purpose"),
    [(ExtendedKeyUsageOID.EMAIL_PROTECTION, "smimesign"), (ExtendedKeyUsageOID.CLIENT_AUTH, "sslclient")],
)
def test_a_stolen_key_can_sign_no_mail_and_pass_for_no_person(folder, usage, purpose):
    made = forged(folder, x509.DNSName("a.local"), usage=usage)
    # Depth 1 is the authority: it is refused for this, whatever it signed.
    assert "error 26 at 1 depth" in verified(folder, made, purpose=purpose)


def test_a_stolen_key_can_make_no_further_authority(folder):
    inner_key = ec.generate_private_key(ec.SECP256R1())
    inner = forged(folder, x509.DNSName("a.local"), ca=True)
    (folder / "inner.crt").write_bytes(inner.public_bytes(Encoding.PEM))
    leaf = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Leaf")]))
        .issuer_name(inner.subject)
        .public_key(inner_key.public_key())
        .serial_number(1)
        .not_valid_before(NOW - timedelta(hours=1))
        .not_valid_after(NOW + timedelta(days=1))
        .sign(inner_key, hashes.SHA256())
    )
    told = verified(folder, leaf, "-partial_chain", "-untrusted", folder / "inner.crt")
    assert "path length constraint exceeded" in told


def test_keys_are_the_owners_alone_whatever_the_umask(tmp_path):
    before = os.umask(0)
    try:
        make_ready(tmp_path / "certificates", HOSTS)
    finally:
        os.umask(before)
    for name in FILES:
        assert stat.S_IMODE((tmp_path / "certificates" / name).stat().st_mode) == 0o600, name
    assert stat.S_IMODE((tmp_path / "certificates").stat().st_mode) == 0o700


# The server's certificate


def test_it_names_exactly_the_hosts_and_lasts_no_longer_than_browsers_accept(folder):
    made = read(folder)
    names = value(made, x509.SubjectAlternativeName)
    found = [*names.get_values_for_type(x509.DNSName), *map(str, names.get_values_for_type(x509.IPAddress))]
    assert sorted(found) == sorted(HOSTS)
    lasts = made.not_valid_after_utc - made.not_valid_before_utc
    assert timedelta(days=390) < lasts <= timedelta(days=397)
    assert list(value(made, x509.ExtendedKeyUsage)) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert not value(made, x509.BasicConstraints).ca


@pytest.mark.parametrize("host", HOSTS)
def test_openssl_accepts_it_for_each_host(folder, host):
    option = "-verify_hostname" if host[-1].isalpha() else "-verify_ip"
    assert verified(folder, read(folder), "-x509_strict", option, host) == ""


def test_a_second_start_changes_nothing(folder):
    before = {name: (folder / name).read_bytes() for name in FILES}
    assert make_ready(folder, HOSTS) == authority.Made(authority=False, server=False)
    assert {name: (folder / name).read_bytes() for name in FILES} == before


@pytest.mark.parametrize("hosts", [("192.168.1.21", *HOSTS[1:]), HOSTS[:-1], (*HOSTS, "10.0.0.5")])
def test_it_is_made_anew_when_the_addresses_changed(folder, hosts):
    trusted = (folder / "authority.crt").read_bytes()
    assert make_ready(folder, hosts) == authority.Made(authority=False, server=True)
    assert (folder / "authority.crt").read_bytes() == trusted
    assert verified(folder, read(folder)) == ""
    assert make_ready(folder, hosts[::-1]) == authority.Made(authority=False, server=False)


@pytest.mark.parametrize(("days", "anew"), [(0, False), (360, False), (368, True), (500, True)])
def test_it_is_made_anew_when_it_nears_its_end(folder, days, anew):
    later = NOW + timedelta(days=days)
    assert make_ready(folder, HOSTS, later) == authority.Made(authority=False, server=anew)
    assert later + timedelta(days=29) < read(folder).not_valid_after_utc


def test_the_authority_lasts_ten_years_and_is_then_made_anew_with_its_server(folder):
    nine = NOW + timedelta(days=9 * 365)
    assert make_ready(folder, HOSTS, nine) == authority.Made(authority=False, server=True)
    assert read(folder).not_valid_after_utc <= read(folder, "authority").not_valid_after_utc
    assert make_ready(folder, HOSTS, NOW + timedelta(days=3640)) == authority.Made(
        authority=True, server=True
    )


@pytest.mark.parametrize("name", ["authority.key", "authority.crt"])
def test_a_damaged_authority_is_not_replaced_behind_ones_back(folder, name):
    (folder / name).write_text("damaged")
    with pytest.raises(authority.Unusable, match="backup"):
        make_ready(folder, HOSTS)
    assert (folder / name).read_text() == "damaged"


@pytest.mark.parametrize("name", ["server.key", "server.crt"])
def test_a_damaged_server_certificate_is_made_anew(folder, name):
    (folder / name).write_text("damaged")
    assert make_ready(folder, HOSTS) == authority.Made(authority=False, server=True)
    assert verified(folder, read(folder)) == ""


def test_a_first_start_that_was_cut_off_is_begun_again(folder):
    (folder / "authority.crt").unlink()
    assert make_ready(folder, HOSTS) == authority.Made(authority=True, server=True)


# The addresses


@pytest.mark.parametrize(
    ("host", "name"),
    [
        ("desk", "desk.local"),
        ("Desk.practice.example", "desk.local"),
        ("localhost", ""),
        ("my_desk", ""),
        ("", ""),
    ],
)
def test_the_name_on_the_network_is_the_first_part_of_the_host_name(host, name):
    assert network.local_name(host) == name


def test_it_offers_private_addresses_in_order_and_leaves_public_ones_out(monkeypatch):
    found = [
        ipaddress.ip_address(each)
        for each in ("203.0.113.9", "192.168.1.20", "fd00::2", "192.168.1.20", "10.0.0.4")
    ]
    monkeypatch.setattr(network, "found_here", lambda: iter(found))
    monkeypatch.setattr(network.socket, "gethostname", lambda: "desk")
    here = network.place()
    assert here.urls("8443") == (
        "https://192.168.1.20:8443/",
        "https://[fd00::2]:8443/",
        "https://10.0.0.4:8443/",
        "https://desk.local:8443/",
    )
    assert here.left_out == ("203.0.113.9",)
    assert set(here.hosts) == {*HOSTS, "10.0.0.4"}
