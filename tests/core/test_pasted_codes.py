import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from coiltrail.core import codes, pasted_codes
from coiltrail.core.codes import find_codes

CODE = st.integers(0, 65535).map(codes.from_word)
STATUS = st.sampled_from(["stored", "pending", "permanent"])


def found(text):
    return [(one["code"], one["status"]) for one in find_codes(text)["codes"]]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("P0301", "P0301"),
        ("p0301,p0302", "P0301 P0302"),
        ("P 0301", "P0301"),
        ("P-0301", "P0301"),
        ("(P0301)", "P0301"),
        ("1. P0301\n2. P0302", "P0301 P0302"),
        ("P0301\tP0302\tU0100", "P0301 P0302 U0100"),
        ("P0301/P0302", "P0301 P0302"),
        ("P0A0F", "P0A0F"),
        ("P0301-28", "P0301"),
        ("P030128", "P0301"),
        ("P0301 P0301 P0301", "P0301"),
        ("Found P0301: cylinder 1 misfire", "P0301"),
    ],
)
def test_codes_in_common_shapes(text, expected):
    assert found(text) == [(code, "stored") for code in expected.split()]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("P0301 - Pending", [("P0301", "pending")]),
        ("P0301 pending, P0302", [("P0301", "pending"), ("P0302", "stored")]),
        ("P0301, P0302 pending", [("P0301", "stored"), ("P0302", "pending")]),
        ("P0302, P0300, P0456 (pending)", [("P0302", "stored"), ("P0300", "stored"), ("P0456", "pending")]),
        ("P0301 pending; P0302 permanent", [("P0301", "pending"), ("P0302", "permanent")]),
        ("Pending: P0301, P0302", [("P0301", "pending"), ("P0302", "pending")]),
        ("Pending: P0301 Permanent: P0420", [("P0301", "pending"), ("P0420", "permanent")]),
        ("Pending: P0301,\nP0302", [("P0301", "pending"), ("P0302", "pending")]),
        (
            "P0301 history\nP0302 current\nP0303 confirmed",
            [("P0301", "stored"), ("P0302", "stored"), ("P0303", "stored")],
        ),
        ("P0301 not confirmed", [("P0301", "pending")]),
        ("P0301 Confirmed/Pending", [("P0301", "stored"), ("P0301", "pending")]),
        ("P0301\nPending\nP0302\nStored", [("P0301", "pending"), ("P0302", "stored")]),
        ("Pending\nP0301\nPermanent\nP0301", [("P0301", "pending"), ("P0301", "permanent")]),
        ("Code: P0301\nStatus: Pending\n\nCode: P0302\nStatus: Stored", [("P0301", "pending"), ("P0302", "stored")]),
        (
            "Stored codes\n\nP0301 Miss\nP0351 Coil\n\nPending codes:\nP0302\nNo permanent codes found",
            [("P0301", "stored"), ("P0351", "stored"), ("P0302", "pending")],
        ),
        ("Mode 07: P0302\nMode $0A: P0303", [("P0302", "pending"), ("P0303", "permanent")]),
        ("| P0301 | Confirmed | Miss |\n| P0302 | Pending | Miss |", [("P0301", "stored"), ("P0302", "pending")]),
        ("P0301,pending,Miss\nP0302,stored,Miss", [("P0301", "pending"), ("P0302", "stored")]),
        (
            '[{"code":"P0301","status":"pending"},{"code":"P0420","confirmed":true,"pending":false}]',
            [("P0301", "pending"), ("P0420", "stored")],
        ),
        (
            '{\n "dtcs": [\n  {\n   "status": "pending",\n   "code": "P0301"\n  },\n  {"code": "U0100"}\n ]\n}',
            [("P0301", "pending"), ("U0100", "stored")],
        ),
        (
            '{"stored": ["P0301", "P0302"], "pending": ["P0303"]}',
            [("P0301", "stored"), ("P0302", "stored"), ("P0303", "pending")],
        ),
        ("Stored: 2 Pending: 1\nP0301", [("P0301", "stored")]),
        ("Summary: P0301\nP0301 pending", [("P0301", "pending")]),
        ("P0301 (freeze frame stored) pending", [("P0301", "pending")]),
    ],
)
def test_words_of_status(text, expected):
    assert found(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("P0302, P0300, P0420 pending", {"P0302": "pending", "P0300": "pending"}),
        ("P0301 stored, P0302 and P0303 permanent", {"P0302": "permanent"}),
        ("P0302, P0300, P0420 (pending)", {}),
        ("P0302 pending, P0300", {}),
        ("P0302, P0300 stored", {}),
        ("Stored: P0302, P0300 pending", {}),
        ("P0301, P0302, P0300 pending\nP0302 stored", {"P0301": "pending"}),
    ],
)
def test_a_status_after_a_list_is_the_last_codes_and_open_for_the_others(text, expected):
    told = find_codes(text)["codes"]
    assert {one["code"]: one["open"] for one in told if "open" in one} == expected
    assert all(one["status"] == "stored" for one in told if "open" in one)


@pytest.mark.parametrize("typed", ["PO301", "P03O1", "po30l", "P03OI", "P 03O1"])
def test_letters_for_digits_are_understood_and_said(typed):
    (one,) = find_codes(typed)["codes"]
    assert one["code"] == "P0301"
    assert "read as P0301" in one["note"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("P4301", "P4301: after the letter comes a figure from 0 to 3"),
        ("P03G1", "P03G1: G is not one of 0-9 and A-F"),
        ("P301", "P301: a code has four characters after the letter, this has 3"),
        ("P03011", "P03011: a code has four characters after the letter, this has 5"),
        ("0301", "0301: the letter is missing; type P0301 if that is meant."),
    ],
)
def test_codes_that_cannot_be_are_left_over_with_the_reason(text, told):
    assert find_codes(text) == {"codes": [], "left_over": [told], "counts": [], "obtained": "pasted"}


@pytest.mark.parametrize(
    "text", ["blood bible police COCOA BLEED", "1HGCM82633A004352", "part 22448-ED000", "bank b 1234", "call 555-0123"]
)
def test_words_and_numbers_that_are_no_codes_are_left_over(text):
    answer = find_codes(text)
    assert answer["codes"] == []
    assert answer["left_over"] == [text]


def test_what_the_text_says_about_a_code_is_kept_beside_our_own_words():
    (one,) = find_codes("P0301 - Cylinder 1 Misfire Detected (Pending)")["codes"]
    assert one == {
        "code": "P0301",
        "status": "pending",
        "words": "Misfire on cylinder 1",
        "said": "Cylinder 1 Misfire Detected",
    }
    (other,) = find_codes("Code: P1234\nDescription: something of the maker's")["codes"]
    assert other["said"] == "something of the maker's"


def test_raw_answers_are_recognised():
    answer = find_codes("43 02 03 01 03 51\r\n47 01 03 02\r\n>")
    assert answer["obtained"] == "raw"
    assert [(one["code"], one["status"]) for one in answer["codes"]] == [
        ("P0301", "stored"),
        ("P0351", "stored"),
        ("P0302", "pending"),
    ]


def test_more_codes_than_fit_are_named():
    every = [codes.from_word(0x0100 + n) for n in range(120)]
    answer = find_codes(" ".join(every))
    assert [one["code"] for one in answer["codes"]] == every[:100]
    assert every[100] in answer["left_over"][-1] and every[119] in answer["left_over"][-1]


def test_text_beyond_the_limit_is_said_not_to_be_read():
    answer = find_codes("P0301 " + "x" * 100000)
    assert [one["code"] for one in answer["codes"]] == ["P0301"]
    assert answer["left_over"][-1] == "Only the first 20000 characters were read."


@given(st.lists(st.tuples(CODE, STATUS), max_size=8, unique_by=lambda pair: pair[0]))
def test_lists_of_any_codes_are_read_whole(pairs):
    pairs = [pair for pair in pairs if pair[0] != "P0000"]
    by_line = "\n".join(f"{code} {status.capitalize()}" for code, status in pairs)
    table = "".join(f"|{code.lower()}|{status}|\n" for code, status in pairs)
    objects = "[" + ",".join(f'{{"status":"{status}","dtc":"{code}"}}' for code, status in pairs) + "]"
    for text in (by_line, table, objects):
        assert found(text) == pairs


WORDS = ["P0301", "p 0302", "PO303", "P4301", "P030128", "Pending", "stored:", "codes", "no", "misfire", "0301", "x1"]
SCRAPS = st.sampled_from(
    [*WORDS, "43 02 03 01", "Mode 07", "false", "Status:", "permanent", *'\n ,;{}":|-é\u2028\ud800(']
)


@given(st.one_of(st.text(max_size=300), st.lists(SCRAPS, max_size=40).map("".join), st.lists(SCRAPS).map(" ".join)))
@example("")
@example("P ")
@example("{'\"'")
def test_no_text_breaks_the_reading_and_no_word_vanishes(text):
    answer = find_codes(text)
    for one in answer["codes"]:
        assert not codes.problem_of(one["code"])
        assert one["status"] in ("stored", "pending", "permanent")
    if answer["obtained"] == "raw":
        return
    told = [f"{one['code']} {one.get('said', '')} {one.get('note', '')}" for one in answer["codes"]]
    shown = " ".join(told + answer["left_over"]).upper()
    for word in re.findall("[A-Za-z0-9]+", text):
        word = word.upper()
        assert pasted_codes._is_filler(word) or word in pasted_codes._STATUSES or word in shown
