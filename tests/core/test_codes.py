from itertools import product

import pytest

from coiltrail.core import code_table, codes

EVERY_CODE = [codes.from_word(word) for word in range(65536)]


def test_two_byte_form_there_and_back_for_every_word():
    assert [codes.to_word(code) for code in EVERY_CODE] == list(range(65536))
    assert not any(codes.problem_of(code) for code in EVERY_CODE)


@pytest.mark.parametrize(
    ("code", "told"),
    [
        ("P4301", "after the letter comes a figure from 0 to 3"),
        ("P03G1", "G is not one of"),
        ("X0301", "letter must be P, C, B or U"),
        ("P030", "four characters"),
        ("P03011", "four characters"),
        ("p0301", "letter must be"),
        (301, "four characters"),
        (None, "four characters"),
    ],
)
def test_impossible_codes_are_refused_with_the_reason(code, told):
    assert told in codes.problem_of(code)
    for ask in (codes.meaning, codes.kind_of, codes.bearing, codes.to_word, codes.defined_by):
        with pytest.raises(ValueError, match=told):
            ask(code)


def test_every_code_has_a_meaning_a_kind_and_a_bearing():
    for code in EVERY_CODE:
        said = codes.meaning(code)
        assert said["code"] == code and said["text"] and said["group"]
        assert codes.kind_of(code) in codes.KINDS
        bearing = codes.bearing(code)
        assert bearing["bearing"] in ("bears", "mimics", "apart") and bearing["reason"]


def test_more_than_a_thousand_codes_are_told_in_own_words():
    own = [code for code in EVERY_CODE if codes.meaning(code)["own_words"]]
    assert len(own) > 1000
    assert all(codes.defined_by(code) == "standard" for code in own)
    assert all(len(codes.meaning(code)["text"]) <= 90 for code in own)


def test_what_is_known_by_its_group_only_says_so():
    assert "look it up" in codes.meaning("P1301")["text"]
    assert "not in our list" in codes.meaning("P0399")["text"]
    assert "reserved" in codes.meaning("B3000")["text"]
    assert not any(codes.meaning(code)["own_words"] for code in ("P1301", "P0399", "B3000", "U3000", "C1234"))


def _lines():
    return [line for line in code_table.LINES.split("\n") if line]


def test_no_family_leaves_its_head_and_no_two_lines_tell_of_one_code():
    told = {}
    for line in _lines():
        head = line[:3]
        family = code_table.unfold(head)
        assert all(code.startswith(head) for code in family), line
    for head in sorted({line[:3] for line in _lines()}):
        told.update(code_table.unfold(head))
    each = [code_table.unfold(line) for line in _lines()]  # a whole line is a head that only it begins with
    assert sum(len(family) for family in each) == len(told)


def test_every_kind_of_the_table_is_declared():
    assert {line.split(" ")[2] for line in _lines()} <= set(codes.KINDS)


@pytest.mark.parametrize(
    ("code", "kind", "number"),
    [
        ("P0300", "misfire_random", None),
        ("P0301", "misfire", 1),
        ("P0310", "misfire", 10),
        ("P0312", "misfire", 12),
        ("P0313", "fuel_level", None),
        ("P0314", "misfire_one", None),
        ("P0316", "misfire_start", None),
        ("P0201", "injector_circuit", 1),
        ("P0212", "injector_circuit", 12),
        ("P0261", "injector_circuit", 1),
        ("P0264", "injector_circuit", 2),
        ("P0270", "injector_circuit", 4),
        ("P0271", "injector_circuit", 4),
        ("P0272", "imbalance", 4),
        ("P0296", "imbalance", 12),
        ("P0351", "coil_circuit", 1),
        ("P0360", "coil_circuit", 10),
        ("P0362", "coil_circuit", 12),
        ("P2300", "coil_circuit", 1),
        ("P2302", "coil_circuit", 1),
        ("P2303", "coil_circuit", 2),
        ("P2310", "coil_circuit", 4),
        ("P2335", "coil_circuit", 12),
        ("P029A", "injector_flow", 1),
        ("P02A1", "injector_flow", 2),
        ("P219C", "imbalance", 1),
        ("P21A7", "imbalance", 12),
        ("P3401", "cylinder_cut", 1),
        ("P3409", "cylinder_cut", 2),
        ("P0171", "lean", None),
        ("P0175", "rich", None),
        ("P0420", "catalyst", None),
        ("P0455", "vapour", None),
        ("P0496", "purge", None),
        ("P0335", "crank_signal", None),
        ("P0340", "cam_signal", None),
        ("P0016", "cam_timing", None),
        ("P0741", "converter", None),
        ("P0A80", "hybrid", None),
        ("U0100", "network", None),
        ("C0035", "chassis", None),
        ("B1000", "maker_other", None),
        ("P1301", "maker_ignition", None),
    ],
)
def test_kind_and_number(code, kind, number):
    assert codes.kind_of(code) == kind
    assert codes.cylinder_of(code) == number


@pytest.mark.parametrize(
    ("code", "bearing"),
    [
        ("P0301", "bears"),
        ("P0353", "bears"),
        ("P0203", "bears"),
        ("P0171", "bears"),
        ("P0087", "bears"),
        ("P0562", "bears"),
        ("P0102", "mimics"),
        ("P0118", "mimics"),
        ("P0315", "mimics"),
        ("P0335", "mimics"),
        ("P0741", "mimics"),
        ("P0505", "mimics"),
        ("P0420", "apart"),
        ("P0457", "apart"),
        ("P0500", "apart"),
        ("C0035", "apart"),
        ("U0121", "apart"),
        ("P1302", "bears"),
        ("P1602", "apart"),
    ],
)
def test_bearing(code, bearing):
    assert codes.bearing(code)["bearing"] == bearing


def test_bank():
    assert [codes.bank_of(code) for code in ("P0171", "P0174", "P0301", "P0430", "P1174")] == [1, 2, None, 2, None]


@pytest.mark.parametrize(
    ("code", "text"),
    [
        ("P0303", "Misfire on cylinder 3"),
        ("P0352", "Coil B: primary or secondary fault"),
        ("P2305", "Coil B: secondary side fault"),
        ("P0262", "Injector of cylinder 1: signal too high"),
        ("P0343", "Cam position sensor A, bank 1: signal too high"),
        ("P2150", "Supply of injector group B: signal too low"),
    ],
)
def test_families_are_unfolded(code, text):
    assert codes.meaning(code)["text"] == text


def test_explain_tells_meaning_and_bearing():
    assert codes.explain("P0353") == {
        "code": "P0353",
        "text": "Coil C: primary or secondary fault",
        "group": "Ignition and misfire",
        "own_words": True,
        "bearing": "bears",
        "reason": "A coil, its wiring or its driver is at fault electrically: its cylinders miss.",
        "doubt": "",
    }


@pytest.mark.parametrize(("code", "odd"), [("P0304", False), ("P0309", True), ("P0355", True), ("P0300", False)])
def test_a_code_that_names_more_cylinders_than_there_are_is_doubted(code, odd):
    assert bool(codes.explain(code, cylinders=4)["doubt"]) is odd
    assert codes.explain(code)["doubt"] == ""


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("PO304", "P0304"),
        ("P03O4", "P0304"),
        ("PI301", "P1301"),
        ("PL301", "P1301"),
        ("P030S", "P0305"),
        ("P0Z62", "P0262"),
        ("80100", "B0100"),
        ("V0121", "U0121"),
        ("P030B", "P0308"),  # can be, but is in no list, and B looks like 8
        ("P0D01", "P0001"),
    ],
)
def test_what_looks_alike_is_read_as_the_code_it_was_meant_to_be(typed, meant):
    assert codes.likely(typed) == meant


@pytest.mark.parametrize("typed", ["P0304", "P0A0F", "P03X4", "PA304", "P030", "P03040", "", "12345"])
def test_nothing_is_offered_where_nothing_looks_alike(typed):
    assert codes.likely(typed) is None


def test_what_is_likely_can_always_be():
    for typed in ("".join(chars) for chars in product("P8O", "OIS3", "0S", "BO", "T1")):
        meant = codes.likely(typed)
        assert meant is None or codes.problem_of(meant) is None, typed


class TestRandomBesideOthers:
    def test_beside_one_named_cylinder_it_is_no_second_fault(self):
        reason = codes.bearing("P0300", ["P0300", "P0302", "P0420"])["reason"]
        assert "Beside P0302" in reason and "no second fault" in reason and "Start at cylinder 2" in reason
        assert codes.explain("P0300", ["P0302"])["reason"] == reason

    @pytest.mark.parametrize("beside", [(), ["P0300"], ["P0302", "P0303"], ["P0171"], ["P03G2"]])
    def test_else_what_the_cylinders_share_comes_first(self, beside):
        assert "what they share" in codes.bearing("P0300", beside)["reason"]

    def test_the_code_of_the_cylinder_itself_says_the_same_as_ever(self):
        assert codes.bearing("P0302", ["P0300"]) == codes.bearing("P0302")
