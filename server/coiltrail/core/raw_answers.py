"""A car's raw answers to services 03, 07, 0A and 06, as a serial adapter shows them.

Origin of the layouts: SAE J1979 / ISO 15031-5, frames ISO 15765-2; from memory, but for the misfire monitors'
test numbers, which a public 2005 model-year summary of monitors gives.
"""

from . import codes, plaintext
from .tongue import phrase

STATUS_OF_ANSWER = {0x43: "stored", 0x47: "pending", 0x4A: "permanent"}
TEST_ANSWER = 0x46
REFUSED = 0x7F
WHOLE_ENGINE_MONITOR = 0xA1  # A2 to AD: cylinders 1 to 12
LAST_CYLINDER_MONITOR = 0xAD
MEASURES = {0x0B: "average", 0x0C: "last"}  # mean of the last ten driving cycles; the current or last one
RAW_COUNTS = 0x24  # the scale in which a value is a plain number
TEST_BYTES = 9  # monitor, test, scale, and two bytes each of value, minimum, maximum
FILLING = (0x00, 0x55, 0xAA, 0xCC, 0xFF)

_TALK = ("SEARCHING", "SEARCHING...", "OK", "BUS INIT: OK", "BUS INIT: ...OK", "STOPPED")


def from_bytes(hex_text):
    """Codes and misfire counts in raw answers, one answer a line, with or without spaces and headers.

    Gives ``{"codes": [{"code", "status", "words"}], "counts": [{"cylinder", "measure", "count", "low", "high"}],
    "left_over": [text]}``. ``cylinder`` is None for the whole engine; ``measure`` is "average" (mean of the last ten
    driving cycles) or "last" (the current or last one). What is not understood is said in ``left_over``.
    """
    answer = {"codes": [], "counts": [], "left_over": []}
    for message, framed in _messages(hex_text, answer["left_over"]):
        _read_message(message, framed, answer)
    answer["codes"] = _once(answer["codes"], lambda found: (found["code"], found["status"]))
    answer["left_over"] = _once(answer["left_over"], lambda piece: piece)
    return answer


def looks_raw(text):
    """Whether ``text`` is nothing but raw answers, at least one of them to a service read here."""
    answers = 0
    for line in text.replace("\r", "\n").split("\n"):
        line = _plain(line)
        if not line or _is_talk(line):
            continue
        digits = line.replace(" ", "").replace(":", "")
        if not digits or any(char not in codes.HEX for char in digits):
            return False
        if len(digits) >= 6 and any(("%02X" % sid) in digits[:24] for sid in (0x43, 0x46, 0x47, 0x4A, 0x7F)):
            answers += 1
    return answers > 0


def _messages(hex_text, left_over):
    """Whole answers as lists of bytes, each with whether its length was told by its frame."""
    messages = []
    open_frames = {}  # sender -> [bytes so far, bytes in all]
    for line in hex_text.replace("\r", "\n").split("\n"):
        line = _plain(line)
        if not line or _is_talk(line):
            continue
        sender, data = _sender_and_bytes(line)
        if data is None:
            left_over.append(_why_not(line))
        elif sender is None:
            messages.append(_without_bus_header(data))
        else:
            _take_frame(sender, data, open_frames, messages, left_over)
    for sender in sorted(open_frames):
        got, size = open_frames[sender]
        if got:
            left_over.append(
                phrase(
                    "Only {got} of {size} bytes of an answer arrived; what is there was read.", got=len(got), size=size
                )
            )
            messages.append((got, True))
    return messages


def _plain(line):
    return plaintext.upper(plaintext.spaced(line)).strip("> ")


def _is_talk(line):
    # What an adapter says between answers, and the echo of the request.
    return (
        line in _TALK or line.startswith("SEARCHING") or line in ("03", "07", "0A", "06") or line.startswith("BUS INIT")
    )


def _why_not(line):
    if line.startswith("NO DATA") or line.startswith("UNABLE"):
        return phrase("{line}: the car did not answer; key on, engine running, then ask again.", line=line[:40])
    return phrase("{line}: these are not bytes in hexadecimal.", line=line[:60])


def _sender_and_bytes(line):
    """(sender, bytes) of a line: sender None without a frame's header, bytes None when it is not hexadecimal."""
    if len(line) > 1 and line[1] == ":":  # "0: 43 04 ...", the adapter's numbering of a long answer
        return "part " + line[0], _bytes(line[2:])
    if len(line) == 3:  # the length that goes before such numbered lines
        return "length", _bytes("0" + line)
    head = line.split(" ")[0]
    if len(head) == 3 and head[0] == "7":
        return head, _bytes(line[3:])
    if line.replace(" ", "").startswith("18DAF1"):
        joined = line.replace(" ", "")
        return joined[:8], _bytes(joined[8:])
    return None, _bytes(line)


def _bytes(text):
    digits = text.replace(" ", "")
    if len(digits) % 2 or any(char not in codes.HEX for char in digits):
        return None
    return [int(digits[i : i + 2], 16) for i in range(0, len(digits), 2)]


def _without_bus_header(data):
    """An answer without the three header bytes and the checksum of the older buses, where they are there."""
    if len(data) > 4 and data[0] == 0x48 and data[1] == 0x6B:
        return data[3:-1], False
    if len(data) > 4 and data[0] & 0xC0 == 0x80 and data[1] == 0xF1:
        return data[3 : 3 + (data[0] & 0x3F)], False
    return data, False


def _take_frame(sender, data, open_frames, messages, left_over):
    if sender == "length":
        open_frames["numbered"] = [[], data[0] << 8 | data[1]]
        return
    if sender.startswith("part "):
        sender, frame, size, payload = "numbered", "next", 0, data
        if sender not in open_frames:
            open_frames[sender] = [[], len(data)]
    elif not data:
        return
    elif data[0] >> 4 == 0:
        frame, size, payload = "single", data[0], data[1:]
    elif data[0] >> 4 == 1 and len(data) > 1:
        frame, size, payload = "first", (data[0] & 15) << 8 | data[1], data[2:]
    elif data[0] >> 4 == 2:
        frame, size, payload = "next", 0, data[1:]
    else:
        return
    if frame == "single":
        messages.append((payload[:size], True))
        return
    if frame == "first":
        open_frames[sender] = [[], size]
    if sender not in open_frames:
        left_over.append(phrase("The beginning of an answer from {sender} is missing.", sender=sender))
        return
    got, size = open_frames[sender]
    got.extend(payload)
    if len(got) >= size:
        messages.append((got[:size], True))
        del open_frames[sender]


def _read_message(message, framed, answer):
    if not message:
        return
    service, rest = message[0], message[1:]
    if service in STATUS_OF_ANSWER:
        for part in _joined_answers(service, rest):
            _read_codes(STATUS_OF_ANSWER[service], part, framed, answer)
    elif service == TEST_ANSWER:
        _read_tests(rest, answer)
    elif service == REFUSED:
        answer["left_over"].append(phrase("{hex}: the car refused the request.", hex=_hex(message)))
    else:
        answer["left_over"].append(phrase("{hex}: not an answer to service 03, 07, 0A or 06.", hex=_hex(message)))


def _joined_answers(service, rest):
    """Three-pair answers that stand on one line, apart."""
    if len(rest) > 6 and len(rest) % 7 == 6 and rest[0] * 2 + 1 != len(rest):
        if all(rest[i] == service for i in range(6, len(rest), 7)):
            return [rest[i : i + 6] for i in range(0, len(rest), 7)]
    return [rest]


def _read_codes(status, rest, framed, answer):
    if not rest:
        return
    words, fits = _counted(rest)
    if framed:
        if not fits:
            answer["left_over"].append(
                phrase("{told} codes announced, {whole} arrived whole.", told=rest[0], whole=len(words))
            )
    elif len(rest) % 2:
        if not fits:
            answer["left_over"].append(
                phrase("{hex}: this answer is cut short or mixed up; read it again.", hex=_hex(rest))
            )
            return
    else:
        # An adapter that hides the frames strips their filling too, so an even rest means three pairs.
        if fits and _named(words) != _named(_pairs(rest)):
            answer["left_over"].append(
                phrase(
                    "{hex} could also be an answer with a count: then it says {named}.",
                    hex=_hex(rest),
                    named=", ".join(_named(words)) or phrase("no code"),
                )
            )
        words = _pairs(rest)
    for code in _named(words):
        answer["codes"].append({"code": code, "status": status, "words": codes.meaning(code)["text"]})


def _counted(rest):
    """The words of an answer that begins with their count, and whether count, words and filling fit together."""
    end = 1 + 2 * rest[0]
    return _pairs(rest[1:end]), end <= len(rest) and _filling(rest[end:])


def _pairs(data):
    return [data[i] << 8 | data[i + 1] for i in range(0, len(data) - 1, 2)]


def _named(words):
    return [codes.from_word(word) for word in words if word]  # 00 00 fills the places left free


def _filling(data):
    return all(byte == data[0] for byte in data) and (not data or data[0] in FILLING)


def _read_tests(rest, answer):
    if len(rest) % TEST_BYTES:
        answer["left_over"].append(
            phrase("{hex}: tests come in nine bytes each; some are missing or over.", hex=_hex(rest))
        )
    for at in range(0, len(rest) - TEST_BYTES + 1, TEST_BYTES):
        monitor, test, scale = rest[at : at + 3]
        value, low, high = _pairs(rest[at + 3 : at + TEST_BYTES])
        if not WHOLE_ENGINE_MONITOR <= monitor <= LAST_CYLINDER_MONITOR or test not in MEASURES:
            answer["left_over"].append(
                phrase("Test {test:02X} of monitor {monitor:02X} is not a misfire count.", test=test, monitor=monitor)
            )
        elif scale != RAW_COUNTS:
            answer["left_over"].append(
                phrase(
                    "Test {test:02X} of monitor {monitor:02X} has scale {scale:02X}, not plain counts.",
                    test=test,
                    monitor=monitor,
                    scale=scale,
                )
            )
        else:
            answer["counts"].append(
                {
                    "cylinder": monitor - WHOLE_ENGINE_MONITOR or None,
                    "measure": MEASURES[test],
                    "count": value,
                    "low": low,
                    "high": high,
                }
            )


def _hex(data):
    shown = " ".join(["%02X" % byte for byte in data[:16]])
    return shown + (" ..." if len(data) > 16 else "")


def _once(items, key_of):
    seen = set()
    kept = []
    for item in items:
        if key_of(item) not in seen:
            seen.add(key_of(item))
            kept.append(item)
    return kept
