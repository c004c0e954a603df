import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coiltrail.core import entries, tags

PAYLOADS = st.text(alphabet=tags.ALPHABET, min_size=9, max_size=9)
CODES = st.binary(min_size=6, max_size=6).map(tags.new_tag).filter(lambda code: code)


def test_a_drawn_code_is_taken_and_fits_the_entry():
    code = tags.new_tag(bytes(range(1, 17)))
    assert tags.check_tag(code) == {"code": code}
    assert re.fullmatch(entries.TAG_PATTERN, code)


def test_a_draw_whose_check_character_has_no_place_is_repeated():
    refused = [seed for seed in range(2000) if tags.new_tag(seed.to_bytes(6, "big")) is None]
    # 4 of 36 check characters are not in the alphabet; a swap of neighbours would pass in about 1 of 100 codes.
    assert 0.07 < len(refused) / 2000 < 0.18


def test_a_draw_in_which_a_swap_would_pass_is_repeated():
    assert "code" in tags.check_tag("EJEKJ0000Q") and "code" in tags.check_tag("EJEJK0000Q")
    drawn = 0
    for place, char in enumerate("EJEJK0000"):
        drawn |= tags.ALPHABET.index(char) << 5 * place
    assert tags.new_tag(drawn.to_bytes(6, "big")) is None


def test_too_few_random_bytes_are_an_error():
    with pytest.raises(ValueError):
        tags.new_tag(b"12345")


@given(st.binary(min_size=6, max_size=6))
def test_all_bits_of_the_draw_count(drawn):
    code = tags.new_tag(drawn)
    for bit in range(45):
        other = (int.from_bytes(drawn, "big") ^ 1 << bit).to_bytes(6, "big")
        assert code is None or tags.new_tag(other) != code


@given(CODES)
def test_case_spaces_hyphens_and_look_alikes_are_forgiven(code):
    grouped = tags.with_groups(code)
    for typed in (grouped.lower(), " ".join(code), code.replace("0", "o").replace("1", "l"), code.replace("1", "I")):
        assert tags.check_tag(typed) == {"code": code}


@given(CODES, st.integers(0, 9), st.sampled_from(tags.ALPHABET))
def test_one_wrong_character_is_always_caught(code, at, other):
    typed = code[:at] + other + code[at + 1 :]
    if typed != code:
        assert "compare" in tags.check_tag(typed)["message"]


@given(CODES, st.integers(0, 8))
def test_swapped_neighbours_are_always_caught(code, at):
    typed = code[:at] + code[at + 1] + code[at] + code[at + 2 :]
    if typed != code:
        assert "compare" in tags.check_tag(typed)["message"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "Type the ten"),
        ("7K3Q", "has 4"),
        ("7K3Q9ZT4WM0", "has more"),
        ("7K3Q9ZT4W!", "No tag has !"),
        ("UUUUUUUUUU", "No tag has U"),
        ("7K3Q9ZT4Wé", "not on the keyboard"),
        ("https://shop.example/about", "No tag has"),
        ("A" * 100000, "has more"),
    ],
)
def test_what_is_no_tag_gets_a_message(text, told):
    assert told in tags.check_tag(text)["message"]


@given(st.text())
def test_no_text_breaks_the_check(text):
    assert len(tags.check_tag(text)) == 1


@given(CODES)
def test_a_scanned_address_gives_its_code(code):
    for public_url in ("https://shop.example", "https://shop.example:8443/", "http://192.0.2.7:8000"):
        scanned = tags.address(public_url, code)
        assert re.fullmatch(r"[0-9A-Z $%*+\-./:]+", scanned)
        assert scanned.endswith("/T/" + code)
        for seen in (scanned, scanned.lower(), scanned + "/", scanned + "?from=label", " " + scanned + "\n"):
            assert tags.check_tag(seen) == {"code": code}


def test_an_address_that_would_leave_alphanumeric_mode_is_refused():
    with pytest.raises(ValueError, match="_"):
        tags.address("https://my_shop.example", "7K3Q9ZT4WM")


def test_groups_for_the_eye():
    assert tags.with_groups("7K3Q9ZT4WM") == "7K3Q-9ZT-4WM"
