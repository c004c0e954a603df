"""How strongly a finding speaks, in a mechanic's words: weights of evidence by grade, each beside something he knows.

Grades by decibans, half and whole powers of ten (Jeffreys 1961, Theory of Probability, appendix B; his upper grades are
taken together), but for the least that is named at all: one deciban, the smallest change that is noticed (Good 1950).
What a grade is compared with holds by the evidence tables (``tests/core/test_strength.py``).
"""

from . import canonical
from .tongue import joined, phrase

LITTLE, CLEAR, STRONG, SETTLED = 1.0, 5.0, 10.0, 20.0  # decibans from which a weight counts as that

# Key, from how many decibans, for, against, ahead as a sentence and in short, and what else weighs as much.
GRADES = (
    (
        "settled",
        SETTLED,
        "all but settles it",
        "all but rules it out",
        "It is as good as settled.",
        "as good as settled",
        "like two strong findings together",
    ),
    (
        "strong",
        STRONG,
        "speaks strongly for it",
        "speaks strongly against it",
        "It is far ahead of the next best.",
        "far ahead",
        "like a miss that comes when the harness is moved, or that moves with a part",
    ),
    (
        "clear",
        CLEAR,
        "speaks clearly for it",
        "speaks clearly against it",
        "It is clearly ahead of the next best.",
        "clearly ahead",
        "like a lock tab that is found broken",
    ),
    (
        "little",
        LITTLE,
        "speaks a little for it",
        "speaks a little against it",
        "It is a little ahead of the next best.",
        "a little ahead",
        "like a connector that looks good: it can be open all the same",
    ),
)
NOTHING = "speaks for both alike"
LEVEL = "It is level with the next best.", "level"


def words(decibans):
    """What a finding of that weight does to an explanation: "speaks clearly for it"."""
    grade = _grade(decibans)
    return phrase(grade[2] if decibans > 0 else grade[3]) if grade else phrase(NOTHING)


def ahead(decibans):
    """How far an explanation is ahead of its best rival, as a sentence."""
    grade = _grade(decibans)
    return phrase(grade[4] if grade and decibans > 0 else LEVEL[0])


def lead(decibans):
    """The same in a word or two, for a table."""
    grade = _grade(decibans)
    return phrase(grade[5] if grade and decibans > 0 else LEVEL[1])


def odds(decibans):
    """The same as odds: "12 to 1" for, "1 to 12" against."""
    factor = 10.0 ** (abs(decibans) / 10.0)
    shown = canonical.fixed(factor, 1 if factor < 9.95 else 0) if factor < 10000.0 else phrase("over 10,000")
    shown = shown[:-2] if shown.endswith(".0") else shown
    return phrase("{n} to 1", n=shown) if decibans >= 0 else phrase("1 to {n}", n=shown)


def scale():
    """The grades in words, with what else weighs as much, the strongest first."""
    return [{"words": phrase(grade[2]), "like": phrase(grade[6])} for grade in GRADES]


def _grade(decibans):
    for grade in GRADES:
        if abs(decibans) >= grade[1]:
            return grade
    return None


def percent(share):
    """A probability in percent, rounded as the list of causes rounds it (``percent`` of ``pwa/app/words.js``)."""
    if 0.0 < share < 0.01:
        return phrase("under 1 %")
    if 0.99 < share < 1.0:
        return phrase("over 99 %")
    return joined(canonical.fixed(100.0 * share, 0), "%")
