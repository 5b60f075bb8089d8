"""The secret of a second factor: made, kept sealed, and turned into codes. No tables here.

Codes are those of RFC 6238 with its defaults (HMAC-SHA-1, six digits, steps of 30 seconds), which every
authenticator knows. The secret is sealed with a key made from the practice's SECRET_KEY.
"""

import base64
import secrets
from functools import cache

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from cryptography.hazmat.primitives.constant_time import bytes_eq
from cryptography.hazmat.primitives.hashes import SHA1, SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.twofactor.totp import TOTP
from django.conf import settings

STEP_SECONDS = 30
DIGITS = 6
# RFC 4226, section 4, R6: 160 bits.
SECRET_BYTES = 20
# A code that was read in the last second of its step is still good in the next one, and none from the future
# is: RFC 6238, section 5.2, "at most one time step". So a code lives up to 60 s, not the 30 of ASVS 6.5.5.
STEPS_BACK = 1


def new_secret() -> bytes:
    return secrets.token_bytes(SECRET_BYTES)


def seal(secret: bytes, user_id: int) -> bytes:
    """The secret so that only this practice's key opens it, and only for this person."""
    return _box(_keys()).encrypt(b"%d:" % user_id + secret)


def unseal(sealed: bytes, user_id: int, *, within: int | None = None) -> bytes:
    """The secret. `within`: seconds that may have passed since it was sealed. Raises ValueError when it was
    not sealed here, for this person and lately enough.
    """
    try:
        whose, _, secret = _box(_keys()).decrypt(sealed, ttl=within).partition(b":")
    except InvalidToken:
        raise ValueError("not sealed with a key of this practice, or too long ago") from None
    if whose != b"%d" % user_id:
        raise ValueError("sealed for somebody else")
    return secret


def step_of(code: str, secret: bytes, now: float) -> int | None:
    """The step of time whose code this is, the present one or the one before; None for any other code.
    `now` in seconds since 1970.
    """
    here = int(now) // STEP_SECONDS
    for step in range(here, here - STEPS_BACK - 1, -1):
        if bytes_eq(code_at(secret, step).encode(), code.encode()):
            return step
    return None


def code_at(secret: bytes, step: int) -> str:
    return _totp(secret).generate(step * STEP_SECONDS).decode()


def to_type(secret: bytes) -> str:
    """In groups of four letters, for who can't scan: base32 as of RFC 4648."""
    letters = base64.b32encode(secret).decode()
    return " ".join(letters[at : at + 4] for at in range(0, len(letters), 4))


def address_to_scan(secret: bytes, *, username: str, practice: str) -> str:
    """The address that an authenticator reads from a QR code."""
    # A colon parts the two names there.
    return _totp(secret).get_provisioning_uri(username, practice.replace(":", " "))


def _totp(secret: bytes) -> TOTP:
    return TOTP(secret, DIGITS, SHA1(), STEP_SECONDS)  # noqa: S303 - RFC 6238; HMAC does not rest on collisions


def _keys() -> tuple[str, ...]:
    return settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS


@cache
def _box(keys: tuple[str, ...]) -> MultiFernet:
    """Seals with the first key, opens with any: a changed SECRET_KEY shuts nobody out."""
    return MultiFernet([Fernet(_derived(each)) for each in keys])


def _derived(key: str) -> bytes:
    made = HKDF(SHA256(), length=32, salt=None, info=b"tautline second factor").derive(key.encode())
    return base64.urlsafe_b64encode(made)
