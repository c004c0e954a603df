"""How words are made comparable."""

import pytest

from coiltrail.store import words


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("Zündspule, 2 Stück", ["zundspule", "2", "stuck"]),
        ("STRASSE Straße", ["strasse", "strasse"]),
        ("p0303", ["p0303"]),
        ("  --- \x00\ud800 ", []),
        ("a" * 100, ["a" * words.LONGEST]),
    ],
)
def test_text_becomes_words_without_capitals_accents_and_signs(typed, found):
    assert words.split(typed) == found


@pytest.mark.parametrize("typed", ["AB-12 CD", "ab12cd", "12 cd", "2cd", "ab 12", "b12", "CD"])
def test_a_plate_is_found_by_any_run_of_it_whatever_its_spaces(typed):
    for recorded in ("AB 12 CD", "AB12CD", "AB-12-CD"):
        kept = words.of_number(recorded)
        assert all(any(word.startswith(part) for word in kept) for part in words.sought(typed)), (recorded, typed)


@pytest.mark.parametrize("typed", ["555-0142", "5550142", "503 555 0142", "+1 (503) 555-0142", "15035550142", "0142"])
@pytest.mark.parametrize("recorded", ["+1 503 555 0142", "(503) 555-0142", "5035550142", "0503 5550142"])
def test_a_telephone_number_is_found_however_it_is_written(typed, recorded):
    kept = words.of_number(recorded)
    assert all(any(word.startswith(part) for word in kept) for part in words.sought(typed))


def test_another_number_is_not_found():
    kept = words.of_number("+1 503 555 0142")
    assert not any(word.startswith(part) for part in words.sought("503 555 0143") for word in kept)


def test_days_are_words_of_their_own():
    day = words.of_day(2026, 5, 1)
    assert words.sought("2026-05-01") == [day]
    assert day.startswith(words.sought("2026-05")[0])
