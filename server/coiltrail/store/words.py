"""Words as cases are found by them: without regard to capitals, accents, spaces and dashes."""

import re
import unicodedata

LONGEST = 40  # characters of a word; what is longer is found by its beginning
SHORTEST_END = 2  # of a plate, a number or a code, from which on its end finds it
WHOLE_PHONE = 9  # digits that make a telephone number with its area or country code
PHONE_END = 7  # digits that find a whole number, however area and country are written

_SEPARATED = re.compile(r"[^\W_]+")
_DAY = re.compile(r"(\d{4})-(\d\d)(?:-(\d\d))?")
_PHONE = re.compile(r"[+(]?\d[\d\s()/.-]+\d")


def split(text: str) -> list[str]:
    """The words of ``text``, as they are compared."""
    plain = text
    if not text.isascii():  # ASCII has no accents to take away
        plain = "".join(char for char in unicodedata.normalize("NFKD", text) if not unicodedata.combining(char))
    return [word[:LONGEST] for word in _SEPARATED.findall(plain.casefold())]


def joined(text: str) -> str:
    """``text`` as one word: how plates and vehicle numbers are compared."""
    return "".join(split(text))[:LONGEST]


def of_number(text: str) -> list[str]:
    """The words that find a plate, a number or a code: its pieces, the whole, and each end of it."""
    whole = joined(text)
    return split(text) + [whole[start:] for start in range(max(1, len(whole) - SHORTEST_END + 1))]


def of_day(year: int, month: int, day: int) -> str:
    """The word of a day on which something was recorded."""
    return f"on{year:04}{month:02}{day:02}"


def of_person(person_id: str) -> str:
    """The word of a person who recorded something."""
    return "by" + joined(person_id)


def sought(text: str) -> list[str]:
    """Beginnings of words, all of which a case that is looked for has."""
    text = _DAY.sub(lambda found: " on" + "".join(filter(None, found.groups())) + " ", text)
    text = _PHONE.sub(_phone_end, text)
    return split(text)


def _phone_end(found: re.Match) -> str:
    digits = re.sub(r"\D", "", found[0])
    return f" {digits[-PHONE_END:]} " if len(digits) >= WHOLE_PHONE else found[0]
