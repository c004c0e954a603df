"""What a closing leaves for later, in words: the log keeps what it is, so that each reader has it in a language of his.

A row of ``case_closed.later`` names a ``code``, or by ``what`` the lamp, the fault itself, or what is at a
``component``; ``why`` it is left; and in ``text`` what somebody typed. Older rows have their text alone.
"""

from . import checks, codes, entries, faults, plaintext, seen
from .tongue import phrase

LAMP, UNREPAIRED, CLEANED, DAMAGE = [value for value, _ in entries.LEFT]


def words(row):
    """What is left, in a line without a full stop; "" where the row has only its code or its own text."""
    what, kind, found = row.get("what"), _kind(row), row.get("found") or ""
    if what == LAMP:
        return phrase("The warning lamp is still on: the codes have to be read and cleared")
    if what == UNREPAIRED:
        return phrase("The fault is not repaired")
    if what == CLEANED and kind:
        return phrase("{what} was only cleaned or pressed on again: it may fail again", what=_where(row, kind))
    check, _, finding = found.partition("/")
    if what == DAMAGE and kind and check in checks.BY_KEY:
        seen_there = {"component": row["component"], "kind": kind, "check": check, "finding": finding}
        return plaintext.sentence("%s: %s" % (seen.where(seen_there), seen.words([seen_there])))
    return ""


def why(row):
    """Why it is left, in a few words; "" where that is not said."""
    return phrase(dict(entries.LEFT_WHY).get(row.get("why"), ""))


def meaning(row):
    """What a row is about: what its code means, or what is left."""
    code = row.get("code")
    if code:
        return codes.meaning(code)["text"] if codes.problem_of(code) is None else ""
    return words(row)


def remark(row):
    """Why it is left, and what was typed of it; that alone stands as it was typed."""
    typed = row.get("text") or ""
    return sentences([why(row), typed]) if why(row) else typed


def in_short(row):
    """A row in a line, to stand among others: its code, or what is left."""
    return row.get("code") or words(row) or (row.get("text") or "").rstrip(".")


def in_full(row):
    """A row as it stands by itself: code, what it is about, why it is left, and what was typed."""
    about = meaning(row)
    about = phrase("{what}.", what=about) if about and (why(row) or row.get("text")) else about
    return " ".join([one for one in (row.get("code"), about, remark(row)) if one])


def sentences(texts):
    """Texts one after the other, each closed by a full stop unless it has its own end; empty ones are left out."""
    told = []
    for text in [text.strip() for text in texts]:
        if text:
            told.append(text if text[-1] in ".!?" else phrase("{what}.", what=text))
    return " ".join(told)


def same(one, other):
    """Whether two rows leave the same for later."""
    keys = ("code", "what", "component", "found") if one.get("what") and other.get("what") else ("code", "component")
    if not any(one.get(key) for key in keys):
        return (one.get("text") or "") == (other.get("text") or "") and not (one.get("what") or other.get("what"))
    return all(one.get(key) == other.get(key) for key in keys)


def _kind(row):
    kind = (row.get("component") or "").partition("@")[0]
    return kind if kind in faults.BY_KIND else ""


def _where(row, kind):
    return plaintext.sentence(seen.where({"component": row["component"], "kind": kind}).strip())
