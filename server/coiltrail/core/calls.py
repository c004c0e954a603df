"""Calls to make: what closed cases left for later, until somebody has spoken with the customer about it.

That somebody called is recorded as ``answered`` in the case: its ``question`` is the call's, its ``answer`` one of
``ANSWERS``. Nobody reached: the call stays, with the time of the last try. A car that came with a flashing lamp and
left without a repair is a call of its own, whoever knows, until it is seen to or the owner does not want it.
"""

from . import entries, left_over
from .tongue import phrase

ANSWERS = (
    ("told", "Told, they think it over"),
    ("comes", "They come for it"),
    ("declined", "They do not want it"),
    ("done", "Seen to"),
    ("not_reached", "Nobody reached"),
)
UNSAFE = "The warning lamp flashed and nothing was repaired: the car should not be driven on"
PREFIX = "later/"
SAFETY = "safety"  # stands in a call's question for the index of what was left
SETTLED = ("declined", "done")  # what concerns safety is on the list until then


def calls(case):
    """The calls a case asks for: list of ``{"question", "entry", "code", "meaning", "text", "since", "tried"}``.

    ``since``: when the case was closed; ``tried``: when nobody was reached at last, or None (both ms).
    """
    closed = case.last("case_closed")
    return _untold(case, closed) if closed and case.status == "closed" else []


def _question(closed, index):
    return "%s%s/%s" % (PREFIX, closed["id"], index)


def _untold(case, closed):
    answers = {}
    for _, entry in case.of_kind("answered"):
        answers[entry["body"]["question"]] = entry
    found = []
    for index, left in enumerate(closed["body"].get("later") or []):
        question = _question(closed, index)
        answer = answers.get(question)
        if left.get("told") or (answer and answer["body"]["answer"] != "not_reached"):
            continue
        found.append(_call(closed, question, answer, left.get("code"), left_over.meaning(left), left_over.remark(left)))
    question = _question(closed, SAFETY)
    answer = answers.get(question)
    if unsafe(case) and not (answer and answer["body"]["answer"] in SETTLED):
        found.append(_call(closed, question, answer, None, phrase(UNSAFE), ""))
    return found


def _call(closed, question, answer, code, meaning, text):
    return {
        "question": question,
        "entry": closed["id"],
        "code": code,
        "meaning": meaning,
        "text": text,
        "since": closed["at"][0],
        "tried": answer["at"][0] if answer else None,
    }


def unsafe(case):
    """Whether the car came with a lamp that flashed and nothing was repaired: driving on does damage."""
    complaint = case.last("complaint")
    return bool(complaint) and complaint["body"].get("lamp") in entries.LAMPS_OF_MISSING and not case.repairs()


def left_before(case):
    """What the latest closing left for later, for one who closes the case again; ``told`` as it stands by now.

    The lamp and the repair itself are asked about anew in a case that was opened again.
    """
    closed = case.last("case_closed")
    if closed is None:
        return []
    asked = {call["question"] for call in _untold(case, closed)}
    rows = []
    for index, left in enumerate(closed["body"].get("later") or []):
        if case.status == "open" and left.get("what") in (left_over.LAMP, left_over.UNREPAIRED):
            continue
        told = {} if _question(closed, index) in asked else {"told": True}
        rows.append(dict(left, **told))
    return rows


def answer_text(body):
    """The answer to a call in words; None where the question is none of these."""
    return dict(ANSWERS).get(body["answer"]) if body["question"].startswith(PREFIX) else None
