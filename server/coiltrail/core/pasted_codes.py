"""Finds trouble codes in any text that was pasted, shared or typed: lists, tables, reports, JSON.

The text is cut into records (lines, or what stands between braces), a record into tokens (letters and digits
in a row). A token is a code, a word of status, a filler, or something said about the code before it.
"""

from . import codes, plaintext, raw_answers
from .tongue import phrase

LONGEST = 20000  # characters that are looked at
MOST_CODES = 100  # that fit into one entry
LONGEST_SAID = 200

_STATUSES = {
    "STORED": "stored",
    "CONFIRMED": "stored",
    "CURRENT": "stored",
    "ACTIVE": "stored",
    "HISTORY": "stored",
    "HISTORIC": "stored",
    "HISTORICAL": "stored",
    "PENDING": "pending",
    "PEND": "pending",
    "UNCONFIRMED": "pending",
    "PERMANENT": "permanent",
    "PERM": "permanent",
}
_SERVICES = {"03": "stored", "3": "stored", "07": "pending", "7": "pending", "0A": "permanent", "A": "permanent"}
_PLURALS = ("CODES", "DTCS", "FAULTS")
_FILLERS = set(
    (
        "CODE CODES DTC DTCS FAULT FAULTS TROUBLE DIAGNOSTIC STATUS STATE TYPE FOUND LIST TOTAL COUNT NUMBER NONE NO"
        " YES NOT AND OR THE OF WITH IN ARE IS MODE SERVICE RESULT RESULTS REPORT DESCRIPTION DESC MEANING TEXT TRUE"
        " FALSE NULL"
    ).split(" ")
)
_NOT = ("NO", "NOT", "NONE", "ZERO", "0", "FALSE")
_STATUS_LABELS = ("STATUS", "STATE", "TYPE")
_SAID_LABELS = ("DESCRIPTION", "DESC", "MEANING", "TEXT")
_SLIPS = {"O": "0", "I": "1", "L": "1"}


def find_codes(text):
    """Codes in ``text``: ``{"codes", "left_over", "counts", "obtained"}``.

    ``codes``: list of ``{"code", "status", "words"}`` in the order of the text, without duplicates, and where there is
    one ``"said"`` (what the text says about it), ``"note"`` (how it was read, if not as it stood) and ``"open"`` (a
    status that the text gives to the last of its list only, and may mean for this one too). ``left_over``:
    pieces that were not understood, with the reason where one is known. Text that is nothing but a car's raw answers
    is read by raw_answers: then ``obtained`` is "raw", and ``counts`` may hold misfire counts.
    """
    text = str(text)
    if raw_answers.looks_raw(text[:LONGEST]):
        found = raw_answers.from_bytes(text[:LONGEST])
        found["obtained"] = "raw"
    else:
        reader = _Reader()
        for record in _records(plaintext.dashed(text[:LONGEST])):
            reader.read(record)
        found = {"codes": reader.merged(), "left_over": reader.left_over, "counts": [], "obtained": "pasted"}
    if len(text) > LONGEST:
        found["left_over"].append(phrase("Only the first {most} characters were read.", most=LONGEST))
    if len(found["codes"]) > MOST_CODES:
        over = [one["code"] for one in found["codes"][MOST_CODES:]]
        found["codes"] = found["codes"][:MOST_CODES]
        found["left_over"].append(
            phrase("More than {most} codes; not taken: {over}", most=MOST_CODES, over=", ".join(over))
        )
    return found


class _Token:
    """A run of letters and digits: ``word`` in capitals, where it stands, and the ``gap`` up to the next."""

    def __init__(self, word, start, end):
        self.word = word
        self.start = start
        self.end = end
        self.gap = ""


class _Found:
    """A code in a record: tokens ``first`` to ``last``; ``status`` None while not said; ``open``: a guess at it."""

    def __init__(self, code, first, last, note=None):
        self.code = code
        self.first = first
        self.last = last
        self.note = note
        self.status = None
        self.open = None
        self.said = ""


class _Reader:
    """Reads record after record and remembers what headings and earlier codes leave open."""

    def __init__(self):
        self.found = []
        self.also = []  # further statuses of codes of the record at hand
        self.left_over = []
        self._seen_left_over = set()
        self.heading = None  # status that a heading gave to the codes after it
        self.latest = []  # codes of the latest record that had any
        self.unsaid = []  # codes whose status may still follow on a line of its own
        self.bare_leads = None  # whether a status alone on its line speaks of what follows; None until the first one

    def read(self, record):
        tokens = _tokens(record)
        if not tokens:
            return
        here, problems = _codes_in(tokens)
        statuses = _statuses_in(tokens, here)
        taken = set([at for at, _ in problems])
        for status in statuses:
            taken.add(status["at"])
            taken.update(status["with"])
        for _, problem in problems:
            self._leave(problem)
        if here:
            self._give_statuses(tokens, here, statuses)
            self._give_words(record, tokens, here, taken)
            self.found.extend(here + self.also)
            self.also = []
            self.latest = here
            self.unsaid.extend([one for one in here if one.status is None])
            if self.bare_leads is None and not statuses:
                self.bare_leads = False
        else:
            self._read_without_codes(record, tokens, statuses, taken)

    def merged(self):
        """The codes found, each once a status; one that never was given a status joins one that was."""
        given = {}
        for one in self.found:
            if one.status:
                given.setdefault(one.code, []).append(one.status)
        by_key = {}
        order = []
        for one in self.found:
            status = one.status or given.get(one.code, ["stored"])[0]
            key = (one.code, status)
            if key not in by_key:
                by_key[key] = {"code": one.code, "status": status, "words": codes.meaning(one.code)["text"]}
                order.append(key)
            kept = by_key[key]
            if one.open and not one.status and one.code not in given:
                kept["open"] = one.open
            if one.said and kept.setdefault("said", one.said) != one.said:
                self._leave(one.said)
            if one.note and kept.setdefault("note", one.note) != one.note:
                self._leave(one.note)
        return [by_key[key] for key in order]

    def _leave(self, piece):
        if piece not in self._seen_left_over:
            self._seen_left_over.add(piece)
            self.left_over.append(piece)

    def _give_statuses(self, tokens, here, statuses):
        plain = [status for status in statuses if not status["heading"]]
        leads = plain and plain[0]["at"] < here[0].first and plain[-1]["at"] < here[-1].first
        after = [[] for _ in here]  # statuses that follow each code
        front = []  # and those before the first
        heading = self.heading
        given = iter(statuses + [None])
        status = next(given)
        for index, one in enumerate(here):
            while status and status["at"] < one.first:
                if status["heading"] or leads:
                    heading = status["status"]
                elif status["status"]:
                    (after[index - 1] if index else front).append(status["status"])
                status = next(given)
            one.status = heading
        while status:
            if not status["heading"] and status["status"]:
                after[-1].append(status["status"])
            status = next(given)
        after[0] = after[0] or front
        for index, said in enumerate(after):
            if said:
                here[index].status = said[0]
                self._say_again(here[index], said)
                _leave_open(tokens, here, index)
        if statuses and statuses[-1]["heading"] and "," in tokens[-1].gap:
            self.heading = statuses[-1]["status"]  # a list that goes on in the next line

    def _say_again(self, one, said):
        for status in said[1:]:
            if status != one.status:
                again = _Found(one.code, one.first, one.last)
                again.status = status
                self.also.append(again)

    def _give_words(self, record, tokens, here, taken):
        before = _said(record, tokens, 0, here[0].first, taken)
        for index, one in enumerate(here):
            until = here[index + 1].first if index + 1 < len(here) else len(tokens)
            one.said = _said(record, tokens, one.last + 1, until, taken)
        if before and len(here) == 1 and not here[0].said:
            here[0].said = before
        elif before:
            self._leave(before)
        for one in here:
            self._shorten(one)

    def _shorten(self, one):
        if len(one.said) > LONGEST_SAID:
            self._leave(one.said[LONGEST_SAID:])
            one.said = one.said[:LONGEST_SAID]

    def _read_without_codes(self, record, tokens, statuses, taken):
        if any(at not in taken and not _is_filler(token.word) for at, token in enumerate(tokens)):
            if tokens[0].word in _SAID_LABELS and len(self.latest) == 1 and not self.latest[0].said:
                self.latest[0].said = _said(record, tokens, 1, len(tokens), ())
                self._shorten(self.latest[0])
            else:
                self._leave(plaintext.spaced(record))
            return
        said = [status["status"] for status in statuses]
        if not said:
            return
        if tokens[0].word in _STATUS_LABELS and self.latest:
            self._settle(self.latest, said)
        elif len(said) > 1:
            self.heading = None  # a summary such as "stored 2, pending 1"
        elif statuses[0]["heading"] or said[0] is None:
            self.heading = said[0]
            self.unsaid = []
        else:
            if self.bare_leads is None:
                self.bare_leads = True
            if self.bare_leads:
                self.heading = said[0]
            else:
                self._settle(self.unsaid, said)

    def _settle(self, open_codes, said):
        for one in open_codes:
            if said[0]:
                one.status = said[0]
        self.unsaid = []


def _records(text):
    """What belongs together: lines, or in text with braces and quotes what stands between the braces."""
    text = text.replace("\r", "\n")
    if "{" in text and "}" in text and text.count('"') + text.count("'") >= 4:
        text = text.replace("\n", " ").replace("{", "\n").replace("}", "\n")
    return text.split("\n")


def _tokens(record):
    tokens = []
    start = -1
    gap_start = 0
    upper = plaintext.upper(record)
    for at, char in enumerate(upper + " "):
        inside = "0" <= char <= "9" or "A" <= char <= "Z" or (char > "\x7f" and char not in "\u00a0\u2022\u00b7\u00b0")
        if inside and start < 0:
            start = at
            if tokens:
                tokens[-1].gap = record[gap_start:at]
        elif not inside and start >= 0:
            tokens.append(_Token(upper[start:at], start, at))
            start = -1
            gap_start = at
    if tokens:
        tokens[-1].gap = record[gap_start:]
    return tokens


def _codes_in(tokens):
    """Codes in a record, and problems as (token, reason) where something was meant as a code and cannot be one."""
    here = []
    problems = []
    at = 0
    while at < len(tokens):
        word = tokens[at].word
        following = tokens[at + 1].word if at + 1 < len(tokens) else ""
        last = at
        if len(following) == 4 and _stands_apart(tokens, at):
            if _digits(following) >= 3 or not codes.problem_of(word + following):
                word, last = word + following, at + 1
        code, note, problem = _read_word(word)
        if code:
            here.append(_Found(code, at, last, note))
        elif problem:
            for part in range(at, last + 1):
                problems.append((part, problem))
        at = last + 1
    if not here and all(_lacks_letter(token.word) for token in tokens):
        for at, token in enumerate(tokens):
            problems.append(
                (
                    at,
                    phrase("{word}: the letter is missing; type P{word} if that is meant.", word=token.word),
                )
            )
    return here, problems


def _stands_apart(tokens, at):
    """Whether a single letter may belong to the characters after it: "P 0301", "U-0100"."""
    word, gap = tokens[at].word, tokens[at].gap
    if len(word) != 1 or word not in codes.SYSTEMS:
        return False
    return gap in ("-", ".", "_", "") or (gap == " " and (word == "P" or at == 0))


def _lacks_letter(word):
    return len(word) == 4 and word[0] == "0" and _digits(word) == 4


def _read_word(word):
    """(code, note, problem) of one word; all None when it was never meant as a code."""
    if word[0] not in codes.SYSTEMS:
        return None, None, None
    size, digits = len(word), _digits(word[1:])
    if size == 5:
        problem = codes.problem_of(word)
        if not problem:
            return word, None, None
        mended = word[0] + "".join([_SLIPS.get(char, char) for char in word[1:]])
        if digits >= 2 and not codes.problem_of(mended):
            return mended, phrase("{word} read as {code}", word=word, code=mended), None
        if digits >= 3:
            return None, None, "%s: %s" % (word, problem)
    elif size > 5 and not codes.problem_of(word[:5]) and _digits(word[1:5]) >= 3:
        rest = word[5:]
        if size == 7 and all(char in codes.HEX for char in rest):
            return (
                word[:5],
                phrase("{word}: the last two characters say how it failed and are not used", word=word),
                None,
            )
        if len(rest) >= 4 and not _digits(rest):
            return word[:5], phrase("{word} read as {code}", word=word[:30], code=word[:5]), None
    if word[0] == "P" and 3 <= size <= 7 and digits == size - 1:
        return (
            None,
            None,
            phrase("{word}: a code has four characters after the letter, this has {n}", word=word, n=size - 1),
        )
    return None, None, None


def _digits(word):
    return len([char for char in word if char in plaintext.DIGITS])


def _statuses_in(tokens, here):
    """Words of status: dicts of ``at``, ``status`` (None when denied), ``heading``, ``with`` (other tokens used)."""
    codes_at = set()
    for one in here:
        codes_at.update(range(one.first, one.last + 1))
    statuses = []
    for at, token in enumerate(tokens):
        if at in codes_at:
            continue
        before = tokens[at - 1].word if at else ""
        if before in ("MODE", "SERVICE") and token.word in _SERVICES:
            statuses.append({"at": at, "status": _SERVICES[token.word], "heading": True, "with": [at - 1]})
        elif token.word in _STATUSES and before not in ("FRAME", "FRAMES"):
            heading, denied = _what_follows(tokens, at)
            status = _STATUSES[token.word]
            if before in _NOT:
                status = "pending" if token.word == "CONFIRMED" and before == "NOT" else None
            elif denied:
                status = None
            statuses.append({"at": at, "status": status, "heading": heading, "with": []})
    return statuses


def _what_follows(tokens, at):
    """Whether a word of status heads what follows ("Pending codes:"), and whether it is denied ("pending: false")."""
    for ahead in range(at, min(at + 4, len(tokens))):
        if ":" in tokens[ahead].gap or "=" in tokens[ahead].gap:
            value = tokens[ahead + 1].word if ahead + 1 < len(tokens) else ""
            if value in _NOT:
                return False, True
            return value not in ("YES", "TRUE", "1"), False
        if ahead + 1 >= len(tokens) or tokens[ahead + 1].word not in _FILLERS:
            return False, False
        if tokens[ahead + 1].word in _PLURALS:
            return True, False
    return False, False


def _leave_open(tokens, here, index):
    """A status that ends a list ("P0301, P0302 pending") may be meant for all of it; one in brackets is not."""
    if "(" in tokens[here[index].last].gap or "[" in tokens[here[index].last].gap:
        return
    said = here[index].status
    while index and said != "stored" and _is_list(tokens, here[index - 1], here[index]) and not here[index - 1].status:
        index -= 1
        here[index].open = said


def _is_list(tokens, one, following):
    for at in range(one.last, following.first):
        if (at > one.last and tokens[at].word not in ("AND", "OR")) or "|" in tokens[at].gap or ";" in tokens[at].gap:
            return False
    return True


def _said(record, tokens, start, end, taken):
    """The text of the tokens from ``start`` to before ``end``, without those in ``taken``; "" if it only fills."""
    pieces = []
    telling = False
    for at in range(start, end):
        if at not in taken:
            token = tokens[at]
            telling = telling or not _is_filler(token.word)
            pieces.append(record[token.start : token.end] + (token.gap if at + 1 < end else ""))
    return plaintext.spaced("".join(pieces)).strip(" ,;.:-|()[]\"'=/\\*") if telling else ""


def _is_filler(word):
    return word in _FILLERS or (len(word) <= 3 and _digits(word) == len(word))
