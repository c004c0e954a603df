"""What may join the log, and what the person is told when something may not."""

import copy
import datetime

import pytest

from coiltrail.core import entries
from coiltrail.store.clock import now_ms, uuid7
from coiltrail.store.entry_check import BODY_SCHEMAS, DAY_MS, depth_of, problem_of
from tests.phone import ENGINE, Phone

phone = Phone(None)


def problem_with(kind, body, **more):
    return problem_of(phone.entry(kind, body, **more))


def opened_with(**engine):
    return {"vehicle": {}, "engine": ENGINE | engine}


def test_every_kind_has_a_schema():
    assert set(BODY_SCHEMAS) == set(entries.BY_KIND)


def test_schemas_hold_every_declared_field():
    for kind, declared in entries.BY_KIND.items():
        assert list(BODY_SCHEMAS[kind].fields) == [field["name"] for field in declared["fields"]], kind


SHA = "0" * 64
QUANTITY = {"si": 1000.0, "typed": "1", "unit": "km"}
GOOD = [
    ("case_opened", opened_with()),
    ("case_opened", opened_with() | {"odometer": QUANTITY, "customer": {"name": "Somebody"}}),
    ("complaint", {"symptoms": ["shakes"], "lamp": "flashing", "words": "It shakes.\nA lot.", "since": "2026-01-31"}),
    ("codes_read", {"codes": [{"code": "P0303", "status": "stored"}], "complete": True}),
    ("codes_read", {"codes": []}),
    ("codes_cleared", {}),
    ("part_noted", {"part": uuid7(), "kind": "coil", "place": "coil.3", "age_months": 14}),
    ("parts_moved", {"moves": [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]}),
    ("check", {"check": "connector_look", "place": "coil.3", "finding": "latch_broken"}),
    ("check", {"check": "compression", "cylinder": 3, "reading": {"si": 9e5, "typed": "9", "unit": "bar"}}),
    ("shake_measured", {"rpm": 752.1, "rests": "cover", "shake": {"si": 0.8, "typed": "0.8", "unit": "m/s²"}}),
    ("photo", {"sha256": SHA, "bytes": 300_000, "shows": "connector", "place": "coil.3"}),
    ("marked", {"of": uuid7(), "sort": "circle", "x": 0, "y": 0.25, "to_x": 1, "to_y": 0.5}),
    ("recording", {"sha256": SHA, "bytes": 3, "form": "voice"}),
    ("note", {"text": "x" * 4000}),
    ("agreed", {"what": "A coil", "how": "said", "limit": 180.5, "currency": "EUR"}),
    ("answered", {"question": "arrangement", "answer": "as drawn"}),
    ("repair", {"work": "replaced", "place": "coil.3", "torque": {"si": 8.0, "typed": "8", "unit": "N·m"}}),
    ("tag_bound", {"code": "0123456785", "part": f"{uuid7()}.coil.3"}),
    ("part_fate", {"part": uuid7(), "fate": "sent_back", "deadline": "2999-12-31"}),
    ("road_test", {"minutes": 12, "felt": "none", "counts": [{"cylinder": 3, "count": 0}]}),
    ("case_closed", {"cause": "Coil at 3", "probabilities": {"coil@3": 0.98}}),
    ("case_reopened", {"why": "It is back"}),
    ("struck", {"entry": uuid7(), "why": "Typed twice"}),
    ("erased", {"entries": [uuid7()]}),
    ("priced", {"stage": "bill", "currency": "EUR", "lines": [{"sort": "part", "text": "Coil", "price": 6400}]}),
    ("prices_set", {"currency": "EUR", "labour_rate": 7200}),
]


@pytest.mark.parametrize(("kind", "body"), GOOD, ids=[kind for kind, _ in GOOD])
def test_honest_work_is_taken(kind, body):
    assert problem_with(kind, body) is None


def test_every_kind_is_among_the_honest_work():
    assert {kind for kind, _ in GOOD} == set(entries.BY_KIND)


@pytest.mark.parametrize(
    ("kind", "body", "field", "message"),
    [
        (
            "case_opened",
            opened_with(firing_order=[1, 3, 3, 2]),
            "engine.firing_order",
            "Firing order: name each cylinder from 1 to 4 exactly once, for example 1-3-4-2.",
        ),
        ("case_opened", opened_with(cylinders=0), "engine.cylinders", "Cylinders: give a whole number from 1 to 12."),
        ("case_opened", opened_with(cylinders=40), "engine.cylinders", "Cylinders: give a whole number from 1 to 12."),
        (
            "case_opened",
            opened_with(cylinders=True),
            "engine.cylinders",
            "Cylinders: give a whole number from 1 to 12.",
        ),
        ("case_opened", opened_with(cylinders=4.0), "engine.cylinders", "Cylinders: give a whole number from 1 to 12."),
        ("case_opened", opened_with(layout="w"), "engine.layout", "Layout: choose from: In line, V, Flat."),
        ("case_opened", {"vehicle": {}}, "engine", "Engine: fill this in."),
        ("case_opened", {"vehicle": [], "engine": ENGINE}, "vehicle", "Vehicle: give the fields as an object."),
        ("note", {}, "text", "Text: fill this in."),
        ("note", {"text": "  "}, "text", "Text: fill this in."),
        ("note", {"text": None}, "text", "Text: fill this in, or leave it out."),
        ("note", {"text": 7}, "text", "Text: write it as text."),
        ("codes_read", {"codes": {}}, "codes", "Codes: give a list."),
        ("codes_read", {"codes": [3]}, "codes.0", "Code: give the fields as an object."),
        (
            "codes_read",
            {"codes": [{"code": "P03", "status": "stored"}]},
            "codes.0.code",
            "Code: type a code like P0303.",
        ),
        (
            "codes_read",
            {"codes": [{"code": "P0303", "status": "stored"}] * 101},
            "codes",
            "Codes: at most 100; this has 101.",
        ),
        (
            "complaint",
            {"symptoms": ["shakes", "shakes"]},
            "symptoms",
            "Symptoms: name each only once.",
        ),
        ("complaint", {"since": "31.1.2026"}, "since", "Since: give a date like 2026-03-31."),
        ("complaint", {"since": "2026-02-30"}, "since", "Since: give a date like 2026-03-31."),
        (
            "complaint",
            {"since": "2999-01-01"},
            "since",
            "Since: 2999-01-01 is in the future; give today or an earlier day.",
        ),
        (
            "repair",
            {"work": "other", "torque": {"si": 1, "typed": "1", "unit": "bar"}},
            "torque",
            "Torque: choose a unit from: N·m, lbf·ft, lbf·in, kgf·m.",
        ),
        ("road_test", {"minutes": -1, "felt": "none"}, "minutes", "Minutes: give a number from 0 to 1440\xa0min."),
        ("road_test", {"minutes": 10**400, "felt": "none"}, "minutes", "Minutes: give a number from 0 to 1440\xa0min."),
        ("codes_read", {"codes": [], "complete": 1}, "complete", "This is the whole list: say true or false."),
        (
            "part_noted",
            {"part": "coil", "kind": "coil"},
            "part",
            "Part: it must be the id of a part.",
        ),
        (
            "tag_bound",
            {"code": "O123456785", "part": uuid7()},
            "code",
            "Tag: type the ten characters printed on the tag.",
        ),
        (
            "tag_bound",
            {"code": "0123456789", "part": uuid7()},
            "code",
            "Tag: One character is wrong or two are swapped: compare 0123-456-789 with the tag.",
        ),
    ],
)
def test_what_is_wrong_is_named_with_its_remedy(kind, body, field, message):
    assert problem_with(kind, body) == {"field": field, "message": message}


def test_a_finding_that_the_check_cannot_have_is_refused():
    problem = problem_with("check", {"check": "connector_look", "place": "coil.3", "finding": "swollen"})
    assert problem["field"] == "finding"
    assert problem["message"].startswith("Finding: choose one of good, latch_broken")


def test_a_long_text_is_refused_by_its_own_name():
    problem = problem_with("note", {"text": "x" * 100_000})
    assert problem["field"] == "text"
    assert problem["message"] == "Text: at most 4000 characters; this has 100000. Shorten it or add a second entry."


@pytest.mark.parametrize("character", ["\0", "\ud800", "\udfff"])
def test_characters_that_break_others_are_refused(character):
    assert problem_with("note", {"text": f"a{character}b"})["field"] == "text"


def test_ordinary_letters_of_any_language_are_taken():
    assert problem_with("note", {"text": "Zündspule öffnen, 点火線圈, \N{HAMMER AND WRENCH}\ttab"}) is None


def test_an_entry_over_the_limit_is_refused_with_its_size():
    problem = problem_with("from_the_future", {"text": "ä" * 40_000})
    assert problem["field"] == "body"
    assert "80011 bytes; at most 65536" in problem["message"]


def test_deep_nesting_is_refused():
    deep = 0
    for _ in range(100):
        deep = [deep]
    assert problem_with("from_the_future", {"deep": deep})["field"] == "body"


def test_depth_counts_lists_and_objects():
    assert depth_of(1, 9) == 0
    assert depth_of([], 9) == 1
    assert depth_of({"a": [[1], 2]}, 9) == 3
    assert depth_of([[[[[]]]]], 3) == 4


def test_kinds_and_fields_of_a_newer_version_pass_untouched():
    entry = phone.entry("from_the_future", {"new": [{"x": 2**70}, None, 1.5]}, newer=True)
    kept = copy.deepcopy(entry)
    assert problem_of(entry) is None
    assert problem_with("note", {"text": "x", "colour": "green"}) is None
    assert entry == kept


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"id": "7"}, "id"),
        ({"id": "00000000-0000-4000-8000-000000000000"}, "id"),  # version 4
        ({"id": None}, "id"),
        ({"case": 5}, "case"),
        ({"kind": "Not A Kind"}, "kind"),
        ({"kind": ""}, "kind"),
        ({"at": [1]}, "at"),
        ({"at": [1.5, 0]}, "at"),
        ({"at": [True, 0]}, "at"),
        ({"at": [2**63, 0]}, "at"),
        ({"at": [0, -1]}, "at"),
        ({"at": "now"}, "at"),
        ({"when": {"ms": "now"}}, "when"),
        ({"when": {"ms": 1, "before_arrival": 1}}, "when"),
        ({"when": {"before_arrival": 0}}, "when"),
        ({"when": []}, "when"),
        ({"device": "phone"}, "device"),
        ({"n": 0}, "n"),
        ({"n": True}, "n"),
        ({"n": 2**70}, "n"),
        ({"by": ""}, "by"),
        ({"by": "x" * 65}, "by"),
        ({"body": None}, "body"),
        ({"body": []}, "body"),
        ({"body": "text"}, "body"),
    ],
)
def test_a_broken_envelope_is_named(more, field):
    problem = problem_of(phone.entry() | more)
    assert problem["field"] == field
    assert problem["message"].endswith(".")


@pytest.mark.parametrize("part", ["id", "case", "kind", "at", "device", "n", "by", "body"])
def test_a_missing_part_of_the_envelope_is_named(part):
    entry = phone.entry()
    del entry[part]
    assert problem_of(entry)["field"] == part


@pytest.mark.parametrize("thing", [None, 3, "entry", [], [[]]])
def test_what_is_no_object_is_no_entry(thing):
    assert problem_of(thing)["message"].startswith("An entry must be an object")


def test_the_phones_clock_is_never_doubted():
    for ms in (0, now_ms() + 400 * DAY_MS):
        assert problem_of(phone.entry(at=[ms, 0])) is None


def test_a_typed_time_may_not_be_in_the_future():
    problem = problem_of(phone.entry(when={"ms": now_ms() + DAY_MS + 60_000}))
    assert problem == {
        "field": "when",
        "message": "When it happened: this is in the future; give today or an earlier time.",
    }
    assert problem_of(phone.entry(when={"ms": now_ms() + DAY_MS - 60_000})) is None
    assert problem_of(phone.entry(when={"before_arrival": 2})) is None


def test_today_is_not_the_future_where_the_day_begins_first():
    furthest = datetime.datetime.now(datetime.timezone(datetime.timedelta(hours=14))).date()
    assert problem_with("complaint", {"since": furthest.isoformat()}) is None
    assert problem_with("complaint", {"since": (furthest + datetime.timedelta(days=1)).isoformat()}) is not None
