"""Codes on part tags.

Nine random characters of Crockford's base-32 alphabet (45 bits) and one ISO 7064 MOD 37-36 check
character over them. It catches every wrong character, and all but about one in 630 swaps of neighbours; codes in
which a swap would pass are drawn again, and so are those whose check character would be I, L, O or U.
"""

from . import plaintext
from .tongue import phrase

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # Crockford base 32
_ISO_7064 = plaintext.DIGITS + plaintext.LETTERS
_QR_ALPHANUMERIC = plaintext.DIGITS + plaintext.LETTERS + " $%*+-./:"
RANDOM = 9
LENGTH = RANDOM + 1

_READ_AS = {"O": "0", "I": "1", "L": "1"}  # Crockford's forgiving reading


def check_character(payload):
    """The ISO 7064 MOD 37-36 check character for ``payload`` (0-9, A-Z)."""
    p = 36
    for char in payload:
        p = (p + _ISO_7064.index(char)) % 36 or 36
        p = p * 2 % 37
    return _ISO_7064[(1 - p) % 36]


def new_tag(random_bytes):
    """A code from at least six random bytes, or None when the draw must be repeated with fresh ones."""
    if len(random_bytes) < 6:
        raise ValueError(phrase("a tag needs at least six random bytes"))
    bits = 0
    for byte in random_bytes[:6]:
        bits = bits << 8 | byte
    payload = ""
    for _ in range(RANDOM):
        payload += ALPHABET[bits & 31]
        bits >>= 5
    code = payload + check_character(payload)
    return code if code[RANDOM] in ALPHABET and not _hides_a_swap(code) else None


def _hides_a_swap(code):
    for at in range(RANDOM):
        swapped = code[:at] + code[at + 1] + code[at] + code[at + 2 :]
        if swapped != code and check_character(swapped[:RANDOM]) == swapped[RANDOM]:
            return True
    return False


def check_tag(text):
    """The code in what was typed or scanned: ``{"code"}``, or ``{"message"}`` that says what to do.

    Takes the bare code in any case, with spaces and hyphens, O for 0, I and L for 1, and a whole scanned
    address that ends in /T/CODE.
    """
    typed = plaintext.upper(plaintext.dashed(plaintext.spaced(_from_address(str(text)))))
    code = ""
    for char in typed:
        if char in " -":
            continue
        char = _READ_AS.get(char, char)
        if char not in ALPHABET:
            return {
                "message": phrase(
                    "No tag has {shown} in it: only digits and letters, and of these not I, L, O or U.",
                    shown=_shown(char),
                )
            }
        code += char
        if len(code) > LENGTH:
            break
    if not code:
        return {"message": phrase("Type the ten characters printed under the square.")}
    if len(code) < LENGTH:
        return {"message": phrase("A tag has ten characters; this has {n}. Look for a missing one.", n=len(code))}
    if len(code) > LENGTH:
        return {"message": phrase("A tag has ten characters; this has more. Look for one too many.")}
    if check_character(code[:RANDOM]) != code[RANDOM]:
        return {
            "message": phrase(
                "One character is wrong or two are swapped: compare {tag} with the tag.", tag=with_groups(code)
            )
        }
    return {"code": code}


def address(public_url, code):
    """The address a tag's QR holds: ``public_url`` and code in capitals, all of QR's alphanumeric mode.

    Raises ValueError where the address of the shop has characters that mode lacks.
    """
    whole = plaintext.upper(public_url).rstrip("/") + "/T/" + code
    for char in whole:
        if char not in _QR_ALPHANUMERIC:
            raise ValueError(
                phrase("{shown} in the shop's address cannot stand in a tag; use a plain host name", shown=_shown(char))
            )
    return whole


def with_groups(code):
    """The code as printed under the QR, in groups that the eye can hold: ``7K3Q-9ZT-4WM``."""
    return "-".join((code[:4], code[4:7], code[7:]))


def _from_address(text):
    """What stands after /T/ in an address; any other text as it is."""
    at = max(text.rfind("/t/"), text.rfind("/T/"))
    if at < 0:
        return text
    text = text[at + 3 :]
    for mark in "/?#":
        text = text.split(mark)[0]
    return text


def _shown(char):
    return char if " " < char <= "~" else phrase("a sign that is not on the keyboard")
