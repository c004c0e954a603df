"""Codes, vehicle numbers, tags, units and canonical JSON give the same bytes on both runtimes."""

import random

from coiltrail.core import codes, measures, tags, vin
from tests.runtimes.runner import on_cpython, on_micropython

DRAW = random.Random(20)
WORDS = ["P0301", "p 0302", "PO303", "P4301", "P030128", "Pending", "stored:", "codes", "no", "misfire", "0301", "x1"]
MORE_WORDS = ["43 02 03 01", "43 02 03 01 03 51\n", "Mode 07", "false", "Status:", "permanent", "Ünver", "K\u212a"]
SCRAPS = [*WORDS, *MORE_WORDS, *' \n,;{}":|-é\u2028\u00a0😀(\x1f\x00']
TEXTS = [DRAW.choice(["", " "]).join(DRAW.choices(SCRAPS, k=DRAW.randrange(1, 30))) for _ in range(300)]
HEX_TEXTS = ["".join(DRAW.choices("0123467A \n:", k=DRAW.randrange(1, 80))) for _ in range(100)]
HEX_TEXTS += [DRAW.choice(["43", "47", "4A"]) + DRAW.randbytes(6).hex() for _ in range(100)]
NUMBERS = [DRAW.uniform(-1, 1) * 10 ** DRAW.randrange(-12, 18) for _ in range(1000)] + [
    0.0,
    -0.0,
    2.5e-10,
    1e300,
    2**53,
]
QUANTITIES = [
    "6 ft-lb",
    "8,1",
    "92,000 mi",
    "123\u00a0456 km",
    "-10 °C",
    "\u212a 5",
    "5 \u212a",
    "12 k\u2126",
    "²",
    "1.2.3",
    "٣ V",
]
VINS = [
    "".join(DRAW.choices("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", k=DRAW.choice([16, 17, 17, 17]))) for _ in range(80)
]
VINS += ["1M8GDM9AXKP042788", "1M8GDM9AXKP042878", "1M8GDM9AXKPO42788", "vin 1m8gdm9a xkp042788", "\u0131", "\u017f"]

SCRIPT = """
import json
from coiltrail.core import canonical, codes, measures, plaintext, tags, vin

given = json.loads(GIVEN)


def show(value):
    print(canonical.dumps(value))


def parsed(text):
    return [measures.parse_quantity(text, "any"), measures.tolerance(text, "any")]


def tag(drawn):
    code = tags.new_tag(bytes.fromhex(drawn))
    return code and [code, tags.check_tag(code), tags.check_tag(code[:3] + code[4] + code[3] + code[5:])]


show(measures.UNITS)
show(given)
for text in given["texts"]:
    show([codes.find_codes(text), tags.check_tag(text), parsed(text), plaintext.spaced(plaintext.upper(text))])
for text in given["hex"]:
    show(codes.from_bytes(text))
for text in given["vins"]:
    show(vin.check_vin(text))
for text in given["quantities"]:
    show(parsed(text))
for number in given["numbers"]:
    show([canonical.fixed(number, 3), measures.from_si(number, "psi"), measures.resistance_at(number, 300.0)])
for altitude in range(-5000, 11000, 50):
    show(measures.air_pressure(altitude))
for drawn in given["draws"]:
    show(tag(drawn))
for word in range(0, 65536, 7):
    code = codes.from_word(word)
    show([codes.meaning(code), codes.bearing(code), codes.kind_of(code), codes.cylinder_of(code), codes.bank_of(code)])
"""


def test_both_runtimes_write_the_same_bytes():
    given = {
        "texts": TEXTS,
        "hex": HEX_TEXTS,
        "vins": VINS,
        "quantities": QUANTITIES,
        "numbers": NUMBERS,
        "draws": [DRAW.randbytes(16).hex() for _ in range(200)],
    }
    here, phone = on_cpython(SCRIPT, given).split("\n"), on_micropython(SCRIPT, given).split("\n")
    assert len(here) == len(phone) > 11000
    assert [pair for pair in zip(here, phone, strict=True) if pair[0] != pair[1]] == []


def test_the_texts_exercise_what_they_are_meant_to():
    found = [codes.find_codes(text) for text in TEXTS]
    assert {one["status"] for answer in found for one in answer["codes"]} == {"stored", "pending", "permanent"}
    assert sum(bool(answer["codes"]) for answer in found) > 100
    assert sum(bool(answer["left_over"]) for answer in found) > 100
    assert sum(bool(codes.from_bytes(text)["codes"]) for text in HEX_TEXTS) > 20
    assert {vin.check_vin(text)["verdict"] for text in VINS} == {"good", "slip", "unchecked", "impossible"}
    assert any("message" in measures.parse_quantity(text, "any") for text in QUANTITIES)
    assert "code" in tags.check_tag("7K3Q9ZT4W" + tags.check_character("7K3Q9ZT4W"))
