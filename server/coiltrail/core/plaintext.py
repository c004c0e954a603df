"""Text handling that is the same on both runtimes: case and white space of ASCII, odd spaces and dashes made plain."""

DIGITS = "0123456789"
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

_UPPER = {letter.lower(): letter for letter in LETTERS}
_LOWER = {letter: letter.lower() for letter in LETTERS}
_SPACES = (
    "\t\r\n\v\f\x1c\x1d\x1e\x1f\x85\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005"
    "\u2006\u2007\u2008\u2009\u200a\u2028\u2029\u202f\u205f\u3000"
)
_DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212"


def upper(text):
    """``text`` with a-z as A-Z; other letters stay."""
    if not text or max(text) < "\x80":
        return text.upper()
    return "".join([_UPPER.get(char, char) for char in text])


def lower(text):
    """``text`` with A-Z as a-z; other letters stay."""
    if not text or max(text) < "\x80":
        return text.lower()
    return "".join([_LOWER.get(char, char) for char in text])


def spaced(text):
    """``text`` with every kind of white space as one plain space, and none at the ends."""
    for char in _SPACES:
        if char in text:
            text = text.replace(char, " ")
    return " ".join([word for word in text.split(" ") if word])


def dashed(text):
    """``text`` with every kind of dash as a plain hyphen."""
    for char in _DASHES:
        if char in text:
            text = text.replace(char, "-")
    return text


def sentence(text):
    """``text`` with its first letter as a capital, as at the beginning of a sentence."""
    return text[:1].upper() + text[1:]
