"""Grammar and numbers of trouble codes (SAE J2012 / ISO 15031-6) and raw answers (SAE J1979 / ISO 15031-5).

All from memory, but for the numbers of the misfire tests.
"""

import pytest

from coiltrail.core import codes, raw_answers


@pytest.mark.parametrize(
    ("code", "word"),
    [
        ("P0300", 0x0300),
        ("P0301", 0x0301),
        ("P0351", 0x0351),
        ("P2301", 0x2301),
        ("P3000", 0x3000),
        ("C0300", 0x4300),
        ("B1000", 0x9000),
        ("U0100", 0xC100),
        ("P0A0F", 0x0A0F),
    ],
)
def test_two_byte_form(code, word):
    """SAE J2012, from memory."""
    assert codes.to_word(code) == word
    assert codes.from_word(word) == code


@pytest.mark.parametrize(
    ("heads", "owner"),
    [
        ("P0 P2 P34 P35 P36 P37 P38 P39 B0 C0 U0", "standard"),
        ("P1 P30 P31 P32 P33 B1 B2 C1 C2 U1 U2", "maker"),
        ("B3 C3", "reserved"),
        ("U3", "edition"),
    ],
)
def test_who_defines_a_range(heads, owner):
    """SAE J2012, from memory."""
    for head in heads.split():
        for last in ("0" * (5 - len(head)), "F" * (5 - len(head))):
            assert codes.defined_by(head + last) == owner


@pytest.mark.parametrize("n", range(1, 13))
def test_families_of_twelve(n):
    """P0301-P0312 cylinders, P0201-P0212 injectors, P0351-P0362 coils A-L, P2300 in steps of 3: from memory."""
    assert codes.kind_of(f"P{300 + n:04}") == "misfire"
    assert codes.kind_of(f"P{200 + n:04}") == "injector_circuit"
    coil_codes = [f"P{350 + n:04}"] + [f"P{2300 + 3 * (n - 1) + k}" for k in range(3)]
    assert {codes.kind_of(code) for code in coil_codes} == {"coil_circuit"}
    for code in [f"P{300 + n:04}", f"P{200 + n:04}", *coil_codes]:
        assert codes.cylinder_of(code) == n
    assert f"Coil {'ABCDEFGHIJKL'[n - 1]}" in codes.meaning(coil_codes[0])["text"]


@pytest.mark.parametrize(
    ("code", "kind"),
    [
        ("P0300", "misfire_random"),
        ("P0313", "fuel_level"),
        ("P0314", "misfire_one"),
        ("P0316", "misfire_start"),
    ],
)
def test_the_other_misfire_codes(code, kind):
    """SAE J2012, from memory."""
    assert codes.kind_of(code) == kind


@pytest.mark.parametrize("service", [0x43, 0x47, 0x4A])
def test_answers_with_count_and_with_three_pairs(service):
    """SAE J1979, from memory."""
    counted = codes.from_bytes(f"{service:02X} 02 03 01 03 51")
    paired = codes.from_bytes(f"{service:02X} 03 01 03 51 00 00")
    assert [one["code"] for one in counted["codes"]] == [one["code"] for one in paired["codes"]] == ["P0301", "P0351"]


def test_misfire_count_in_service_06():
    """SAE J1979, from memory; test numbers from a public 2005 model-year summary of monitors."""
    assert codes.from_bytes("46 A2 0B 24 00 0C 00 00 FF FF")["counts"] == [
        {"cylinder": 1, "measure": "average", "count": 12, "low": 0, "high": 65535}
    ]
    assert raw_answers.LAST_CYLINDER_MONITOR - raw_answers.WHOLE_ENGINE_MONITOR == 12
