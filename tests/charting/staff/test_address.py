"""Whose word is taken for where a device stands.

OWASP ASVS 5.0, 4.1.3 (headers of an intermediary can't be overridden by the visitor) and 15.3.4 (the
original address is taken from what can't be manipulated).
"""

import ipaddress

import pytest
from django.test import RequestFactory

from charting.staff.requests import address_of
from clinic import proxies


@pytest.fixture
def two_proxies(settings):
    settings.TRUSTED_PROXIES = proxies.networks("10.0.0.5, 10.1.0.0/24")


def asked(peer: str, said: str = "") -> str:
    headers = {"X-Forwarded-For": said} if said else {}
    return address_of(RequestFactory().get("/", REMOTE_ADDR=peer, headers=headers))


@pytest.mark.parametrize(
    ("peer", "said", "found"),
    [
        ("10.0.0.5", "192.168.1.20", "192.168.1.20"),
        # Two of ours, one behind the other.
        ("10.0.0.5", "192.168.1.20, 10.1.0.9", "192.168.1.20"),
        # The visitor's own words stand before what our proxy adds.
        ("10.0.0.5", "6.6.6.6, 192.168.1.20, 10.1.0.9", "192.168.1.20"),
        ("10.0.0.5", "6.6.6.6, nonsense, 10.1.0.9", "10.1.0.9"),
        # A stranger may say what they like.
        ("10.0.0.6", "6.6.6.6", "10.0.0.6"),
        ("192.168.1.20", "10.0.0.5", "192.168.1.20"),
        # A socket file of this machine.
        ("", "192.168.1.20", "192.168.1.20"),
        ("", "", "127.0.0.1"),
    ],
)
def test_it_believes_no_one_but_our_own_proxies(two_proxies, peer, said, found):
    assert asked(peer, said) == found


@pytest.mark.parametrize("told", ["10.0.0.300", "proxy.example", "10.0.0.5/8", "0.0.0.0/0", "::/0"])
def test_it_refuses_what_it_can_not_read_or_what_would_trust_everybody(told):
    with pytest.raises(ValueError, match="TAUTLINE_PROXIES"):
        proxies.networks(told)


def test_this_machine_is_trusted_without_a_word():
    assert ipaddress.ip_address("127.0.0.1") in proxies.networks("")[0]
