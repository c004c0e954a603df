import pytest
from hypothesis import given
from hypothesis import strategies as st

from coiltrail.core import codes
from coiltrail.core.codes import from_bytes

FILLED = st.lists(st.integers(1, 65535), max_size=12, unique=True)
SERVICES = st.sampled_from([(0x43, "stored"), (0x47, "pending"), (0x4A, "permanent")])


def pairs(answer):
    return [(one["code"], one["status"]) for one in answer["codes"]]


def as_hex(data, gap=" "):
    return gap.join(f"{byte:02X}" for byte in data)


def frames(sender, data):
    """``data`` as frames of ISO 15765-2 with their identifier, filled up with zeros."""
    if len(data) <= 7:
        return [f"{sender} {as_hex([len(data), *data] + [0] * (7 - len(data)))}"]
    lines = [f"{sender} {as_hex([0x10 | len(data) >> 8, len(data) & 255, *data[:6]])}"]
    for number, at in enumerate(range(6, len(data), 7), start=1):
        rest = data[at : at + 7]
        lines.append(f"{sender} {as_hex([0x20 | number & 15, *rest] + [0] * (7 - len(rest)))}")
    return lines


@given(FILLED, SERVICES)
def test_codes_come_back_from_every_layout(words, service):
    sid, status = service
    expected = [(codes.from_word(word), status) for word in words]
    flat = [byte for word in words for byte in (word >> 8, word & 255)]
    counted = [sid, len(words), *flat]
    assert pairs(from_bytes(as_hex(counted))) == expected
    assert pairs(from_bytes(as_hex(counted, "").lower())) == expected
    assert pairs(from_bytes("\n".join(frames("7E8", counted)))) == expected
    assert pairs(from_bytes("\r".join(frames("18 DA F1 10", counted)))) == expected
    flat += [0] * (-len(flat) % 6)
    triples = [[sid, *flat[at : at + 6]] for at in range(0, len(flat), 6)]
    assert pairs(from_bytes("\n".join(as_hex(answer) for answer in triples))) == expected
    older = [f"48 6B 10 {as_hex(answer)} {sum([0x48, 0x6B, 0x10, *answer]) & 255:02X}" for answer in triples]
    assert pairs(from_bytes("\n".join(older))) == expected
    newer = [f"87 F1 10 {as_hex(answer)} {sum([0x87, 0xF1, 0x10, *answer]) & 255:02X}" for answer in triples]
    assert pairs(from_bytes("\n".join(newer))) == expected


def test_a_long_answer_with_numbered_lines():
    answer = from_bytes("00A\n0: 43 04 03 01 03 02\n1: 03 03 03 04 00 00 00\n>")
    assert pairs(answer) == [(f"P030{n}", "stored") for n in (1, 2, 3, 4)]
    assert answer["left_over"] == []


def test_answers_of_several_controllers_are_kept_apart():
    engine = frames("7E8", [0x43, 4, 3, 1, 3, 2, 3, 3, 3, 4])
    answer = from_bytes("\n".join([engine[0], *frames("7E9", [0x43, 1, 7, 0]), engine[1]]))
    assert sorted(pairs(answer)) == [
        ("P0301", "stored"),
        *[(f"P030{n}", "stored") for n in (2, 3, 4)],
        ("P0700", "stored"),
    ]
    assert answer["left_over"] == []


def test_two_answers_of_three_pairs_on_one_line():
    answer = from_bytes("43 03 01 03 51 00 00 43 03 02 00 00 00 00")
    assert [code for code, _ in pairs(answer)] == ["P0301", "P0351", "P0302"]


def test_misfire_counts():
    answer = from_bytes("46 A1 0C 24 00 20 00 00 FF FF\n46 A2 0B 24 00 0C 00 00 FF FF A3 0C 24 01 00 00 00 FF FF")
    assert answer["counts"] == [
        {"cylinder": None, "measure": "last", "count": 32, "low": 0, "high": 65535},
        {"cylinder": 1, "measure": "average", "count": 12, "low": 0, "high": 65535},
        {"cylinder": 2, "measure": "last", "count": 256, "low": 0, "high": 65535},
    ]
    assert answer["codes"] == [] and answer["left_over"] == []


def test_no_codes_is_an_answer_too():
    assert from_bytes("43 00") == {"codes": [], "counts": [], "left_over": []}
    assert from_bytes("43 00 00 00 00 00 00") == {"codes": [], "counts": [], "left_over": []}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("NO DATA", "the car did not answer"),
        ("7F 03 11", "refused"),
        ("41 00 BE 3F A8 13", "not an answer to service"),
        ("43 03 01 03 5", "not bytes"),
        ("43 03 03 01", "cut short"),
        ("hello", "not bytes"),
        ("46 A2 0B 24 00 0C", "nine bytes"),
        ("46 01 0B 24 00 0C 00 00 FF FF", "not a misfire count"),
        ("46 A2 0B 10 00 0C 00 00 FF FF", "scale 10"),
        ("7E8 10 0A 43 04 03 01 03 02", "6 of 10 bytes"),
        ("7E8 21 03 03 03 04 00 00 00", "beginning"),
    ],
)
def test_what_is_not_understood_is_said(text, told):
    assert told in " ".join(from_bytes(text)["left_over"])


def test_what_arrived_of_a_torn_answer_is_read():
    assert pairs(from_bytes("7E8 10 0A 43 04 03 01 03 02")) == [("P0301", "stored"), ("P0302", "stored")]


def test_an_answer_that_can_be_read_two_ways_says_both():
    answer = from_bytes("43 01 03 01 00 00 00")
    assert pairs(answer) == [("P0103", "stored"), ("P0100", "stored")]
    assert "then it says P0301" in answer["left_over"][0]


@given(st.one_of(st.text(), st.text(alphabet="0123456789ABCDEF :\n>", max_size=200)))
def test_no_text_breaks_the_reading(text):
    answer = from_bytes(text)
    assert sorted(answer) == ["codes", "counts", "left_over"]
    assert not any(codes.problem_of(one["code"]) for one in answer["codes"])
