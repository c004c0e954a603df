"""JSON text that is the same, byte for byte, on CPython and on MicroPython.

Keys sorted by code point, no spaces, non-ASCII text as it is. Numbers are rounded to nine decimals; a
number without a fraction is written as an integer, since a page's ``2.0`` arrives as ``2``.
The runtimes' own ``json.dumps``, ``%.9f`` and ``round`` differ (see tests/runtimes/differences).
"""

import re

PLACES = 9
_NEEDS_ESCAPE = re.compile('[\x01-\x1f"\\\\]')
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\r": "\\r", "\t": "\\t", "\b": "\\b", "\f": "\\f"}


def dumps(value):
    """``value`` (dict with text keys, list, tuple, text, number, True, False, None) as canonical JSON text.

    Raises ValueError for a number that is not finite, a key that is not text, and any other type.
    """
    pieces = []
    _write(value, pieces.append, {}, {})
    return "".join(pieces)


def fixed(value, places):
    """A finite number as decimal text with exactly ``places`` decimals, halves away from zero, never "-0"."""
    if value != value or value - value != 0:
        raise ValueError("a number must be finite, not %s" % value)
    size = abs(value)
    whole = int(size)
    # Splitting off the whole part is exact in binary, so the one rounding below is the same everywhere.
    scale = 10**places
    fraction = int((size - whole) * scale + 0.5)
    if fraction == scale:
        whole, fraction = whole + 1, 0
    text = str(whole)
    if places:
        digits = str(fraction)
        text += "." + "0" * (places - len(digits)) + digits
    return "-" + text if value < 0 and (whole or fraction) else text


def number(value):
    """A finite number as JSON: nine decimals at most, trailing zeros dropped, 2.0 as 2, -0.0 as 0."""
    if isinstance(value, int):
        return str(value)
    return fixed(value, PLACES).rstrip("0").rstrip(".")


def quoted(text):
    """``text`` as a JSON string."""
    if _is_plain(text):
        return '"' + text + '"'
    pieces = []
    high = None  # the first half of a surrogate pair, as MicroPython's json.loads leaves them
    for char in text:
        code = ord(char)
        if high is not None:
            if 0xDC00 <= code <= 0xDFFF:
                pieces.append(chr(0x10000 + ((high - 0xD800) << 10) + (code - 0xDC00)))
                high = None
                continue
            pieces.append("\\u%04x" % high)
            high = None
        if 0xD800 <= code <= 0xDBFF:
            high = code
        elif 0xDC00 <= code <= 0xDFFF or (code < 32 and char not in _ESCAPES):
            pieces.append("\\u%04x" % code)
        else:
            pieces.append(_ESCAPES.get(char, char))
    if high is not None:
        pieces.append("\\u%04x" % high)
    return '"' + "".join(pieces) + '"'


def _is_plain(text):
    """Whether ``text`` needs no escape; by functions that run in C on both runtimes, since most text is plain."""
    if _NEEDS_ESCAPE.search(text) or "\x00" in text:
        return False
    try:
        return b"\xed" not in text.encode()  # the byte that begins every lone half of a pair
    except ValueError:
        return False


def _write(value, put, known, names):
    """``known``: text and numbers, ``names``: keys, that were written already, as JSON: most come many times."""
    if isinstance(value, str):
        if value not in known:
            known[value] = quoted(value)
        put(known[value])
    elif isinstance(value, dict):
        _write_dict(value, put, known, names)
    elif value is None:
        put("null")
    elif value is True:
        put("true")
    elif value is False:
        put("false")
    elif isinstance(value, (int, float)):
        if value not in known:
            known[value] = number(value)
        put(known[value])
    elif isinstance(value, (list, tuple)):
        between = "["
        for item in value:
            put(between)
            _write(item, put, known, names)
            between = ","
        put("]" if value else "[]")
    else:
        raise ValueError("%s has no place in JSON" % type(value).__name__)


def _write_dict(value, put, known, names):
    for key in value:
        if not isinstance(key, str):
            raise ValueError("a key must be text, not %s" % type(key).__name__)
    between = "{"
    for key in sorted(value):
        if key not in names:
            names[key] = quoted(key) + ":"
        put(between)
        put(names[key])
        _write(value[key], put, known, names)
        between = ","
    put("}" if value else "{}")
