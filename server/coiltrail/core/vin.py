"""Vehicle identification numbers: check digit, model year, region, and the likely slip of the hand.

Origin: 49 CFR 565 (weights and values, position 7 rule); regions ISO 3780, year letters, and the rule that the
last four characters are digits: from memory.
"""

from . import plaintext
from .tongue import phrase

LENGTH = 17
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
VALUES = {str(digit): digit for digit in range(10)}
for _letters, _first in (("ABCDEFGH", 1), ("JKLMN", 1), ("P", 7), ("R", 9), ("STUVWXYZ", 2)):
    for _step in range(len(_letters)):
        VALUES[_letters[_step]] = _first + _step
YEARS = "ABCDEFGHJKLMNPRSTVWXY123456789"  # 1980 to 2009, then again
FIRST_YEAR = 1980
CHECK, SEVENTH, YEAR = 8, 6, 9  # indexes of the positions 9, 7 and 10

# I, O and Q are never used; what they are mistaken for.
_NEVER = {"I": "1", "O": "0", "Q": "0"}
# Characters that eye and hand take for one another. Origin: common practice, no source.
_MOST_ALIKE = "5S 8B 2Z 6G UV 17 MN 0D".split(" ")
_ALIKE = "VY VW CG EF PR BD KX 4A 38 3B 56 HN XY JU 1L LE TY AR".split(" ")


def check_digit(vin):
    """What the ninth character of 17 allowed characters must be for the check to come out: "0" to "9" or "X"."""
    total = sum([VALUES[char] * weight for char, weight in zip(vin, WEIGHTS)])
    return "0123456789X"[total % 11]


def check_vin(text, this_year=None):
    """What can be said of a VIN as it was typed.

    Gives ``{"vin", "verdict", "message", "year", "region", "likely"}``. ``verdict``: "good" (the check
    digit is right), "slip" (it is wrong though it must be right here), "unchecked" (outside North America it need not
    be one), "impossible" (length or characters). ``likely``: the
    correction, where there is only one, or None: of several, one tap would often take the wrong one. ``year``: model
    year or None; a year later than ``this_year`` + 1 is not believed.
    """
    typed = _cleaned(str(text))
    answer = {"vin": typed, "year": None, "region": None, "likely": None}
    message = _impossible(typed)
    if message:
        return _say(answer, "impossible", message)
    vin = "".join([_NEVER.get(char, char) for char in typed])
    answer["region"] = region_of(vin)
    checked = must_check(vin)
    right = check_digit(vin) == vin[CHECK]
    if checked or right:
        answer["year"] = model_year(vin, this_year)
    if vin != typed:
        return _never_used(answer, typed, vin, right, checked)
    if right:
        return _say(answer, "good", phrase("The check digit is right."))
    if not checked:
        return _say(
            answer,
            "unchecked",
            phrase(
                "Outside North America the ninth character need not be a check digit, so this cannot be checked. "
                "If the car was made for North America, compare it with the VIN on the car: there it would be wrong."
            ),
        )
    answer["year"] = None  # the slip may sit in its character
    near = _corrections(vin)
    answer["likely"] = near[0] if len(near) == 1 else None  # of several the first is right too seldom to be named
    return _say(
        answer, "slip", phrase("The check digit is wrong: compare it with the VIN on the car.") + _offered(answer)
    )


def region_of(vin):
    """The part of the world whose body gave out the first character, or None for 0, which nobody has."""
    first = vin[0]
    if first == "7" and vin[1] not in "ABCDE":
        return phrase("North America")  # later blocks of 7 went to the United States
    for region, firsts in (
        (phrase("Africa"), "ABCDEFGH"),
        (phrase("Asia"), "JKLMNPR"),
        (phrase("Europe"), "STUVWXYZ"),
        (phrase("North America"), "12345"),
        (phrase("Oceania"), "67"),
        (phrase("South America"), "89"),
    ):
        if first in firsts:
            return region
    return None


def must_check(vin):
    """Whether the ninth character must be a check digit: North America, and China, whose numbers begin with L."""
    return region_of(vin) == "North America" or vin[0] == "L"


def model_year(vin, this_year=None):
    """The model year by position 10, its round of thirty years by position 7 (a letter: 2010 or later); or None."""
    if vin[YEAR] not in YEARS:
        return None
    year = FIRST_YEAR + YEARS.index(vin[YEAR])
    if vin[SEVENTH] not in plaintext.DIGITS:
        year += 30
    if this_year and year > this_year + 1:
        # Position 7 speaks of light vehicles only; heavier ones may have a letter there at any time.
        year -= 30
    return year


def _say(answer, verdict, message):
    answer["verdict"] = verdict
    answer["message"] = message
    return answer


def _cleaned(text):
    text = plaintext.upper(plaintext.dashed(plaintext.spaced(text)))
    for mark in " -.*:_":
        text = text.replace(mark, "")
    return text[3:] if text.startswith("VIN") and len(text) > LENGTH else text


def _impossible(typed):
    for at, char in enumerate(typed):
        if char not in VALUES and char not in _NEVER:
            return phrase(
                "Character {n} cannot stand in a VIN: only digits and capital letters without I, O, Q.", n=at + 1
            )
    if not typed:
        return phrase("Type the 17 characters from the plate at the windshield or the door.")
    if len(typed) < LENGTH:
        missing = LENGTH - len(typed)
        return phrase(
            "A VIN has 17 characters; {n} is missing. Cars before 1981 may have shorter ones: then leave it so."
            "|A VIN has 17 characters; {n} are missing. Cars before 1981 may have shorter ones: then leave it so.",
            n=missing,
        )
    if len(typed) > LENGTH:
        return phrase("A VIN has 17 characters; this has {n} too many.", n=len(typed) - LENGTH)
    return None


def _never_used(answer, typed, vin, right, checked):
    wrong = sorted(set([char for char in typed if char in _NEVER]))
    message = phrase(
        "{wrong} is never used in a VIN: read as {meant}.",
        wrong=phrase(" and ").join(wrong),
        meant=phrase(" and ").join([_NEVER[char] for char in wrong]),
    )
    if right or not checked:
        answer["likely"] = vin
        message += " " + phrase(
            "With that the check digit is right." if right else "It cannot be checked further here."
        )
    else:
        answer["year"] = None
        message += " " + phrase("Even so the check digit is wrong: compare it with the VIN on the car.")
    return _say(answer, "slip", message)


def _corrections(vin):
    """Numbers one slip away whose check digit is right, likeliest first."""
    ranked = set()
    for rank, other in _one_slip_away(vin):
        if other != vin and check_digit(other) == other[CHECK] and _could_be(other):
            ranked.add((rank, other))
    ordered = []
    for _, other in sorted(ranked):
        if other not in ordered:
            ordered.append(other)
    return ordered


def _one_slip_away(vin):
    """Numbers one slip away from ``vin``, each with its rank: likelier slips have a lower one."""
    for at in range(LENGTH):
        for rank, pairs in ((1, _MOST_ALIKE), (3, _ALIKE)):
            for pair in pairs:
                if vin[at] in pair:
                    other = pair[1] if vin[at] == pair[0] else pair[0]
                    yield rank, vin[:at] + other + vin[at + 1 :]
    for at in range(LENGTH - 1):
        yield 2, vin[:at] + vin[at + 1] + vin[at] + vin[at + 2 :]


def _could_be(vin):
    """Whether the parts with a fixed form have it."""
    return (
        must_check(vin)
        and vin[YEAR] in YEARS
        and all(char in plaintext.DIGITS for char in vin[14 - 1 :])
        and vin[CHECK] in "0123456789X"
    )


def _offered(answer):
    if answer["likely"]:
        return " " + phrase("Likely: {likely}.", likely=answer["likely"])
    return ""
