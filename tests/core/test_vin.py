import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coiltrail.core import vin

CHARACTERS = sorted(vin.VALUES)
GOOD = "1M8GDM9AXKP042788"


@st.composite
def american(draw):
    """A number as 49 CFR 565 makes them."""
    text = "".join(draw(st.lists(st.sampled_from(CHARACTERS), min_size=17, max_size=17)))
    tail = "".join(draw(st.lists(st.sampled_from("0123456789"), min_size=5, max_size=5)))
    text = draw(st.sampled_from("12345")) + text[1:9] + draw(st.sampled_from(vin.YEARS)) + text[10:12] + tail
    return text[: vin.CHECK] + vin.check_digit(text) + text[vin.CHECK + 1 :]


@given(american())
def test_a_right_number_is_good_however_it_is_typed(number):
    for typed in (
        number,
        number.lower(),
        f"VIN: {number[:8]} {number[8:]}",
        "-".join((number[:3], number[3:9], number[9:])),
    ):
        answer = vin.check_vin(typed)
        assert (answer["verdict"], answer["vin"], answer["region"]) == ("good", number, "North America")
        assert answer["likely"] is None


@given(american(), st.integers(0, 16), st.sampled_from(CHARACTERS))
def test_a_wrong_character_of_another_value_is_a_slip(number, at, other):
    typed = number[:at] + other + number[at + 1 :]
    if vin.must_check(typed) and (at == vin.CHECK or vin.VALUES[other] != vin.VALUES[number[at]]) and typed != number:
        answer = vin.check_vin(typed)
        assert answer["verdict"] == "slip"
        assert answer["year"] is None
        if answer["likely"]:
            assert vin.check_vin(answer["likely"])["verdict"] == "good"


@given(american())
def test_letters_that_are_never_used_are_read_as_the_digits_they_look_like(number):
    for digit, letter in (("0", "O"), ("1", "I"), ("0", "Q")):
        at = number.find(digit, 3)
        if at > 0:
            answer = vin.check_vin(number[:at] + letter + number[at + 1 :])
            assert answer["verdict"] == "slip"
            assert answer["likely"] == number
            assert f"{letter} is never used" in answer["message"]


def test_a_likely_correction_is_given_only_where_one_slip_explains_it():
    answer = vin.check_vin(GOOD[:16] + "B")
    assert answer["likely"] == GOOD and GOOD in answer["message"]
    swapped = vin.check_vin(GOOD[:14] + "878")
    assert swapped["likely"] is None
    assert swapped["message"] == "The check digit is wrong: compare it with the VIN on the car."


def test_named_corrections_are_right_for_slips_of_the_modelled_kinds():
    draw = random.Random(7)
    named = right = 0
    for _ in range(600):
        body = [draw.choice(CHARACTERS) for _ in range(17)]
        body[0], body[vin.YEAR] = draw.choice("12345"), draw.choice(vin.YEARS)
        body[12:] = [draw.choice("0123456789") for _ in range(5)]
        number = "".join(body)
        number = number[: vin.CHECK] + vin.check_digit(number) + number[vin.CHECK + 1 :]
        at = draw.randrange(1, 16)
        typed = number[:at] + number[at + 1] + number[at] + number[at + 2 :]
        answer = vin.check_vin(typed)
        if answer["verdict"] == "slip":
            named += answer["likely"] is not None
            right += answer["likely"] == number
    assert named > 30
    assert right == named


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("", "Type the 17 characters"),
        (GOOD[:-1], "1 is missing"),
        (GOOD[:-3], "3 are missing"),
        (GOOD + "8", "1 too many"),
        ("1M8GDM9A!KP042788", "Character 9"),
        ("1M8GDM9AéKP042788", "Character 9"),
        ("A" * 100000, "too many"),
    ],
)
def test_impossible_numbers_say_why(typed, told):
    answer = vin.check_vin(typed)
    assert answer["verdict"] == "impossible"
    assert told in answer["message"]
    assert answer["year"] is None and answer["likely"] is None


def test_outside_north_america_a_wrong_check_digit_is_no_slip():
    answer = vin.check_vin("WAAZZZ1JZ3W386752")
    assert (answer["verdict"], answer["region"], answer["year"]) == ("unchecked", "Europe", None)
    assert "cannot be checked" in answer["message"]


@pytest.mark.parametrize(
    ("first", "region"),
    [
        ("AA", "Africa"),
        ("HA", "Africa"),
        ("JA", "Asia"),
        ("LA", "Asia"),
        ("RA", "Asia"),
        ("SA", "Europe"),
        ("ZA", "Europe"),
        ("1A", "North America"),
        ("5A", "North America"),
        ("6A", "Oceania"),
        ("7A", "Oceania"),
        ("7S", "North America"),
        ("8A", "South America"),
        ("9A", "South America"),
        ("0A", None),
    ],
)
def test_region(first, region):
    assert vin.region_of(first + GOOD[2:]) == region


@pytest.mark.parametrize(
    ("seventh", "tenth", "year"),
    [
        ("9", "A", 1980),
        ("9", "Y", 2000),
        ("9", "1", 2001),
        ("9", "9", 2009),
        ("A", "A", 2010),
        ("A", "M", 2021),
        ("9", "U", None),
    ],
)
def test_model_year_by_the_seventh_position(seventh, tenth, year):
    assert vin.model_year(GOOD[:6] + seventh + GOOD[7:9] + tenth + GOOD[10:]) == year


def test_a_year_too_far_ahead_is_taken_thirty_years_back():
    assert vin.model_year(GOOD[:6] + "A" + GOOD[7:9] + "Y" + GOOD[10:], 2026) == 2000
    assert vin.model_year(GOOD[:6] + "A" + GOOD[7:9] + "V" + GOOD[10:], 2026) == 2027


@given(st.text())
def test_no_text_breaks_the_check(text):
    answer = vin.check_vin(text)
    assert answer["verdict"] in ("good", "slip", "unchecked", "impossible") and answer["message"]
