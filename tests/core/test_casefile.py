"""The fold of a log: the same case from any order, and nothing in a log that ends it."""

import copy
import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coiltrail.core import canonical, casefile, claim, entries, report, steps
from demo_fixtures.logbook import Logbook
from demo_fixtures.stories import STORIES, VARIETY, log_of

LOGS = {story.key: story.build().entries for story in STORIES + VARIETY}


FIELD_NAMES = st.sampled_from(
    sorted({field["name"] for kind in entries.KINDS for field in kind["fields"]} | {"part", "from", "to", "status"})
)
ODD = st.sampled_from(
    [
        None,
        True,
        0,
        -1,
        13,
        2.5,
        "",
        "coil.0",
        "coil.99",
        "coil.x",
        "off",
        "unknown",
        "no such choice",
        "x" * 40,
        [],
        {},
    ]
)


def spoil(body, data):
    """Put an odd value in a random place of ``body``, or a field nobody knows."""
    target = body
    for _ in range(data.draw(st.integers(0, 3))):
        inner = [
            v for v in (target.values() if isinstance(target, dict) else target) if v and isinstance(v, dict | list)
        ]
        if not inner:
            break
        target = data.draw(st.sampled_from(inner))
    if isinstance(target, dict):
        target[data.draw(st.sampled_from([*sorted(target), "unheard_of"]))] = data.draw(ODD)
    else:
        target[data.draw(st.integers(0, len(target) - 1))] = data.draw(ODD)


def view_of(log):
    return casefile.view(casefile.fold(log))


def rows_of(log):
    return {row["id"]: row for row in view_of(log)["timeline"]}


class TestOrder:
    @settings(max_examples=300, deadline=None)
    @given(data=st.data(), key=st.sampled_from(sorted(LOGS)))
    def test_any_permutation_and_duplication_gives_the_same_view(self, data, key):
        log = LOGS[key]
        doubled = log + data.draw(st.lists(st.sampled_from(log), max_size=len(log)))
        shuffled = data.draw(st.permutations(doubled))
        assert canonical.dumps(view_of(shuffled)) == canonical.dumps(view_of(log))

    def test_two_entries_of_one_id_give_one_case_in_either_order(self):
        log = Logbook("twins")
        log.note("first")
        twin = copy.deepcopy(log.entries[-1])
        twin["body"]["text"] = "second"
        one, other = view_of([*log.entries, twin]), view_of([twin, *log.entries])
        assert one == other
        assert len(one["timeline"]) == 2

    def test_what_happened_earlier_stands_earlier_whenever_it_was_recorded(self):
        log = Logbook("earlier")
        log.drop({1: "none"})
        seen = log.entries[-1]["at"][0]
        late = log.add("note", text="Smoke before the drop test", when={"ms": seen - 1})
        before = log.swap("coil", 1, 2, before_arrival=1)
        order = [row["id"] for row in view_of(log.entries)["timeline"]]
        assert order == [before["id"], log.entries[0]["id"], late["id"], log.entries[1]["id"]]

    def test_before_arrival_follows_its_own_order(self):
        log = Logbook("order before arrival")
        second = log.swap("coil", 2, 3, before_arrival=2)
        first = log.swap("coil", 1, 2, before_arrival=1)
        view = view_of(log.entries)
        assert [row["id"] for row in view["timeline"][:2]] == [first["id"], second["id"]]
        # Under 1 sits what was at 2, under 2 what was at 3, under 3 what was at 1.
        trails = {p["place"]: [step["place"] for step in p["trail"]] for p in view["parts"] if p["kind"] == "coil"}
        assert trails["coil.3"] == ["coil.1", "coil.2", "coil.3"]
        assert trails["coil.2"] == ["coil.3", "coil.2"]


class TestStrikes:
    def test_a_struck_entry_stays_in_the_timeline_and_counts_for_nothing(self):
        log = Logbook("struck")
        log.codes("P0302")
        log.strike(log.entries[-1])
        view = view_of(log.entries)
        assert view["codes"]["rows"] == []
        assert [row["struck"] for row in view["timeline"]] == [False, True, False]

    def test_a_strike_that_is_struck_does_not_strike(self):
        log = Logbook("struck strike")
        read = log.codes("P0302")
        strike = log.strike(read)
        log.strike(strike)
        view = view_of(log.entries)
        assert [row["code"] for row in view["codes"]["rows"]] == ["P0302"]
        assert rows_of(log.entries)[strike["id"]]["struck"]

    def test_a_chain_of_three_strikes_strikes(self):
        log = Logbook("three strikes")
        read = log.codes("P0302")
        log.strike(log.strike(log.strike(read)))
        assert view_of(log.entries)["codes"]["rows"] == []

    def test_a_struck_swap_leaves_every_part_where_it_was(self):
        log = Logbook("struck swap")
        plain = view_of(log.entries)
        log.strike(log.swap("coil", 3, 1))
        assert view_of(log.entries)["cylinders"] == plain["cylinders"]

    def test_a_struck_opening_still_shows_the_case_until_another_opens_it(self):
        log = Logbook("struck opening")
        log.strike(log.entries[0])
        assert view_of(log.entries)["engine"]["cylinders"] == 4
        opened = copy.deepcopy(log.entries[0]["body"])
        opened["engine"]["cylinders"] = 3
        log.add("case_opened", **opened)
        assert view_of(log.entries)["engine"]["cylinders"] == 3

    def test_a_struck_photo_is_not_shown(self):
        log = Logbook("struck photo")
        look = log.connectors({3: "oily"})[0]
        photo = log.photo("c3" * 32, 1000, "connector", of=look["id"])
        assert rows_of(log.entries)[look["id"]]["photos"] == ["c3" * 32]
        log.strike(photo)
        view = view_of(log.entries)
        assert view["photos"] == []
        assert rows_of(log.entries)[look["id"]]["photos"] == []


class TestTimeline:
    def test_every_kind_appears_with_words(self):
        rows = view_of(log_of("whole"))["timeline"]
        assert {row["kind"] for row in rows} == {kind["kind"] for kind in entries.KINDS}
        for row in rows:
            assert row["label"] == entries.BY_KIND[row["kind"]]["label"]
            assert row["text"].strip(), row["kind"]
            assert not row["newer"]

    def test_choices_are_told_in_words(self):
        told = " ".join(row["text"] for row in view_of(log_of("whole"))["timeline"])
        assert not re.findall(r"[a-z]+_[a-z]+|(?:coil|plug|boot|injector)\.\d", told)

    def test_a_row_names_the_one_cylinder_it_is_about(self):
        rows = rows_of(log_of("waste-four"))
        of_moves = [row["cylinder"] for row in rows.values() if row["kind"] == "parts_moved"]
        assert of_moves == [None]
        log = Logbook("places", ignition="waste_spark")
        log.check("spark", "none", place="coil.2")  # a coil of two cylinders
        log.check("plug_look", "wet", place="plug.2")
        assert [row["cylinder"] for row in view_of(log.entries)["timeline"][1:]] == [None, 2]

    def test_photos_stand_with_the_entry_they_belong_to(self):
        rows = [row for row in view_of(log_of("whole"))["timeline"] if row["photos"]]
        assert [row["kind"] for row in rows] == ["check", "photo"]


class TestMarks:
    def marked(self):
        log = Logbook("marked")
        look = log.check("connector_look", "oily", place="coil.3")
        photo = log.photo("a1" * 32, 80_000, "connector", place="coil.3", of=look["id"], width=1600, height=1200)
        arrow = log.add("marked", of=photo["id"], sort="arrow", x=0.2, y=0.8, to_x=0.4, to_y=0.5)
        log.add("marked", of=photo["id"], sort="words", x=0.1, y=0.9, text="Oil")
        return log, arrow

    def test_they_are_told_with_their_photo_and_in_the_report(self):
        log, _ = self.marked()
        [photo] = view_of(log.entries)["photos"]
        assert [(mark["sort"], mark["x"], mark["to_y"]) for mark in photo["marks"]] == [
            ("arrow", 0.2, 0.5),
            ("words", 0.1, None),
        ]
        told = report.report(casefile.fold(log.entries))["marks"]["a1" * 32]
        assert (told["width"], told["height"], told["marks"]) == (1600, 1200, photo["marks"])
        assert [row["text"] for row in view_of(log.entries)["timeline"][-2:]] == ["Arrow", "Oil"]

    def test_one_that_was_rubbed_out_is_gone_and_stays_in_the_story(self):
        log, arrow = self.marked()
        log.add("struck", entry=arrow["id"], why="Rubbed out")
        view = view_of(log.entries)
        assert [mark["sort"] for mark in view["photos"][0]["marks"]] == ["words"]
        assert [row["struck"] for row in view["timeline"] if row["kind"] == "marked"] == [True, False]


class TestNewerVersions:
    def test_an_unknown_kind_is_kept_and_shown_as_newer(self):
        rows = [row for row in view_of(log_of("newer"))["timeline"] if row["kind"] == "scope_trace"]
        assert [(row["label"], row["text"], row["newer"]) for row in rows] == [(casefile.NEWER, casefile.NEWER, True)]

    def test_an_unknown_field_is_marked_and_the_rest_counts(self):
        view = view_of(log_of("newer"))
        [row] = [
            r for r in view["timeline"] if r["kind"] == "check" and r["cylinder"] == 3 and r["text"] != casefile.NEWER
        ]
        assert row["newer"] and row["text"] == "Drop test, cylinder 3: No change"
        assert view["cylinders"][2]["findings"][0]["finding"] == "none"

    def test_a_check_of_a_newer_version_takes_no_part(self):
        log = Logbook("newer check")
        log.check("thermal_look", "hot", place="coil.3")
        view = view_of(log.entries)
        assert view["timeline"][-1]["text"] == casefile.NEWER
        assert view["cylinders"][2]["findings"] == []

    def test_an_opening_that_cannot_be_read_is_told_as_such(self):
        log = Logbook("newer opening")
        log.entries[0]["body"]["engine"]["layout"] = "radial"
        with pytest.raises(ValueError, match="newer version"):
            casefile.fold(log.entries)

    @settings(max_examples=400, deadline=None)
    @given(data=st.data(), key=st.sampled_from(sorted(LOGS)))
    def test_no_odd_value_anywhere_ends_the_fold(self, data, key):
        log = copy.deepcopy(LOGS[key])
        entry = data.draw(st.sampled_from(log[1:]))
        spoil(entry["body"], data)
        assert len(view_of(log)["timeline"]) == len(log)

    @settings(max_examples=200, deadline=None)
    @given(
        body=st.recursive(
            st.none() | st.booleans() | st.integers(-9, 99) | st.text(max_size=5),
            lambda inner: st.lists(inner, max_size=3) | st.dictionaries(FIELD_NAMES, inner, max_size=4),
            max_leaves=8,
        ),
        kind=st.sampled_from([*sorted(entries.BY_KIND), "scope_trace"]),
    )
    def test_no_body_of_any_kind_ends_the_fold(self, body, kind):
        log = Logbook("any body")
        log.add(kind)["body"] = body
        log.drop({1: "none"})
        if kind != "case_opened":
            assert len(view_of(log.entries)["timeline"]) == 3


class TestErasure:
    def test_personal_fields_go_everywhere_and_findings_stay(self):
        shown = json.dumps(view_of(log_of("erased")))
        for personal in ("DEMO 42", "11111111111111111", "Ada", "555-0142", "Nowhere", "sister", "ab" * 32):
            assert personal not in shown
        view = view_of(log_of("erased"))
        assert view["title"] == "Larkfield Dunnock"
        assert view["cylinders"][0]["findings"][0]["finding"] == "none"

    def test_striking_an_erasure_brings_nothing_back(self):
        log = Logbook("erased and struck", customer={"name": "Ada Invented"})
        log.strike(log.erase(log.entries[0]))
        assert view_of(log.entries)["customer"] == {}

    def test_an_erased_picture_is_shown_no_more(self):
        log = Logbook("erased picture")
        kept = log.photo("a1" * 32, 1000, "engine")
        log.erase(log.photo("b2" * 32, 1000, "engine"))
        view = view_of(log.entries)
        assert [photo["entry"] for photo in view["photos"]] == [kept["id"]]
        assert [sha256 for row in view["timeline"] for sha256 in row["photos"]] == ["a1" * 32]

    def test_what_nobody_asked_to_erase_stays(self):
        log = [entry for entry in log_of("erased") if entry["kind"] != "erased"]
        assert view_of(log)["customer"]["name"] == "Ada Invented"

    def test_an_unknown_kind_is_erased_whole(self):
        log = Logbook("erased newer")
        log.erase(log.add("scope_trace", owner="Ada Invented"))
        assert "Ada" not in json.dumps(view_of(log.entries))


class TestCase:
    def test_a_log_without_a_complaint_folds(self):
        assert view_of(Logbook("silent").entries)["complaint"] is None

    def test_an_empty_log_and_one_without_an_opening_are_told_apart(self):
        with pytest.raises(ValueError, match="no entries"):
            casefile.fold([])
        log = Logbook("unopened", opened=False)
        log.note("The rest is on its way")
        with pytest.raises(ValueError, match="synced"):
            casefile.fold(log.entries)

    def test_entries_of_two_cases_are_refused(self):
        with pytest.raises(ValueError, match="more than one case"):
            casefile.fold(Logbook("one").entries + Logbook("other").entries)

    def test_closing_and_reopening(self):
        log = Logbook("closing")
        log.close("Coil 3", {"P0420": "Catalyst: watch it"})
        view = view_of(log.entries)
        assert (view["status"], view["closing"]["cause"]) == ("closed", "Coil 3")
        log.reopen("It shook again")
        view = view_of(log.entries)
        assert (view["status"], view["closing"]) == ("open", None)

    def test_the_title_is_what_is_known_of_the_vehicle(self):
        assert casefile.title({"vehicle": {"year": 2014, "make": "Larkfield"}}) == "2014 Larkfield"
        assert casefile.title({"vehicle": {"plate": "DEMO 42"}}) == "DEMO 42"
        assert casefile.title({"vehicle": {"vin": "2ZXHK5B72DF118346"}}) == "2ZXHK5B72DF118346"
        assert casefile.title({}) == "Vehicle without a name"


class TestCodes:
    def test_codes_tell_which_side_of_the_last_clearing_they_were_read(self):
        log = Logbook("codes")
        log.codes("P0302", "P0420")
        log.clear()
        log.codes("P0420 pending", "P0305")
        view = view_of(log.entries)["codes"]
        rows = {row["code"]: (row["before_clear"], row["since_clear"], row["status"]) for row in view["rows"]}
        assert rows == {
            "P0302": (True, False, "stored"),
            "P0305": (False, True, "stored"),
            "P0420": (True, True, "pending"),
        }
        assert view["cleared"] and view["read_since_clear"]

    def test_a_code_that_the_whole_list_has_no_more_stands_beside_none_that_is_there(self):
        log = Logbook("moved along")
        log.codes("P0305", "P0300 pending")
        log.swap("coil", 5, 3)
        log.codes("P0303", "P0300 pending")
        rows = {row["code"]: row for row in view_of(log.entries)["codes"]["rows"]}
        assert {code: row["absent"] for code, row in rows.items()} == {"P0300": False, "P0303": False, "P0305": True}
        assert "Start at cylinder 3" in rows["P0300"]["reason"]

    def test_a_list_that_was_not_whole_takes_no_code_away(self):
        log = Logbook("one by one")
        log.codes("P0300", complete=False)
        log.codes("P0302", complete=False)
        rows = {row["code"]: row for row in view_of(log.entries)["codes"]["rows"]}
        assert not rows["P0300"]["absent"] and "Start at cylinder 2" in rows["P0300"]["reason"]

    def test_what_was_there_before_the_clearing_stands_beside_nothing_read_since(self):
        log = Logbook("cleared")
        log.codes("P0305")
        log.clear()
        log.codes("P0300", complete=False)
        rows = {row["code"]: row for row in view_of(log.entries)["codes"]["rows"]}
        assert rows["P0305"]["absent"] and "Start at cylinder" not in rows["P0300"]["reason"]

    def test_a_code_with_two_states_in_one_reading_stands_once(self):
        log = Logbook("two states")
        read = log.codes("P0304 pending", "P0304 stored", "P0304 permanent")
        [row] = view_of(log.entries)["codes"]["rows"]
        assert (row["status"], row["entries"]) == ("stored", [read["id"]])

    def test_cleared_and_not_read_since(self):
        log = Logbook("not read since")
        log.codes("P0302")
        log.clear()
        view = view_of(log.entries)["codes"]
        assert view["cleared"] and not view["read_since_clear"]


class TestFindings:
    def test_a_finding_from_before_a_swap_is_no_longer_of_now(self):
        log = Logbook("now")
        log.drop({1: "full", 2: "full", 3: "none"})
        log.swap("coil", 3, 1)
        log.drop({1: "none"})
        drops = [c["findings"][0]["now"] if c["findings"] else None for c in view_of(log.entries)["cylinders"]]
        assert drops == [True, True, False, None]

    def test_a_finding_at_a_place_belongs_to_the_part_that_sat_there(self):
        log = Logbook("of the part")
        look = log.check("coil_look", "cracked", place="coil.3")
        log.swap("coil", 3, 1)
        parts = {p["part"]: p for p in view_of(log.entries)["parts"]}
        assert [f["entry"] for f in parts[f"{log.case}.coil.3"]["findings"]] == [look["id"]]
        assert parts[f"{log.case}.coil.1"]["findings"] == []

    def test_the_latest_finding_of_a_check_is_shown(self):
        log = Logbook("latest")
        log.drop({3: "none"})
        log.drop({3: "full"})
        [finding] = view_of(log.entries)["cylinders"][2]["findings"]
        assert (finding["finding"], finding["text"]) == ("full", "Full drop")

    def test_readings_and_counts_are_told_with_their_units(self):
        log = Logbook("readings")
        log.check("compression", cylinder=2, reading=("95 psi", "pressure"))
        log.check("misfire_counts", cylinder=2, count=12)
        log.check("drop", cylinder=2, rpm_before=812.5, rpm_during=780)
        texts = [row["text"] for row in view_of(log.entries)["timeline"][1:]]
        assert texts == [
            "Compression, cylinder 2: 95\u00a0psi",
            "Misfire counters, cylinder 2: misfires: 12",
            "Drop test, cylinder 2: 813 to 780\u00a0rpm",
        ]

    def test_a_place_this_engine_lacks_harms_nothing(self):
        log = Logbook("lacks")
        log.check("spark", "none", place="coil.9")
        log.check("drop", "none", cylinder=12)
        assert all(c["findings"] == [] for c in view_of(log.entries)["cylinders"])


def test_the_story_names_what_stands_in_the_place_of_a_struck_entry():
    log = Logbook("instead")
    wrong, _ = log.drop({1: "full", 2: "full"})
    right = log.check("drop", "none", cylinder=1, round=wrong["body"]["round"])
    log.strike(wrong, "Found anew in the same round")
    doubtful = log.check("drop", "small", cylinder=2)
    log.strike(doubtful, "Tapped by mistake")
    rows = {row["id"]: row["instead"] for row in casefile.view(casefile.fold(log.entries))["timeline"]}
    assert (rows[wrong["id"]], rows[doubtful["id"]], rows[right["id"]]) == (right["id"], None, None)


class TestPartsThatWereMoved:
    """A part that sits elsewhere than it came in is named by itself, not by the place alone."""

    def test_a_check_of_a_moved_coil_names_the_coil(self):
        log = Logbook("moved and checked")
        log.check("spark", "none", place="coil.2")
        log.swap("coil", 2, 3)
        moved = log.check("spark", "strong", place="coil.2")
        log.check("connector_look", "good", place="coil.2")
        told = [row["text"] for row in casefile.view(casefile.fold(log.entries))["timeline"]]
        assert told[-4].startswith("Spark across a gap, coil 2")
        assert told[-2].startswith("Spark across a gap: the coil that came in at 3, now at 2: ")
        assert told[-1].startswith("Coil connector, coil 2")  # of the car, whichever coil is plugged in
        [part] = [one for one in casefile.view(casefile.fold(log.entries))["parts"] if moved["id"] in str(one)]
        assert part["label"] == "the coil that came in at 3"

    def test_a_check_that_says_the_part_is_not_doubled(self):
        log = Logbook("moved plug")
        log.swap("plug", 2, 3)
        log.check("plug_look", "good", place="plug.2")
        told = casefile.view(casefile.fold(log.entries))["timeline"][-1]["text"]
        assert told == "The spark plug that came in at 3, now at 2: Good"

    def test_a_step_names_it_too(self):
        log = Logbook("step of a moved coil")
        log.swap("coil", 2, 3)
        case = casefile.fold(log.entries)
        assert steps.check("spark", "coil.2", None, 6, "", case=case)["title"].endswith("came in at 3, now at 2")
        assert steps.check("spark", "coil.4", None, 6, "", case=case)["title"] == "Spark across a gap, coil 4"
        assert steps.check("wiggle", "coil.2", None, 6, "", case=case)["title"].endswith(", coil 2")


class TestFoundOnAPart:
    def test_a_removed_boot_shows_the_track_that_was_seen_through_its_coil(self):
        log = Logbook("tracked boot", 6, layout="vee")
        seen = log.check("coil_look", "tracked", place="coil.4")
        log.photo("ab" * 32, 9, shows="coil", place="coil.4", of=seen["id"])
        log.photo("cd" * 32, 9, shows="coil", place="coil.4")
        log.photo("ef" * 32, 9, shows="connector", place="coil.4")
        log.replace("boot.4")
        boot = f"{log.case}.boot.4"
        case = casefile.fold(log.entries)
        [part] = [one for one in casefile.view(case)["parts"] if one["part"] == boot]
        assert part["place"] == "off"
        assert part["findings"] == [
            {"entry": seen["id"], "text": "Coil and boot, coil 4: Carbon track", "photos": ["ab" * 32]}
        ]
        told = claim.claim(case, boot)
        assert [(row["text"], row["photos"]) for row in told["found"]] == [
            ("Coil and boot, coil 4: Carbon track", ["ab" * 32])
        ]
        assert told["photos"] == ["cd" * 32]
