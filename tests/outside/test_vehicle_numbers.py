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


@pytest.mark.parametrize("first", sorted(vin.VALUES))
def test_region_as_in_vininfo(first):
    """vininfo knows no holder for D to H, which are Africa's, and gives all of 7 to North America, as 7F onwards is."""
    number = first + "S8GDM9AXKP042788"
    assert vin.region_of(number) == (Vin(number).region or ("Africa" if first in "DEFGH" else None))
