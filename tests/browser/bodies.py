"""Bodies, good and bad, on which the phone's check and the shop's must give the same verdict."""

import random
from datetime import date
from typing import Any

from coiltrail.core import entries, measures

UUID = "01890000-0000-7000-8000-000000000001"
QUANTITY = {"si": 1000.0, "typed": "1", "unit": "km"}
ENGINE = {"cylinders": 4, "layout": "inline", "ignition": "coil_on_plug"}
CODE = {"code": "P0301", "status": "stored"}


def opened(**more) -> dict:
    return {"vehicle": {}, "engine": ENGINE, **more}


# (kind, body, path of the field that is wrong; None: nothing is)
BY_HAND: list[tuple[str, dict[str, Any], str | None]] = [
    ("case_opened", opened(), None),
    ("case_opened", {"engine": ENGINE}, "vehicle"),
    ("case_opened", opened(vehicle=None), "vehicle"),
    ("case_opened", opened(vehicle=[]), "vehicle"),
    ("case_opened", opened(vehicle={"plate": "x" * 16}), None),
    ("case_opened", opened(vehicle={"plate": "x" * 17}), "vehicle.plate"),
    ("case_opened", opened(vehicle={"plate": "\U0001f697" * 16}), None),
    ("case_opened", opened(vehicle={"plate": "\U0001f697" * 17}), "vehicle.plate"),
    ("case_opened", opened(vehicle={"plate": "a\0b"}), "vehicle.plate"),
    ("case_opened", opened(vehicle={"plate": 7}), "vehicle.plate"),
    ("case_opened", opened(vehicle={"plate": ""}), None),
    ("case_opened", opened(vehicle={"year": 2011}), None),
    ("case_opened", opened(vehicle={"year": 2011.5}), "vehicle.year"),
    ("case_opened", opened(vehicle={"year": "2011"}), "vehicle.year"),
    ("case_opened", opened(vehicle={"year": True}), "vehicle.year"),
    ("case_opened", opened(vehicle={"year": 1949}), "vehicle.year"),
    ("case_opened", opened(vehicle={"year": None}), "vehicle.year"),
    ("case_opened", opened(vehicle={"colour": {"from": "a newer version"}}), None),
    ("case_opened", opened(engine={**ENGINE, "cylinders": 0}), "engine.cylinders"),
    ("case_opened", opened(engine={**ENGINE, "cylinders": 40}), "engine.cylinders"),
    ("case_opened", opened(engine={**ENGINE, "layout": "round"}), "engine.layout"),
    ("case_opened", opened(engine={**ENGINE, "layout": ["inline"]}), "engine.layout"),
    ("case_opened", opened(engine={**ENGINE, "firing_order": [1, 3, 4, 2]}), None),
    ("case_opened", opened(engine={**ENGINE, "firing_order": []}), None),
    ("case_opened", opened(engine={**ENGINE, "firing_order": [1, 3, 4, 4]}), "engine.firing_order"),
    ("case_opened", opened(engine={**ENGINE, "firing_order": [1, 2, 3]}), "engine.firing_order"),
    ("case_opened", opened(engine={**ENGINE, "firing_order": [1, 2, 3, 5]}), "engine.firing_order"),
    ("case_opened", opened(engine={**ENGINE, "firing_order": [1, 2, 3, "4"]}), "engine.firing_order.3"),
    ("case_opened", opened(engine={**ENGINE, "firing_order": [1, 2, 3, None]}), "engine.firing_order.3"),
    ("case_opened", opened(engine={**ENGINE, "firing_order": {"0": 1}}), "engine.firing_order"),
    ("case_opened", opened(engine={**ENGINE, "firing_order": [*range(1, 13), 1]}), "engine.firing_order"),
    ("case_opened", opened(odometer=QUANTITY), None),
    ("case_opened", opened(odometer={**QUANTITY, "unit": "psi"}), "odometer"),
    ("case_opened", opened(odometer={**QUANTITY, "si": "1000"}), "odometer"),
    ("case_opened", opened(odometer={**QUANTITY, "si": True}), "odometer"),
    ("case_opened", opened(odometer={**QUANTITY, "si": 1e16}), "odometer"),
    ("case_opened", opened(odometer={**QUANTITY, "typed": "1" * 41}), "odometer"),
    ("case_opened", opened(odometer={"si": 1, "unit": "km"}), "odometer"),
    ("case_opened", opened(odometer=1000), "odometer"),
    ("case_opened", opened(odometer=None), "odometer"),
    ("complaint", {}, None),
    ("complaint", {"symptoms": ["shakes", "stalls"]}, None),
    ("complaint", {"symptoms": []}, None),
    ("complaint", {"symptoms": ["shakes", "shakes"]}, "symptoms"),
    ("complaint", {"symptoms": ["sings"]}, "symptoms"),
    ("complaint", {"symptoms": [["shakes"]]}, "symptoms"),
    ("complaint", {"symptoms": "shakes"}, "symptoms"),
    ("complaint", {"since": "2024-02-29"}, None),
    ("complaint", {"since": "2023-02-29"}, "since"),
    ("complaint", {"since": "2024-2-9"}, "since"),
    ("complaint", {"since": "0000-01-01"}, "since"),
    ("complaint", {"since": "0001-01-01"}, None),
    ("complaint", {"since": "29.02.2024"}, "since"),
    ("complaint", {"since": 20240229}, "since"),
    ("complaint", {"since": "9999-12-31"}, "since"),
    ("complaint", {"words": "x" * 4000}, None),
    ("complaint", {"words": "x" * 4001}, "words"),
    ("complaint", {"words": "x" * 100000}, "words"),
    ("codes_read", {"codes": [CODE]}, None),
    ("codes_read", {"codes": []}, None),
    ("codes_read", {}, "codes"),
    ("codes_read", {"codes": [CODE] * 101}, "codes"),
    ("codes_read", {"codes": [CODE, {**CODE, "code": "P03O1"}]}, "codes.1.code"),
    ("codes_read", {"codes": [{"code": "P0301"}]}, "codes.0.status"),
    ("codes_read", {"codes": ["P0301"]}, "codes.0"),
    ("codes_read", {"codes": [CODE], "complete": 1}, "complete"),
    ("codes_read", {"codes": [CODE], "complete": False}, None),
    ("codes_read", {"codes": [CODE], "freeze_frame": {"rpm": 20000}}, None),
    ("codes_read", {"codes": [CODE], "freeze_frame": {"rpm": 20000.1}}, "freeze_frame.rpm"),
    ("codes_read", {"codes": [CODE], "freeze_frame": {"rpm": "750"}}, "freeze_frame.rpm"),
    ("note", {"text": "x"}, None),
    ("note", {"text": " \n\t "}, "text"),
    ("note", {"text": "x", "cylinder": 12}, None),
    ("note", {"text": "x", "cylinder": 13}, "cylinder"),
    ("note", {"text": "x", "of": UUID}, None),
    ("note", {"text": "x", "of": UUID.replace("-7000-", "-4000-")}, "of"),
    ("note", {"text": "x", "part": UUID + ".coil.12"}, None),
    ("note", {"text": "x", "part": UUID + ".coil.13"}, "part"),
    ("note", {"text": "x", "part": UUID + ".coil.12\n"}, "part"),
    ("tag_bound", {"code": "0123456789", "part": UUID}, None),
    ("tag_bound", {"code": "O123456789", "part": UUID}, "code"),
    ("case_closed", {"cause": "x", "probabilities": {"a": [1, 2.5, None]}}, None),
    ("case_closed", {"cause": "x", "probabilities": ["y" * 20000]}, "probabilities"),
    ("case_closed", {"cause": "x", "probabilities": None}, "probabilities"),
]


def by_chance(count: int) -> list[tuple[str, dict[str, Any]]]:
    """Bodies drawn from the declaration, each field good or bad by chance; always the same ones."""
    chance = random.Random(20260331)
    return [(kind["kind"], _group(chance, kind["fields"])) for kind in entries.BY_KIND.values() for _ in range(count)]


ODD = [None, "", " ", 0, -1, 1.5, 10**9, True, [], {}, "x" * 30000, "P0301", ["x"], {"x": 1}, "2024-01-01", "\0"]


def _group(chance: random.Random, fields: list[dict]) -> dict[str, Any]:
    body = {}
    for field in fields:
        if (field.get("required") and chance.random() < 0.98) or chance.random() < 0.5:
            body[field["name"]] = chance.choice(ODD) if chance.random() < 0.04 else _good(chance, field)
    return body


def _good(chance: random.Random, field: dict) -> Any:
    kind = field["type"]
    if kind == "text":
        return chance.choice([UUID, "P0301", "coil.3", "off", "a" * 64, "x", "EUR", "0123456789", UUID + ".plug.1"])
    if kind == "choice":
        return chance.choice(field["choices"])["value"]
    if kind == "choices":
        return [one["value"] for one in field["choices"] if chance.random() < 0.3]
    if kind in ("integer", "number"):
        low, high = field.get("min", 0), field.get("max", 100)
        # Of a year that is yet to come the phone judges what is typed, the shop nothing.
        most = date.today().year + field["years_ahead"] if "years_ahead" in field else high
        edges = [low, most, low - 1, high + 1]
        return chance.choice(edges) if chance.random() < 0.3 else chance.randint(edges[0], edges[1])
    if kind == "quantity":
        return {"si": 5, "typed": "5", "unit": chance.choice(measures.UNITS[field["dimension"]])["unit"]}
    if kind == "list":
        return [_good(chance, field["of"]) for _ in range(chance.randint(0, 4))]
    if kind == "group":
        return _group(chance, field["fields"])
    return {"flag": True, "date": "2024-01-31", "data": {"any": "thing"}}[kind]
