"""The code at the foot of a note. The worked example of ISO/IEC 7064 MOD 37,36 is that of the Global Release
Identifier standard (A1-2425G-ABC1234002-M); letters: RFC 4648 section 6.
"""

import pytest

from charting.report.code import NoCode, beginning_of, check_character, code_of

SHA256 = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"


def test_the_check_character_is_that_of_the_standard():
    assert check_character("A12425GABC1234002") == "M"


def test_a_code_leads_back_to_the_beginning_of_the_hash():
    code = code_of(SHA256)
    assert len(code) == 16 and code.count("-") == 3
    assert beginning_of(code) == beginning_of(code.lower().replace("-", " ")) == SHA256[:15]


def test_every_single_wrong_character_is_found():
    code = code_of(SHA256).replace("-", "")
    for place in range(len(code)):
        for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567":
            if letter != code[place]:
                with pytest.raises(NoCode):
                    beginning_of(code[:place] + letter + code[place + 1 :])


@pytest.mark.parametrize("typed", ["", "ABCD", "ABCD-EFGH-IJK0-A", "ABCD-EFGH-IJKL-MNOP"])
def test_what_is_no_code_is_said_to_be_none(typed):
    with pytest.raises(NoCode):
        beginning_of(typed)
