"""The declaration of kinds, the order of entries, and the rules that field types cannot show."""

import itertools
import json
import re

import pytest

from coiltrail import languages
from coiltrail.core import checks, entries, measures
from demo_fixtures import shop
from demo_fixtures.logbook import Logbook
from demo_fixtures.stories import STORIES, VARIETY

TYPES = {
    "text", "choice", "choices", "integer", "number", "flag", "date", "quantity", "group", "list", "data",
}  # fmt: skip
DESIGNED = (  # the kinds of the case log, each with what it must be able to carry
    ("case_opened", "vehicle engine odometer altitude customer"),
    ("complaint", "symptoms circumstances lamp words"),
    ("codes_read", "codes freeze_frame obtained raw"),
    ("codes_cleared", "how"),
    ("part_noted", "part kind place brand part_number age_months use past"),
    ("parts_moved", "moves"),
    ("check", "check cylinder place reading finding conditions note"),
    ("shake_measured", "rpm rests with seconds shake half_order"),
    ("photo", "sha256 cylinder part place of caption"),
    ("marked", "of sort x y to_x to_y text"),
    ("recording", "sha256 form"),
    ("note", "text cylinder part"),
    ("agreed", "what limit how"),
    ("priced", "stage currency lines taxes"),
    ("answered", "question answer"),
    ("repair", "work removed installed torque"),
    ("tag_bound", "code part"),
    ("part_fate", "part fate bench"),
    ("road_test", "minutes distance conditions felt missed untold counts"),
    ("case_closed", "cause later advice probabilities"),
    ("case_reopened", "why"),
    ("struck", "entry why"),
    ("erased", "entries"),
)


def all_fields(fields):
    for field in fields:
        yield field
        yield from all_fields(field.get("fields", ()))
        if "of" in field:
            yield from all_fields([field["of"]])


class TestDeclaration:
    def test_every_kind_of_the_case_log_is_declared_with_its_fields(self):
        assert [kind for kind, _ in DESIGNED] == [kind["kind"] for kind in entries.KINDS]
        for kind, names in DESIGNED:
            declared = {field["name"] for field in entries.BY_KIND[kind]["fields"]}
            assert set(names.split()) <= declared, kind

    def test_every_field_has_a_type_a_label_and_its_bounds(self):
        for kind in entries.BY_KIND.values():
            for field in all_fields(kind["fields"]):
                assert field["type"] in TYPES
                assert field["label"], (kind["kind"], field["name"])
                if field["type"] in ("text", "list", "data"):
                    assert field["max"] > 0, (kind["kind"], field)
                if field["type"] in ("integer", "number"):
                    assert field["min"] < field["max"]
                if field["type"] in ("choice", "choices"):
                    values = [choice["value"] for choice in field["choices"]]
                    assert len(set(values)) == len(values) > 0
                if field["type"] == "quantity":
                    assert field["dimension"] in measures.UNITS
                if "pattern" in field:
                    re.compile(field["pattern"])
                    assert field["hint"] == entries.HINTS[field["pattern"]], (kind["kind"], field["name"])

    def test_names_are_not_used_twice_within_a_body(self):
        for kind in entries.KINDS:
            for group in itertools.chain([kind], (f for f in all_fields(kind["fields"]) if "fields" in f)):
                names = [field["name"] for field in group["fields"]]
                assert len(set(names)) == len(names)

    def test_it_can_be_written_out_and_read_back(self):
        written = json.loads(json.dumps(entries.declaration()))
        assert [kind["kind"] for kind in written["kinds"]] == list(entries.BY_KIND)
        assert [check["key"] for check in written["checks"]] == [check["key"] for check in checks.CHECKS]
        assert set(written) == {"kinds", "checks", "tools", "units", "begins", "currency_digits", "body_limit"}

    def test_what_names_a_person_is_personal(self):
        personal = {
            f"{kind['kind']}.{field['name']}"
            for kind in entries.KINDS
            for field in all_fields(kind["fields"])
            if field.get("personal")
        }
        assert personal == {
            "case_opened.plate", "case_opened.vin", "case_opened.name", "case_opened.phone", "case_opened.email",
            "case_opened.address", "case_opened.language", "complaint.words", "agreed.name", "agreed.signature",
        }  # fmt: skip

    def test_every_kind_has_an_example_that_passes_and_is_understood_whole(self):
        logs = [story.build() for story in STORIES + VARIETY if story.key != "newer"]
        examples = {}
        for log in [*logs, shop.build().own]:
            for entry in log.entries:
                examples.setdefault(entry["kind"], []).append(entry)
        assert set(examples) == set(entries.BY_KIND)
        for kind, found in examples.items():
            passing = [e for e in found if not entries.body_rules(kind, e["body"])]
            assert passing, kind
            assert all(entries.understood(e) == "whole" for e in found), kind


class TestChecks:
    def test_every_check_has_findings_minutes_and_a_way(self):
        for check in checks.CHECKS:
            assert check["findings"] and check["minutes"] > 0 and check["how"], check["key"]
            assert check["about"] in ("coil", "plug", "boot", "injector", "cylinder", "engine")
            assert all(re.fullmatch("[a-z_]+", finding["value"]) for finding in check["findings"])
            assert check["dimension"] in ("", *measures.UNITS)

    def test_what_can_hurt_carries_its_caution(self):
        for key in ("spark", "coil_pulse", "wiggle"):
            assert "Secondary voltage" in checks.BY_KEY[key]["caution"]
        assert "catalyst" in checks.BY_KEY["drop"]["caution"]
        assert "pressure" in checks.BY_KEY["fuel_pressure"]["caution"]
        assert "cranked" in checks.BY_KEY["compression"]["caution"]

    def test_findings_are_told_in_words(self):
        assert checks.finding_label("drop", "none") == "No change"
        assert checks.finding_label("drop", "of_a_newer_version") == "of_a_newer_version"


class TestOrder:
    def entry(self, at, when=None, device="a", n=1, id_="1"):
        return {"id": id_, "at": at, "when": when, "device": device, "n": n, "body": {}}

    def test_before_arrival_stands_before_everything(self):
        early = self.entry([1, 0], id_="early")
        told = self.entry([9, 0], {"before_arrival": 2}, id_="told")
        first = self.entry([9, 0], {"before_arrival": 1}, id_="first")
        assert [e["id"] for e in entries.in_order([early, told, first])] == ["first", "told", "early"]

    def test_when_decides_then_at_device_and_n(self):
        rows = [
            self.entry([5, 0], id_="e"),
            self.entry([9, 0], {"ms": 4}, id_="d"),
            self.entry([3, 1], id_="c"),
            self.entry([3, 0], device="b", id_="b"),
            self.entry([3, 0], n=2, id_="aa"),
            self.entry([3, 0], n=1, id_="a"),
        ]
        assert "".join(e["id"][0] for e in entries.in_order(rows)) == "aabcde"

    def test_of_two_entries_with_one_id_every_device_takes_the_same(self):
        one = {**self.entry([1, 0]), "body": {"text": "b"}}
        other = {**self.entry([1, 0]), "body": {"text": "a"}}
        assert entries.in_order([one, other]) == entries.in_order([other, one]) == [other]


class TestPlaces:
    @pytest.mark.parametrize(
        ("place", "kind", "position"),
        [("coil.3", "coil", 3), ("injector.12", "injector", 12), ("off", None, None), ("unknown", None, None),
         ("", None, None), (None, None, None), ("coil.", None, None), ("coil.x", None, None), ("coil.1.2", None, None),
         ("lead.3", None, None), (7, None, None)],
    )  # fmt: skip
    def test_a_place_is_split_and_anything_else_is_none(self, place, kind, position):
        assert entries.split_place(place) == (kind, position)

    def test_the_pattern_allows_what_can_be_split(self):
        for position in range(1, 13):
            assert re.fullmatch(entries.PLACE_PATTERN, f"coil.{position}")
        assert not re.fullmatch(entries.PLACE_PATTERN, "coil.13")
        case = Logbook("pattern").case
        assert re.fullmatch(entries.PART_PATTERN, entries.part_id(case, "coil", 3))


class TestUnderstood:
    def of(self, kind, /, **body):
        return entries.understood({"kind": kind, "body": body})

    def test_declared_fields_are_understood_whole(self):
        assert self.of("note", text="Oil in the well") == "whole"
        assert self.of("note", text="x", cylinder=None) == "whole"
        assert self.of("road_test", minutes=12.5, felt="none", counts=[{"cylinder": 1, "count": 0}]) == "whole"

    def test_more_than_is_declared_is_understood_in_part(self):
        assert self.of("note", text="x", mood="grim") == "part"
        assert self.of("complaint", symptoms=["shakes", "whistles"]) == "part"
        assert self.of("complaint", lamp="amber") == "part"
        assert self.of("codes_read", codes=[{"code": "P0302", "status": "stored", "seen": 3}]) == "part"

    @pytest.mark.parametrize(
        ("kind", "body"),
        [
            ("scope_trace", {}),
            ("note", {}),
            ("note", {"text": 7}),
            ("note", None),
            ("check", {"check": "thermal_look"}),
            ("road_test", {"minutes": True, "felt": "none"}),
            ("road_test", {"minutes": 5, "felt": "none", "counts": {"1": 0}}),
            ("codes_read", {"codes": [{"code": "P0302"}]}),
            (
                "case_opened",
                {"vehicle": {}, "engine": {"cylinders": 4, "layout": "radial", "ignition": "coil_on_plug"}},
            ),
            ("repair", {"work": "replaced", "torque": {"si": "8", "typed": "8", "unit": "N·m"}}),
        ],
    )
    def test_what_lacks_the_needed_is_not_understood(self, kind, body):
        assert entries.understood({"kind": kind, "body": body}) == "nothing"


class TestRules:
    def problem(self, kind, /, **body):
        problems = entries.body_rules(kind, body)
        return (problems[0]["field"], problems[0]["message"]) if problems else None

    def test_an_impossible_layout_names_its_field(self):
        field, message = self.problem(
            "case_opened", engine={"cylinders": 5, "layout": "vee", "ignition": "coil_on_plug"}
        )
        assert field == "engine.layout" and "even number" in message
        assert self.problem("case_opened")[0] == "engine.cylinders"

    @pytest.mark.parametrize(
        ("body", "field", "says"),
        [
            ({"check": "drop", "finding": "none"}, "cylinder", "on which cylinder"),
            ({"check": "drop", "finding": "broken", "cylinder": 3}, "finding", "choose one of none, small, full"),
            ({"check": "drop", "cylinder": 3}, "finding", "give a reading"),
            ({"check": "spark", "finding": "none"}, "place", "at which coil"),
            ({"check": "plug_look", "finding": "wet", "place": "coil.3"}, "place", "at which spark plug"),
            ({"check": "tea_leaves", "finding": "good"}, "check", "from the list"),
            ({}, "check", "from the list"),
        ],
    )
    def test_a_check_says_what_it_lacks(self, body, field, says):
        told = self.problem("check", **body)
        assert told[0] == field and says in told[1]

    def test_a_reading_alone_is_a_finding(self):
        assert self.problem("check", check="voltage", reading={"si": 12.1, "typed": "12.1", "unit": "V"}) is None
        assert self.problem("check", check="misfire_counts", cylinder=2, count=0) is None
        assert self.problem("check", check="drop", cylinder=2, rpm_before=800, rpm_during=0) is None

    @pytest.mark.parametrize(
        ("moves", "says"),
        [
            ([], "which part went"),
            ([("coil.1", "coil.1")], "another place"),
            ([("off", "off")], "another place"),
            ([("coil.1", "plug.2")], "a coil's place"),
            ([("off", "coil.2")], "which part came"),
            ([("coil.1", "coil.3"), ("coil.2", "coil.3")], "comes to coil.3"),
            ([("coil.1", "coil.3"), ("coil.1", "coil.2")], "leaves coil.1"),
        ],
    )
    def test_moves_that_cannot_be(self, moves, says):
        field, message = self.problem("parts_moved", moves=[{"from": a, "to": b} for a, b in moves])
        assert field == "moves" and says in message

    def test_moves_that_can_be(self):
        swap = [{"from": "coil.1", "to": "coil.3"}, {"from": "coil.3", "to": "coil.1"}]
        assert self.problem("parts_moved", moves=swap) is None
        assert (
            self.problem("parts_moved", moves=[{"from": "coil.1", "to": "off"}, {"from": "coil.2", "to": "off"}])
            is None
        )
        assert self.problem("parts_moved", moves=[{"from": "coil.1", "to": "unknown"}]) is None

    def test_a_noted_part_sits_in_a_place_of_its_kind(self):
        assert self.problem("part_noted", part="p", kind="coil", place="plug.1")[0] == "place"
        assert self.problem("part_noted", part="p", kind="coil") is None

    def test_a_repair_says_where(self):
        assert self.problem("repair", work="replaced")[0] == "place"
        assert self.problem("repair", work="mended")[0] == "place"
        assert self.problem("repair", work="mended", component="coil_connector@3") is None
        assert self.problem("repair", work="other") is None

    def test_a_tag_with_a_wrong_character_is_told_apart(self):
        part = "p"
        assert self.problem("tag_bound", code="0123456785", part=part) is None
        for code in ("0123456789", "1023456785", "0123456786", "012345678", ""):
            field, message = self.problem("tag_bound", code=code, part=part)
            assert field == "code" and message.startswith("Tag: ")
        assert "compare 0123-456-789 with the tag" in self.problem("tag_bound", code="0123456789", part=part)[1]

    def test_kinds_without_rules_of_their_own_pass(self):
        assert entries.body_rules("note", {"text": "x"}) == []
        assert entries.body_rules("scope_trace", {"anything": 1}) == []


def test_owners_may_read_every_language_there_is():
    fields = {field["name"]: field for field in entries.BY_KIND["case_opened"]["fields"]}
    (language,) = [field for field in fields["customer"]["fields"] if field["name"] == "language"]
    assert [choice["value"] for choice in language["choices"]] == list(languages.LANGUAGES)
