"""Vehicle identification numbers against 49 CFR 565 and the library vininfo."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from vininfo import Vin

from coiltrail.core import vin

ANY = st.text(alphabet=sorted(vin.VALUES), min_size=17, max_size=17)


@pytest.mark.parametrize(
    ("before", "after", "total", "check"),
    [
        ("1G4AH59H", "5G118341", 411, "4"),  # 49 CFR 565, table V
        ("1M8GDM9A", "KP042788", 351, "X"),  # widely printed example
        ("JH2RC360", "MM101581", 280, "5"),  # widely printed example
        ("11111111", "11111111", 89, "1"),
    ],
)
def test_worked_check_digits(before, after, total, check):
    number = before + check + after
    assert sum(vin.VALUES[char] * weight for char, weight in zip(number, vin.WEIGHTS, strict=True)) == total
    assert vin.check_digit(number) == check
    assert vin.check_vin(number)["verdict"] == "good"


@given(ANY)
def test_check_digit_as_in_vininfo(number):
    assert (vin.check_digit(number) == number[vin.CHECK]) == Vin(number).verify_checksum(check_year=False)


@pytest.mark.parametrize("letter", sorted(vin.YEARS))
def test_year_letters_as_in_vininfo(letter):
    """vininfo gives every year a letter may stand for; position 7 chooses between them (49 CFR 565.15(b))."""
    light = [vin.model_year("1M8GDM" + seventh + "AX" + letter + "P042788") for seventh in "9A"]
    assert set(light) & set(Vin("1M8GDM9AX" + letter + "P042788").years)


@pytest.mark.parametrize(("index", "letter"), list(enumerate("ABCDEFGHJKLMNPRSTVWXY123456789")))
def test_years_begin_in_1980_and_come_again_after_thirty(index, letter):
    """Letters from memory; position 7 of a light vehicle is numeric before 2010 (49 CFR 565.15(b), 565.25(b))."""
    assert vin.model_year("1M8GDM9AX" + letter + "P042788") == 1980 + index
    assert vin.model_year("1M8GDMAAX" + letter + "P042788") == 2010 + index


@pytest.mark.parametrize("first", sorted(vin.VALUES))
def test_region_as_in_vininfo(first):
    """vininfo knows no holder for D to H, which are Africa's, and gives all of 7 to North America, as 7F onwards is."""
    number = first + "S8GDM9AXKP042788"
    assert vin.region_of(number) == (Vin(number).region or ("Africa" if first in "DEFGH" else None))
