"""Check characters of tags against python-stdnum (ISO 7064) and their alphabet against base32-crockford."""

import base32_crockford
from hypothesis import assume, given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from coiltrail.core import tags

TEXTS = st.text(alphabet="0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1)


def test_the_worked_example():
    """ISO 7064 MOD 37-36: A12425GABC1234002 has M (as read in the documentation of python-stdnum)."""
    assert tags.check_character("A12425GABC1234002") == "M"


@given(TEXTS)
def test_check_character_as_in_stdnum(text):
    assert tags.check_character(text) == mod_37_36.calc_check_digit(text)


@given(st.binary(min_size=6, max_size=6))
def test_drawn_codes_are_valid_for_stdnum_and_for_crockford(drawn):
    code = tags.new_tag(drawn)
    if code:
        assert mod_37_36.is_valid(code)
        assert base32_crockford.normalize(code, strict=True) == code


def test_alphabet_as_in_crockford():
    """Crockford 1234 is 16J (base32-crockford)."""
    assert base32_crockford.encode(1234) == "16J"
    assert [base32_crockford.encode(value) for value in range(32)] == list(tags.ALPHABET)


@given(st.text(alphabet="0123456789abcdefghijklmnopqrstvwxyzILO-", min_size=1, max_size=14))
def test_forgiven_like_crockford(typed):
    assume(typed.strip("-"))  # hyphens alone the library refuses to read
    plain = base32_crockford.normalize(typed)
    told = tags.check_tag(typed).get("code")
    assert told in (None, plain)
    assert (told is not None) == (len(plain) == tags.LENGTH and mod_37_36.is_valid(plain))
