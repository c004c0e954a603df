"""Where every part sat, and when: moves, swaps, repairs, arrivals, and what the log leaves open."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coiltrail.core import casefile, entries
from demo_fixtures.logbook import Logbook
from demo_fixtures.stories import log_of, tag_code


def fold(log):
    return casefile.fold(log.entries)


def at(log, *places):
    """Short names of the parts at these places now: "coil.3" for the one that came in at 3, else its id."""
    trails = fold(log).trails
    return [(trails.at_place.get(place) or "nothing").replace(log.case + ".", "") for place in places]


def questions(log):
    return {question["id"]: question for question in fold(log).trails.questions}


def only_question(log):
    [question] = fold(log).trails.questions
    return question


class TestMoves:
    def test_a_swap_exchanges_coils_and_their_boots(self):
        log = Logbook("swap")
        log.swap("coil", 3, 1)
        assert at(log, "coil.1", "coil.3", "boot.1", "boot.3") == ["coil.3", "coil.1", "boot.3", "boot.1"]
        assert not questions(log)

    def test_boots_that_stayed_stay(self):
        log = Logbook("boots stay")
        log.swap("coil", 3, 1, boot_stays=True)
        assert at(log, "coil.1", "coil.3", "boot.1", "boot.3") == ["coil.3", "coil.1", "boot.1", "boot.3"]

    def test_leads_stay_where_coils_stand_beside_the_plugs(self):
        log = Logbook("leads", ignition="coil_near_plug")
        log.swap("coil", 3, 1)
        assert at(log, "coil.1", "boot.1") == ["coil.3", "boot.1"]

    def test_a_boot_can_move_by_itself(self):
        log = Logbook("boot alone")
        log.swap("boot", 3, 1)
        assert at(log, "coil.1", "boot.1", "boot.3") == ["coil.1", "boot.3", "boot.1"]

    def test_a_ring_of_three_moves_at_once(self):
        log = Logbook("ring")
        log.move(("plug.1", "plug.2"), ("plug.2", "plug.3"), ("plug.3", "plug.1"))
        assert at(log, "plug.1", "plug.2", "plug.3") == ["plug.3", "plug.1", "plug.2"]

    def test_every_moment_keeps_its_occupant(self):
        log = Logbook("occupants")
        log.drop({1: "full"})
        log.swap("coil", 3, 1)
        log.swap("coil", 1, 2)
        trails = fold(log).trails
        names = [trails.occupant("coil.1", moment).split(".", 1)[1] for moment in range(5)]
        # A move counts from the moment after its own.
        assert names == ["coil.1", "coil.1", "coil.1", "coil.3", "coil.2"]
        assert trails.occupant("coil.9", 0) is None

    def test_a_place_is_empty_while_its_part_is_off(self):
        log = Logbook("off")
        coil = log.part_at("coil.2")
        log.move(("coil.2", "off"))
        log.note("Nothing in place 2")
        log.add("parts_moved", moves=[{"part": coil, "from": "off", "to": "coil.2"}])
        trails = fold(log).trails
        assert [trails.occupant("coil.2", moment) for moment in range(5)] == [coil, coil, None, None, coil]
        assert at(log, "coil.2", "boot.2") == ["coil.2", "boot.2"]

    def test_a_coil_taken_off_without_its_boot_comes_back_to_it(self):
        log = Logbook("off without boot")
        coil = log.part_at("coil.2")
        log.move(("coil.2", "off"), boot_stays=True)
        assert at(log, "coil.2", "boot.2") == ["nothing", "boot.2"]
        log.add("parts_moved", moves=[{"part": coil, "from": "off", "to": "coil.2"}])
        assert at(log, "coil.2", "boot.2") == ["coil.2", "boot.2"]

    def test_the_same_swap_told_by_two_phones_counts_once(self):
        log = Logbook("told twice")
        moves = log.swap("coil", 3, 1)["body"]["moves"]
        log.on_device()
        log.add("parts_moved", moves=moves)
        assert at(log, "coil.1", "coil.3") == ["coil.3", "coil.1"]
        assert not questions(log)

    def test_the_largest_chain_keeps_every_part(self):
        case = casefile.fold(log_of("twelve"))
        places = [part.place for part in case.trails.in_order() if part.kind == "coil"]
        assert sorted(places) == sorted(f"coil.{n}" for n in range(1, 13))
        carried = case.trails.get(f"{case.case}.coil.1")
        assert [place for _, place, _ in carried.trail] == [f"coil.{n}" for n in range(1, 10)]


class TestStretches:
    def test_a_new_stretch_begins_for_those_a_moved_part_serves(self):
        log = Logbook("stretches")
        log.swap("coil", 3, 1)
        trails = fold(log).trails
        assert [trails.stretch(c, 1) for c in (1, 2, 3, 4)] == [0, 0, 0, 0]
        assert [trails.stretch(c, 2) for c in (1, 2, 3, 4)] == [1, 0, 1, 0]

    def test_a_coil_of_a_pair_begins_one_for_both(self):
        log = Logbook("pair", ignition="waste_spark")  # 1 and 4, 2 and 3
        log.replace("coil.2")
        assert [fold(log).trails.stretch(c, 9) for c in (1, 2, 3, 4)] == [0, 1, 1, 0]

    def test_a_distributors_coil_begins_one_for_all(self):
        log = Logbook("all", 6, ignition="distributor")
        log.replace("coil.1")
        assert [fold(log).trails.stretch(c, 9) for c in range(1, 7)] == [1] * 6

    @pytest.mark.parametrize(
        ("component", "cylinders"),
        [
            ("coil_connector@3", [3]),
            ("coil_wiring@5", [5]),
            ("injector_circuit@2", [2]),
            ("gasket@1-3", [1, 3]),
            ("compression@6", [6]),
            ("coil_supply@2", [2, 4, 6]),
            ("unmetered_air", [1, 2, 3, 4, 5, 6]),
            ("coil_connector@9", []),
        ],
    )
    def test_mending_begins_one_for_those_it_serves(self, component, cylinders):
        log = Logbook("mending", 6, "vee")
        log.mend(component)
        trails = fold(log).trails
        assert [c for c in range(1, 7) if trails.stretch(c, 9)] == cylinders
        assert trails.mended == {component: [1]}

    def test_a_mended_connector_of_a_pair_serves_both(self):
        log = Logbook("mended pair", ignition="waste_spark")
        log.mend("coil_connector@1")
        assert [c for c in range(1, 5) if fold(log).trails.stretch(c, 9)] == [1, 4]

    def test_cleaning_a_part_where_it_sits_begins_one_and_is_kept_on_the_part(self):
        log = Logbook("cleaned")
        log.swap("coil", 3, 1)
        log.mend("coil@3", "cleaned")  # the diagnosis' name of the part, which now sits at 1
        trails = fold(log).trails
        assert trails.get(f"{log.case}.coil.3").mended == [2]
        assert [trails.stretch(c, 9) for c in (1, 2, 3, 4)] == [2, 0, 1, 0]

    def test_moving_a_coil_seats_its_connectors_anew(self):
        log = Logbook("reseated")
        log.swap("coil", 3, 1)
        log.swap("plug", 2, 4)
        log.swap("injector", 2, 4)
        assert fold(log).trails.reseated == {
            "coil_connector@1": [1],
            "coil_connector@2": [2],  # a plug is reached when the coil on it comes off
            "coil_connector@3": [1],
            "coil_connector@4": [2],
            "injector_connector@2": [3],
            "injector_connector@4": [3],
        }


class TestRepairs:
    def test_a_new_coil_brings_a_new_boot_and_the_old_ones_go_off_together(self):
        log = Logbook("replaced")
        repair = log.replace("coil.3", brand="Harrow", part_number="HC-118")
        trails = fold(log).trails
        new = trails.get(trails.at_place["coil.3"])
        assert (new.id, new.fitted_by, new.place) == (repair["id"], repair["id"], "coil.3")
        assert new.noted == {"brand": "Harrow", "part_number": "HC-118", "use": "new"}
        assert trails.at_place["boot.3"] == f"{repair['id']}.boot.3"
        assert trails.get(f"{log.case}.coil.3").place == "off"
        assert trails.get(f"{log.case}.boot.3").place == "off"
        assert trails.describe(new) == "the coil fitted at 3"

    def test_a_new_plug_leaves_coil_and_boot_alone(self):
        log = Logbook("new plug")
        repair = log.replace("plug.3")
        assert at(log, "coil.3", "boot.3", "plug.3") == ["coil.3", "boot.3", repair["id"]]

    def test_the_spare_named_is_the_one_fitted(self):
        log = Logbook("spare")
        spare = log.new_id()
        log.note_part("coil", part=spare, brand="Harrow")
        repair = log.replace("coil.3", installed=spare)
        part = fold(log).trails.get(spare)
        assert (part.place, part.fitted_by) == ("coil.3", repair["id"])
        assert [place for _, place, _ in part.trail] == ["off", "coil.3"]

    def test_a_coil_of_this_engine_can_be_the_one_fitted(self):
        log = Logbook("from another place")
        log.replace("coil.3", installed=log.part_at("coil.4"))
        assert at(log, "coil.3", "coil.4", "boot.3") == ["coil.4", "nothing", "boot.4"]
        assert fold(log).trails.get(f"{log.case}.coil.4").fitted_by is None  # it came with the car

    def test_a_part_that_comes_back_from_the_shelf_is_no_longer_there(self):
        log = Logbook("shelf")
        old = log.part_at("coil.3")
        log.replace("coil.3")
        log.fate(old, "shelf")
        assert fold(log).trails.get(old).fate["fate"] == "shelf"
        log.add("repair", work="replaced", place="coil.3", installed=old)
        part = fold(log).trails.get(old)
        assert (part.place, part.fate) == ("coil.3", None)

    def test_a_repair_at_a_place_this_engine_lacks_changes_nothing(self):
        log = Logbook("lacks")
        log.add("repair", work="replaced", place="coil.9")
        log.mend("plug@9", "cleaned")
        assert all(part.came_at for part in fold(log).trails.in_order())

    def test_a_removed_part_that_sat_elsewhere_is_asked_about(self):
        log = Logbook("removed elsewhere")
        repair = log.add("repair", work="replaced", place="coil.3", removed=f"{log.case}.coil.1")
        asked = questions(log)
        assert set(asked) == {f"stands/{repair['id']}", f"where/{repair['id']}/{log.case}.coil.3"}
        log.answer(f"stands/{repair['id']}", "leave")
        assert not questions(log)
        trails = fold(log).trails
        assert trails.get(f"{log.case}.coil.1").place == "coil.1"
        assert trails.get(f"{log.case}.coil.3").place == "off"


class TestArrival:
    def test_a_part_is_named_by_where_it_is_on_arrival(self):
        log = Logbook("arrival")
        log.swap("coil", 2, 4, before_arrival=1)
        trails = fold(log).trails
        assert at(log, "coil.2", "coil.4", "boot.4") == ["coil.2", "coil.4", "boot.4"]
        came_at_4 = trails.get(f"{log.case}.coil.4")
        assert [place for _, place, _ in came_at_4.trail] == ["coil.2", "coil.4"]
        assert trails.describe(came_at_4) == "the coil that came in at 4"
        assert trails.occupant("coil.2", 0) == came_at_4.id

    def test_a_swap_told_afterwards_leaves_what_was_recorded_on_the_right_part(self):
        log = Logbook("told afterwards")
        log.tag(tag_code("afterwards"), "coil.4")
        log.move(("coil.4", "coil.1"), ("coil.1", "coil.4"))
        log.swap("coil", 2, 4, before_arrival=1)
        part = fold(log).trails.get(f"{log.case}.coil.4")
        assert (part.tag, part.place) == (tag_code("afterwards"), "coil.1")
        assert [place for _, place, _ in part.trail] == ["coil.2", "coil.4", "coil.1"]
        assert not questions(log)

    def test_a_coil_fitted_before_arrival_came_with_the_car(self):
        log = Logbook("fitted before")
        repair = log.replace("coil.3", before_arrival=1, brand="Harrow")
        trails = fold(log).trails
        part = trails.get(trails.at_place["coil.3"])
        assert (part.id, part.came_at, part.fitted_by) == (f"{log.case}.coil.3", 3, repair["id"])
        gone = trails.get(f"{repair['id']}.coil.3")
        assert (gone.place, gone.came_at) == ("off", None)
        assert trails.describe(gone) == "the coil that was at 3 before"
        assert trails.occupant("coil.3", 0) == gone.id

    def test_ids_stay_within_the_form_that_entries_may_name(self):
        for key in ("before", "brought-in", "unknown", "two-phones", "v8-lengthways", "three"):
            for part in casefile.fold(log_of(key)).trails.in_order():
                assert re.fullmatch(entries.PART_PATTERN, part.id), (key, part.id)

    def test_no_two_parts_share_an_id_or_a_place(self):
        for key in ("before", "brought-in", "unknown", "two-phones", "v8-lengthways", "three", "newer", "whole"):
            parts = casefile.fold(log_of(key)).trails.in_order()
            ids = [part.id for part in parts]
            seats = [part.place for part in parts if part.place not in ("off", "unknown")]
            assert len(set(ids)) == len(ids) and len(set(seats)) == len(seats), key


class TestNotes:
    def test_noting_what_sits_there_gives_it_its_own_id_and_both_find_it(self):
        log = Logbook("noted")
        own = log.new_id()
        log.note_part("coil", "coil.3", part=own, brand="Plain")
        log.tag(tag_code("noted"), f"{log.case}.coil.3")  # by another phone that does not know of the note
        trails = fold(log).trails
        assert trails.at_place["coil.3"] == own
        assert trails.get(f"{log.case}.coil.3") is trails.get(own)
        assert trails.get(own).tag == tag_code("noted")
        assert trails.describe(trails.get(own)) == "the coil that came in at 3"

    def test_two_notes_of_what_sits_there_are_about_one_part(self):
        log = Logbook("noted twice")
        one, other = log.new_id(), log.new_id()
        log.note_part("coil", "coil.3", part=one, brand="Plain")
        log.note_part("coil", "coil.3", part=other, part_number="P-1")
        trails = fold(log).trails
        assert trails.get(one) is trails.get(other)
        assert trails.get(one).noted == {"brand": "Plain", "part_number": "P-1"}

    def test_a_part_noted_without_a_place_is_off_the_engine(self):
        log = Logbook("noted off")
        spare = log.new_id()
        log.note_part("plug", part=spare, brand="Harrow")
        part = fold(log).trails.get(spare)
        assert (part.place, fold(log).trails.describe(part)) == ("off", "the spare spark plug")

    def test_a_spare_tried_on_the_engine_takes_the_place_and_asks_for_the_other(self):
        log = Logbook("tried")
        spare = log.new_id()
        log.note_part("coil", part=spare)
        move = log.add("parts_moved", moves=[{"part": spare, "from": "off", "to": "coil.3"}])
        assert at(log, "coil.3") == [spare]
        assert fold(log).trails.describe(fold(log).trails.get(spare)) == "the coil brought in for 3"
        assert only_question(log)["id"] == f"where/{move['id']}/{log.case}.coil.3"

    def test_a_part_nobody_noted_can_be_brought_in_by_a_move(self):
        log = Logbook("brought")
        spare = log.new_id()
        log.move(("coil.3", "off"))
        log.add("parts_moved", moves=[{"part": spare, "from": "off", "to": "coil.3"}])
        assert at(log, "coil.3") == [spare]
        assert not questions(log)

    def test_a_note_that_disagrees_with_the_trail_is_asked_about(self):
        log = Logbook("note disagrees")
        note = log.note_part("coil", "coil.4", part=f"{log.case}.coil.3")
        assert f"stands/{note['id']}" in questions(log)
        log.answer(f"stands/{note['id']}", "leave")
        assert not questions(log)
        assert at(log, "coil.3", "coil.4") == ["coil.3", "coil.4"]


class TestTags:
    def test_a_tag_hangs_on_the_part_wherever_it_goes(self):
        log = Logbook("tag")
        log.tag(tag_code("tag"), "coil.3")
        log.swap("coil", 3, 1)
        [part] = [p for p in fold(log).trails.in_order() if p.tag]
        assert (part.place, part.tag) == ("coil.1", tag_code("tag"))

    def test_a_tag_bound_anew_leaves_the_first_part(self):
        log = Logbook("tag anew")
        log.tag(tag_code("tag"), "coil.3")
        log.tag(tag_code("tag"), "coil.1")
        tagged = {p.id.split(".", 1)[1]: p.tag for p in fold(log).trails.in_order() if p.tag}
        assert tagged == {"coil.1": tag_code("tag")}

    def test_a_tag_bound_to_two_parts_is_asked_about_and_the_answer_stands(self):
        log = Logbook("tag on two")
        code = tag_code("tag")
        log.tag(code, f"{log.case}.coil.3")
        log.tag(code, f"{log.case}.coil.1")
        question = only_question(log)
        assert [choice["label"] for choice in question["choices"]] == [
            "The coil that came in at 1",
            "The coil that came in at 3",
        ]
        for answer, place in (("there", "coil.3"), ("here", "coil.1")):
            said = log.answer(question["id"], answer)
            assert [p.place for p in fold(log).trails.in_order() if p.tag] == [place]
            assert not questions(log)
            assert casefile.row_text(said).startswith("The tag hangs")

    def test_a_tag_on_a_part_not_known_here_is_kept_in_the_timeline_only(self):
        log = Logbook("tag elsewhere")
        log.tag(tag_code("tag"), log.new_id())
        assert not [p for p in fold(log).trails.in_order() if p.tag]
        assert len(casefile.view(fold(log))["timeline"]) == 2


class TestQuestions:
    def test_a_part_moved_to_where_another_sits_asks_where_that_one_went(self):
        log = Logbook("ousted")
        move = log.move(("coil.1", "coil.3"))
        question = only_question(log)
        assert question["id"] == f"where/{move['id']}/{log.case}.coil.3"
        assert [choice["value"] for choice in question["choices"]] == ["coil.1", "off", "unknown"]
        assert question["entries"] == [move["id"]]
        trails = fold(log).trails
        assert (trails.get(f"{log.case}.coil.3").place, trails.get(f"{log.case}.boot.3").place) == ("unknown",) * 2
        assert trails.occupant("coil.1", 2) is None

    @pytest.mark.parametrize("answer", ["coil.1", "off", "unknown"])
    def test_an_answer_settles_it_for_coil_and_boot(self, answer):
        log = Logbook("answered")
        move = log.move(("coil.1", "coil.3"))
        log.answer(f"where/{move['id']}/{log.case}.coil.3", answer)
        assert not questions(log)
        trails = fold(log).trails
        assert trails.get(f"{log.case}.coil.3").place == answer
        assert trails.get(f"{log.case}.boot.3").place == answer.replace("coil", "boot")

    def test_an_answer_that_cannot_be_is_asked_again(self):
        log = Logbook("bad answer")
        move = log.move(("coil.1", "coil.3"))
        log.answer(f"where/{move['id']}/{log.case}.coil.3", "coil.4")  # another sits there
        assert only_question(log)["id"].startswith("where/")
        log.answer(f"where/{move['id']}/{log.case}.coil.3", "plug.1")
        assert only_question(log)["id"].startswith("where/")

    def test_a_struck_answer_opens_the_question_again(self):
        log = Logbook("struck answer")
        move = log.move(("coil.1", "coil.3"))
        log.strike(log.answer(f"where/{move['id']}/{log.case}.coil.3", "off"))
        assert only_question(log)["id"].startswith("where/")

    def test_an_answer_stays_with_its_question_when_the_part_is_noted_later(self):
        log = Logbook("noted after the answer")
        move = log.move(("coil.1", "coil.3"))
        log.answer(f"where/{move['id']}/{log.case}.coil.3", "off")
        # Another phone had noted the coil before the move, under an id of its own.
        log.on_device()
        log.add(
            "part_noted",
            part=log.new_id(),
            kind="coil",
            place="coil.3",
            brand="Plain",
            when={"ms": log.entries[0]["at"][0] + 1},
        )
        assert not questions(log)

    def test_a_part_moved_to_a_place_not_known_asks_and_can_be_found(self):
        log = Logbook("unknown")
        coil = log.part_at("coil.3")
        log.move(("coil.3", "unknown"))
        assert only_question(log)["text"] == "Where did the coil that came in at 3 go?"
        log.add("parts_moved", moves=[{"part": coil, "from": "off", "to": "coil.3"}])
        assert at(log, "coil.3", "boot.3") == ["coil.3", "boot.3"]

    def test_moves_of_two_phones_that_disagree_are_asked_about_and_either_answer_stands(self):
        def log_with(answer):
            log = Logbook("two phones")
            log.swap("coil", 3, 1)
            log.on_device()
            parts = [f"{log.case}.coil.{n}" for n in (3, 2)]
            second = log.add(
                "parts_moved",
                moves=[
                    {"part": parts[0], "from": "coil.3", "to": "coil.2"},
                    {"part": parts[1], "from": "coil.2", "to": "off"},
                ],
            )
            if answer:
                log.answer(f"stands/{second['id']}", answer)
            return log, second

        log, second = log_with(None)
        question = only_question(log)
        assert question["id"] == f"stands/{second['id']}"
        labels = [choice["label"] for choice in question["choices"]]
        assert labels == [
            "the coil that came in at 3: coil 2, the coil that came in at 2: off the engine",
            "the coil that came in at 3: coil 1, the coil that came in at 2: coil 2",
        ]
        assert at(log_with("move")[0], "coil.1", "coil.2") == ["nothing", "coil.3"]
        assert at(log_with("leave")[0], "coil.1", "coil.2") == ["coil.3", "coil.2"]
        assert not questions(log_with("leave")[0])

    @pytest.mark.parametrize(
        "move",
        [
            {"from": "coil.9", "to": "coil.1"},
            {"from": "coil.1", "to": "coil.9"},
            {"from": "off", "to": "coil.1"},
            {"from": "coil.1", "to": "plug.1"},
        ],
    )
    def test_a_move_that_cannot_be_followed_is_asked_about_and_changes_nothing(self, move):
        log = Logbook("cannot")
        entry = log.add("parts_moved", moves=[move])
        assert only_question(log)["id"] == f"cannot/{entry['id']}/{move['from']}"
        assert at(log, "coil.1", "coil.2", "plug.1") == ["coil.1", "coil.2", "plug.1"]
        log.answer(f"cannot/{entry['id']}/{move['from']}", "leave")
        assert not questions(log)

    def test_two_parts_sent_to_one_place_do_not_sit_in_it_together(self):
        log = Logbook("one place")
        log.add("parts_moved", moves=[{"from": "coil.1", "to": "coil.3"}, {"from": "coil.2", "to": "coil.3"}])
        assert at(log, "coil.3") == ["coil.2"]
        assert len(questions(log)) == 2


PLACES = [f"{kind}.{n}" for kind in ("coil", "boot", "plug") for n in (1, 2, 3)]
SPARES = ["01900000-0000-7000-8000-0000000000a1", "01900000-0000-7000-8000-0000000000a2"]
ANYWHERE = st.sampled_from([*PLACES, "coil.9", "off", "unknown"])
ANY_PART = st.sampled_from([None, "coil.1", "coil.3", "plug.2", *SPARES])
ANY_ACT = st.one_of(
    st.tuples(
        st.just("move"), st.lists(st.tuples(ANY_PART, ANYWHERE, ANYWHERE), min_size=1, max_size=3), st.booleans()
    ),
    st.tuples(st.just("swap"), st.sampled_from(["coil", "boot", "plug"]), st.permutations([1, 2, 3])),
    st.tuples(st.just("replace"), st.sampled_from(PLACES), ANY_PART, ANY_PART),
    st.tuples(st.just("note"), st.sampled_from(SPARES), st.sampled_from([None, *PLACES])),
    st.tuples(st.just("answer"), st.integers(0, 3), st.integers(0, 3)),
)


class TestWhateverIsRecorded:
    """Random moves, repairs, notes and answers, also such as the border would refuse."""

    def part_of(self, log, part):
        return f"{log.case}.{part}" if part and "." in part else part

    def record(self, log, act, before_arrival):
        kind, *what = act
        when = {"before_arrival": before_arrival} if before_arrival else None
        if kind == "move":
            rows = [{"part": self.part_of(log, part), "from": a, "to": b} for part, a, b in what[0]]
            rows = [{name: value for name, value in row.items() if value} for row in rows]
            log.add("parts_moved", moves=rows, boot_stays=what[1], when=when)
        elif kind == "swap":
            log.swap(what[0], *what[1][:2], before_arrival=before_arrival)
        elif kind == "replace":
            removed, installed = (self.part_of(log, part) for part in what[1:])
            log.add("repair", work="replaced", place=what[0], removed=removed, installed=installed, when=when)
        elif kind == "note":
            log.add("part_noted", part=what[0], kind=(what[1] or "coil").split(".")[0], place=what[1], when=when)
        else:
            asked = fold(log).trails.questions
            if asked:
                question = asked[what[0] % len(asked)]
                log.answer(question["id"], question["choices"][what[1] % len(question["choices"])]["value"])

    @settings(max_examples=400, deadline=None)
    @given(acts=st.lists(st.tuples(ANY_ACT, st.sampled_from([None, None, None, 1, 2])), max_size=7))
    def test_every_part_is_in_one_place_and_every_place_holds_one_part(self, acts):
        log = Logbook("anything", 3)
        for act, before_arrival in acts:
            self.record(log, act, before_arrival)
        trails = fold(log).trails
        parts = trails.in_order()
        end = len(log.entries)
        assert len({part.id for part in parts}) == len(parts) == len(trails.parts)
        assert trails.at_place == {part.place: part.id for part in parts if part.place not in ("off", "unknown")}
        for part in parts:
            assert trails.get(part.id) is part
            assert re.fullmatch(entries.PART_PATTERN, part.id)
            assert part.place in ("off", "unknown") or part.place.split(".")[0] == part.kind
            assert part.place_at(end) == part.place
        for place in PLACES:
            assert trails.occupant(place, end) == trails.at_place.get(place)
            for moment in range(end + 1):
                sitting = [part.id for part in parts if part.place_at(moment) == place]
                assert sitting == ([trails.occupant(place, moment)] if trails.occupant(place, moment) else [])
        assert len({question["id"] for question in trails.questions}) == len(trails.questions)
