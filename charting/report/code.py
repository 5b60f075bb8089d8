"""The short code at the foot of a note: the beginning of its SHA-256, to be read out or typed in.

Sixty bits in the letters of RFC 4648 (base 32: no 0, 1, 8 or 9), and a check character by ISO/IEC 7064
MOD 37,36, which finds every single wrong character and nearly every pair that changed places.
"""

import base64

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
# Of the hash, in hex digits; of the code, in letters.
HEX_DIGITS, LETTERS = 15, 12


class NoCode(ValueError):
    """Not a code as it is printed."""


def code_of(sha256: str) -> str:
    """ "XXXX-XXXX-XXXX-X" for 64 hex digits."""
    first = bytes.fromhex(f"{sha256[:HEX_DIGITS]}0")
    letters = base64.b32encode(first + b"\0\0").decode()[:LETTERS]
    whole = letters + check_character(letters)
    return "-".join(whole[start : start + 4] for start in range(0, len(whole), 4))


def beginning_of(code: str) -> str:
    """The first 15 hex digits of the hash that a typed code tells. Raises NoCode, which says why."""
    typed = "".join(code.upper().replace("-", " ").split())
    if len(typed) != LETTERS + 1:
        raise NoCode(f"A code has {LETTERS + 1} letters and digits; this has {len(typed)}.")
    try:
        first = base64.b32decode(f"{typed[:LETTERS]}AAAA").hex()
    except ValueError:
        raise NoCode("A code holds the letters A to Z and the digits 2 to 7 alone.") from None
    if typed[-1] != check_character(typed[:LETTERS]):
        raise NoCode("One character of the code is mistyped: its check character does not fit.")
    return first[:HEX_DIGITS]


def check_character(text: str) -> str:
    """ISO/IEC 7064 MOD 37,36 (hybrid system) over digits and capital letters."""
    product = 36
    for letter in text:
        total = (product + ALPHABET.index(letter)) % 36 or 36
        product = total * 2 % 37
    return ALPHABET[(37 - product) % 36]
