"""The checklist before a case is closed: each line is told by the log."""

import json

import pytest

from coiltrail.core import bridge, calls, casefile, closing, explanations
from demo_fixtures.logbook import Logbook

PROVED = {"explanations": [], "fixed": {"p": 0.99, "driven": 12, "uncounted": 0, "to_95": 0, "to_99": 0, "text": "Ok."}}


def lines(log: Logbook, told: dict | None = None, later: list | None = None) -> dict[str, dict]:
    rows = closing.checklist(casefile.fold(log.entries), told, later or [])
    assert len({row["key"] for row in rows}) == len(rows)
    return {row["key"]: row for row in rows}


def states(log: Logbook, *args, **more) -> dict[str, str]:
    return {key: row["state"] for key, row in lines(log, *args, **more).items()}


@pytest.fixture
def log():
    """A dead coil of 3 that was moved to 1 and replaced there, before anything was proved."""
    log = Logbook("closing")
    log.complaint("shakes", lamp="flashing")
    log.codes("P0303", "P0442")
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
    log.swap("coil", 3, 1)
    log.drop({1: "none", 3: "full"})
    log.replace("coil.1")
    return log


def repair_of(log: Logbook) -> dict:
    return [entry for entry in log.entries if entry["kind"] == "repair"][-1]


def test_right_after_the_repair_everything_is_to_be_done(log):
    found = lines(log)
    torque, tag = f"torque/{repair_of(log)['id']}", f"tag/{log.case}.coil.3"
    assert {key: row["state"] for key, row in found.items()} == dict.fromkeys(
        [torque, "cleared", "drive", "read", "lamp", "moved", tag], "do"
    )
    assert found["cleared"]["to"] == ["clear"]
    assert found["drive"]["to"] == ["drive"]
    assert found["read"]["to"] == ["codes"]
    assert found[tag]["to"] == ["removed", f"{log.case}.coil.3"]
    assert found[torque]["to"] == ["torque", repair_of(log)["id"]]


def test_what_the_log_shows_is_done_and_names_the_entry(log):
    cleared = log.clear()
    drive = log.drive(12, lamp="off")
    read = log.codes()
    log.tag("0123456789", f"{log.case}.coil.3")
    found = lines(log, PROVED)
    assert (found["cleared"]["state"], found["cleared"]["entry"]) == ("done", cleared["id"])
    assert (found["drive"]["state"], found["drive"]["entry"]) == ("done", drive["id"])
    assert found["drive"]["text"] == "Driven for 12 minutes after the repair, without a miss."
    assert (found["read"]["state"], found["read"]["text"]) == ("done", "The codes were read again: No codes.")
    assert found["read"]["entry"] == read["id"]
    assert found["lamp"]["state"] == found[f"tag/{log.case}.coil.3"]["state"] == "done"


def test_codes_read_before_the_drive_prove_nothing_of_it(log):
    log.clear()
    log.codes()
    log.drive(12)
    assert states(log, PROVED)["read"] == "do"
    assert lines(log, PROVED)["read"]["text"] == "The codes were not read again after the drive."


def test_a_drive_too_short_says_how_much_longer(log):
    log.drive(1)
    short = {"fixed": PROVED["fixed"] | {"p": 0.8, "driven": 1, "to_95": 3.5, "to_99": 8}}
    row = lines(log, short)["drive"]
    assert (row["state"], row["to"]) == ("do", ["drive"])
    assert row["text"] == "Clean for 1 minute: not proved yet; 4 more for 95\u00a0%, 8 for 99\u00a0%."


def test_a_miss_on_the_drive_is_not_proved_away_by_what_was_thought_before(log):
    log.drive(5, "sometimes")
    assert lines(log, PROVED)["drive"]["state"] == "do"


def test_codes_that_are_there_after_the_repair(log):
    log.clear()
    log.drive(12)
    log.codes("P0303", "P0171 pending", "P0442")
    found = lines(log, PROVED)
    assert (found["code/P0303"]["state"], found["code/P0303"]["later"]) == ("do", None)
    assert found["code/P0171"]["state"] == "watch"
    assert found["code/P0171"]["later"]["code"] == "P0171"
    assert found["code/P0442"]["state"] == "do"
    left = lines(log, PROVED, [{"code": "P0442"}, {"code": "P0171"}])
    assert "code/P0442" not in left and "code/P0171" not in left
    assert (left["left"]["state"], left["left"]["text"]) == (
        "watch",
        "Left for later, and the owner is not told yet: P0442; P0171",
    )
    told = [{"code": "P0442", "told": True}, {"code": "P0171", "told": True}]
    assert states(log, PROVED, told)["left"] == "done"


def test_a_permanent_code_is_no_open_point(log):
    log.clear()
    log.drive(12)
    log.codes("P0303 permanent")
    assert states(log, PROVED)["code/P0303"] == "watch"


def test_the_lamp_is_out_by_a_tap_until_another_repair(log):
    tap = lines(log)["lamp"]["answer"]
    log.answer(tap["question"], tap["answer"])
    assert states(log)["lamp"] == "done"
    assert casefile.row_text(log.entries[-1]) == "The warning lamp is out"
    log.drive(5, lamp="steady")
    assert states(log)["lamp"] == "do"
    log.drive(12, lamp="off")
    assert states(log)["lamp"] == "done"
    log.replace("plug.1")
    assert states(log)["lamp"] == "do"


def test_a_lamp_that_never_was_on_is_no_line():
    log = Logbook("no lamp")
    log.complaint("shakes", lamp="off")
    log.replace("plug.1")
    assert "lamp" not in lines(log)


def test_parts_that_sit_elsewhere_are_put_back_or_kept_on_purpose(log):
    row = lines(log)["moved"]
    assert row["text"] == "Moved and not put back: the coil that came in at 1, now at 3."
    assert row["to"] == ["moves", "back"]
    log.answer(row["answer"]["question"], row["answer"]["answer"])
    assert lines(log)["moved"]["text"] == "Left where it is on purpose: the coil that came in at 1, now at 3."
    log.swap("coil", 3, 4)  # what was said of other places does not hold for these
    assert states(log)["moved"] == "do"
    log.move(("coil.4", "coil.2"), ("coil.2", "coil.4"))
    back = Logbook("put back")
    back.swap("plug", 1, 2)
    back.swap("plug", 1, 2)
    assert "moved" not in lines(back)


def test_the_torque_is_told_afterwards_or_said_to_be_unmeasured(log):
    key = f"torque/{repair_of(log)['id']}"
    told = log.add("answered", question=key, answer="8.1 N·m", note="Maker's sheet")
    assert (lines(log)[key]["state"], lines(log)[key]["text"]) == ("done", "Torque at coil 1: 8.1\u00a0N·m.")
    assert casefile.row_text(told) == "torque 8.1 N·m"
    log.strike(told)
    assert states(log)[key] == "do"
    log.answer(key, "not_measured")
    assert states(log)[key] == "done"


def test_a_doubtful_torque_wants_its_source(log):
    fixed = log.replace("plug.2", torque="180")
    key = f"torque/{fixed['id']}"
    assert (lines(log)[key]["state"], lines(log)[key]["text"].partition(" is ")[0]) == ("do", "180\u00a0N·m")
    log.add("answered", question=key, answer="180\u00a0N·m", note="Maker's sheet, page 4")
    assert lines(log)[key]["state"] == "done"
    assert lines(log)[key]["text"].endswith("Read in: Maker's sheet, page 4.")


def test_a_boot_has_no_torque():
    log = Logbook("boot")
    log.replace("boot.2")
    assert not any(key.startswith("torque/") for key in lines(log))


def test_a_contact_that_was_only_cleaned_is_watched_until_it_is_left_for_later():
    log = Logbook("cleaned")
    log.mend("coil_connector@3", "cleaned")
    row = lines(log)["pressed/coil_connector@3"]
    assert (row["state"], row["text"]) == (
        "watch",
        "Coil connector 3 was only cleaned or pressed on again: it may fail again.",
    )
    assert "pressed/coil_connector@3" not in lines(log, later=[row["later"]])
    gone = {"explanations": [{"faults": [{"component": "coil_connector@2", "state": "intermittent", "gone": True}]}]}
    assert states(log, gone)["pressed/coil_connector@2"] == "watch"


def test_a_line_that_says_nothing_yet_is_nothing_that_the_owner_knows(log):
    assert "left" not in lines(log, later=[{"text": ""}])
    assert states(log, None, [{"text": ""}, {"text": "Brake fluid", "told": True}])["left"] == "done"
    assert states(log, None, [{"text": "Brake fluid"}])["left"] == "watch"


def test_without_a_repair_that_is_said():
    log = Logbook("nothing done")
    log.codes("P0303")
    assert states(log) == {"repair": "do"}


def test_what_the_owner_was_told_of_at_closing_is_no_call():
    log = Logbook("told at closing")
    log.add("case_closed", cause="Coil", later=[{"code": "P0442", "told": True}, {"code": "P0455"}])
    assert [row["code"] for row in calls.calls(casefile.fold(log.entries))] == ["P0455"]


def test_the_bridge_gives_the_lines(log):
    asked = json.dumps({"entries": log.entries, "diagnosis": None, "later": [{"code": "P0442"}]})
    told = json.loads(bridge.answer("closing", asked))["lines"]
    assert told == closing.checklist(casefile.fold(log.entries), None, [{"code": "P0442"}])


class TestDamageSeen:
    """What somebody saw says a fault more exactly than the diagnosis can."""

    def test_the_cause_is_told_in_the_words_of_the_finding(self):
        log = Logbook("cracked")
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        log.check("plug_look", "cracked", place="plug.2")
        log.check("plug_look", "good", place="plug.3")
        [best, *_] = explanations.Diagnosis(casefile.fold(log.entries)).explanations()
        assert (best["label"], best["cause"]) == ("Spark plug 2: does not fire", "Spark plug 2: insulator cracked")
        log.replace("plug.2")
        log.close(best["cause"], components=["plug@2"], probabilities={"explanations": [best], "fixed": None})
        told = json.loads(bridge.answer("report", json.dumps({"entries": log.entries})))
        assert told["cause"]["text"] == "The insulator of the spark plug of cylinder 2 is cracked."

    def test_what_was_pressed_on_again_is_broken_still(self):
        log = Logbook("broken catch")
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        log.connectors({2: "latch_broken"})
        log.swap("coil", 2, 3)
        log.drop({1: "full", 2: "full", 3: "full", 4: "full"})
        log.drive(10)
        [best, *_] = explanations.Diagnosis(casefile.fold(log.entries)).explanations()
        assert best["cause"] == "Coil connector 2: open (lock tab broken), gone since it was pressed on again"

    def test_damage_that_no_repair_is_about_is_offered_for_later(self):
        log = Logbook("left broken")
        log.connectors({1: "good", 2: "latch_broken", 3: "loose"})
        log.check("coil_look", "oil_in_well", place="coil.3")
        log.check("plug_look", "cracked", place="plug.4")
        log.replace("coil.3")
        log.replace("plug.4")
        found = {key: row for key, row in lines(log).items() if key.startswith("damage/")}
        assert [row["later"] for _, row in sorted(found.items())] == [
            {"what": "damage", "component": "boot@3", "found": "coil_look/oil_in_well"},  # a new coil stops no oil
            {"what": "damage", "component": "coil_connector@2", "found": "connector_look/latch_broken"},
        ]
        left = [found["damage/coil_connector@2/connector_look"]["later"]]
        assert "damage/coil_connector@2/connector_look" not in lines(log, later=left)
        log.close("Coil 3")
        log.entries[-1]["body"]["later"] = left
        told = json.loads(bridge.answer("report", json.dumps({"entries": log.entries})))["left"]
        where = "The catch of the electrical connector at the ignition coil of cylinder 2 is broken."
        assert told == [{"code": "", "text": where, "why": ""}]

    def test_mended_damage_is_not_left(self):
        log = Logbook("mended")
        log.connectors({2: "latch_broken"})
        log.mend("coil_connector@2")
        assert not [key for key in lines(log) if key.startswith("damage/")]
        log.connectors({2: "corroded"})
        assert [key for key in lines(log) if key.startswith("damage/")] == ["damage/coil_connector@2/2/connector_look"]
        log.connectors({2: "good"})
        assert not [key for key in lines(log) if key.startswith("damage/")]


class TestLeftMoved:
    def test_what_was_left_at_the_repair_is_not_asked_again_at_the_closing(self):
        log = Logbook("left moved")
        log.swap("coil", 3, 1)
        tap = lines(log)["moved"]["answer"]
        log.answer(tap["question"], tap["answer"])
        log.replace("coil.1")  # the coil that came in at 3 is gone, the other one sits where it was left
        assert lines(log)["moved"]["state"] == "done"
        told = json.loads(bridge.answer("report", json.dumps({"entries": log.entries})))["proof"]
        left = "Moved for the test and left there on purpose: the ignition coil of cylinder 1, now at cylinder 3."
        assert told[-1] == left

    def test_what_is_moved_afterwards_is_asked(self):
        log = Logbook("moved afterwards")
        log.swap("coil", 3, 1)
        tap = lines(log)["moved"]["answer"]
        log.answer(tap["question"], tap["answer"])
        log.swap("coil", 2, 1)
        assert lines(log)["moved"]["state"] == "do"


class TestWithoutReader:
    def test_codes_that_were_never_read_are_no_open_point(self):
        log = Logbook("no reader")
        log.replace("coil.1")
        log.drive(12)
        assert lines(log, PROVED)["read"]["state"] == "watch"

    def test_an_open_point_names_a_reason_that_can_be_true(self, log):
        reasons = [row["despite"] for row in lines(log).values() if row["despite"]]
        assert reasons == ["No time for a drive today", "No code reader at hand"]
        log.drive(1)
        short = {"fixed": PROVED["fixed"] | {"p": 0.8, "driven": 1, "to_95": 3.5, "to_99": 8}}
        assert lines(log, short)["drive"]["despite"] == "No time for a longer drive today"
        log.drive(5, "sometimes")
        assert lines(log, short)["drive"]["despite"] == ""


def test_a_lamp_that_flashed_is_asked_about_and_told_with_the_catalyst():
    log = Logbook("flashed")
    log.complaint("shakes", lamp="flashed")
    log.replace("plug.1")
    assert lines(log)["lamp"]["state"] == "do"
    told = json.loads(bridge.answer("report", json.dumps({"entries": log.entries})))
    assert "flashed for a while" in told["complaint"]
    assert [text for text in told["cautions"] if "catalyst" in text]


class TestLeftForLater:
    """What is left for later is data: each reader has it in his own language, and it is said once."""

    def test_a_lamp_that_is_on_can_be_left_for_later(self):
        log = Logbook("lamp left")
        log.complaint("shakes", lamp="steady")
        log.replace("coil.1")
        assert lines(log)["lamp"]["later"] == {"what": "lamp"}
        case = casefile.fold(log.entries)
        [row] = [row for row in closing.checklist(case, reader=False) if row["key"] == "lamp"]
        assert row["later"] == {"what": "lamp", "why": "no_reader"}
        assert row["despite"] == "No code reader at hand"
        assert "lamp" not in lines(log, later=[row["later"]])
        assert lines(log, later=[row["later"]])["left"]["text"].endswith("the codes have to be read and cleared")
        log.add("case_closed", cause="Coil", later=[row["later"]])
        [call] = calls.calls(casefile.fold(log.entries))
        assert call["meaning"] == "The warning lamp is still on: the codes have to be read and cleared"
        assert call["text"] == "No reader today."

    def test_the_bridge_knows_from_the_tools_whether_codes_can_be_read(self):
        log = Logbook("tools")
        log.complaint("shakes", lamp="steady")
        for tools, why in (([], "no_reader"), (["code_reader"], None), (None, None)):
            asked = json.dumps({"entries": log.entries, "tools": tools})
            told = json.loads(bridge.answer("closing", asked))["lines"]
            [row] = [row for row in told if row["key"] == "lamp"]
            assert row["later"].get("why") == why

    def test_the_owner_may_decline_the_repair(self):
        log = Logbook("declined")
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        row = lines(log)["repair"]
        assert (row["later_words"], row["despite"]) == ("The owner declines the repair",) * 2
        assert "repair" not in lines(log, later=[row["later"]])

    def test_what_is_left_is_joined_without_a_full_stop_within(self):
        log = Logbook("joined")
        log.mend("coil_connector@3", "cleaned")
        log.connectors({1: "latch_broken"})
        found = lines(log)
        later = [found["pressed/coil_connector@3"]["later"], found["damage/coil_connector@1/connector_look"]["later"]]
        assert lines(log, later=[*later, {"text": "Wipers squeak."}])["left"]["text"] == (
            "Left for later, and the owner is not told yet: Coil connector 3 was only cleaned or pressed on again: "
            "it may fail again; Coil connector 1: lock tab broken; Wipers squeak"
        )

    def test_a_closing_is_told_in_words_and_not_as_data(self):
        log = Logbook("in words")
        later = [{"what": "unrepaired", "why": "declined", "told": True}, {"code": "P0442", "text": "By autumn"}]
        log.add("case_closed", cause="Low compression", components=["compression@5"], later=later)
        row = casefile.view(casefile.fold(log.entries))["timeline"][-1]["told"]
        assert row["components"] == "compression 5"
        assert row["later"].startswith("The fault is not repaired. The owner declines the repair. P0442 ")
        assert row["later"].endswith("By autumn.")

    def test_what_was_left_as_text_alone_is_not_offered_again(self):
        log = Logbook("older")
        log.connectors({2: "latch_broken"})
        log.replace("coil.3")
        older = [{"component": "coil_connector@2", "text": "Conector de bobina 2: seguro roto"}]
        assert not [key for key in lines(log, later=older) if key.startswith("damage/")]


class TestNotRepaired:
    def closed(self, lamp="flashing"):
        log = Logbook("not repaired")
        log.complaint("shakes", lamp=lamp)
        log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
        return log, log.add("case_closed", cause="Compression", later=[{"what": "unrepaired", "told": True}])

    def test_a_flashing_lamp_stays_a_call_until_somebody_settles_it(self):
        log, closed = self.closed()
        question = f"later/{closed['id']}/safety"
        for answer, stays in (("not_reached", True), ("told", True), ("comes", True), ("done", False)):
            assert [call["question"] for call in calls.calls(casefile.fold(log.entries))] == [question]
            log.answer(question, answer)
            assert bool(calls.calls(casefile.fold(log.entries))) == stays

    def test_a_steady_lamp_or_a_repair_asks_for_no_such_call(self):
        log, _ = self.closed("steady")
        assert calls.calls(casefile.fold(log.entries)) == []
        log = Logbook("repaired")
        log.complaint("shakes", lamp="flashing")
        log.replace("coil.1")
        log.close("Coil 1")
        assert calls.calls(casefile.fold(log.entries)) == []

    def test_the_case_says_that_it_was_not_repaired_and_what_is_left(self):
        log, _ = self.closed()
        told = casefile.view(casefile.fold(log.entries))
        assert (told["unrepaired"], told["left_words"]) == (True, ["The fault is not repaired"])
        log.reopen("Now it is repaired")
        assert casefile.view(casefile.fold(log.entries))["left"] == []  # asked about anew
        log.replace("coil.3")
        log.close("Coil 3")
        assert casefile.view(casefile.fold(log.entries))["unrepaired"] is False


def test_minutes_that_do_not_count_are_told_apart(log):
    dry = Logbook("dry minutes")
    dry.complaint("shakes", circumstances=["wet"])
    dry.replace("coil.1")
    dry.drive(15, conditions=["dry"])
    assert lines(dry, PROVED)["drive"]["text"] == "The 15 minutes in the dry do not count: it used to miss in the wet."
    dry.drive(16, conditions=["wet"])
    assert lines(dry, PROVED)["drive"]["text"] == (
        "Driven for 16 minutes after the repair, without a miss. "
        "The 15 minutes in the dry do not count: it used to miss in the wet."
    )
