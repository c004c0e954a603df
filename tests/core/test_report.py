"""The owner's report and the warranty claim as structures."""

import json
import re

import pytest

from coiltrail import languages
from coiltrail.core import bridge, casefile, checks, claim, codes, entries, faults, lay_words, report, seen, tags
from demo_fixtures.logbook import Logbook
from demo_fixtures.shop import build
from demo_fixtures.stories import log_of


def case_of(customer):
    [log] = [log for log in build().cases if log.entries[0]["body"]["customer"]["name"] == customer]
    return log


def asked(question, **arguments):
    return json.loads(bridge.answer(question, json.dumps(arguments)))


class TestReport:
    def test_a_closed_case_tells_what_was_known_at_its_closing(self):
        log = Logbook("told at closing")
        log.drop({1: "none"})
        log.replace("coil.1")
        log.drive(12)
        told = {"explanations": [{"label": "Coil 1", "p": 0.9}], "fixed": {"p": 0.97, "driven": 12, "text": "Held."}}
        log.close("Coil 1", probabilities=told)
        answer = asked("report", entries=log.entries)
        assert answer["cause"]["text"] == "Coil 1"
        assert answer["cause"]["sure"] == "Confirmed by a drive of 12 minutes after the repair."
        assert "Held." in answer["proof"]

    def test_the_diagnosis_at_hand_spares_another(self):
        entries = log_of("1")
        given = {"explanations": [{"label": "Something the phone knows", "p": 0.5}], "fixed": None}
        answer = asked("report", entries=entries, diagnosis=given)
        assert answer["cause"]["text"] == "Something the phone knows"
        alone = asked("report", entries=entries)
        [best] = asked("diagnosis", entries=entries)["explanations"][0]["faults"]
        assert (best["component"], alone["cause"]["text"]) == ("coil@3", "The ignition coil of cylinder 3 has failed.")

    def test_a_reopened_case_does_not_stand_by_what_was_known_then(self):
        log = Logbook("reopened")
        log.close("Coil 1", probabilities={"explanations": [{"label": "Coil 1", "p": 0.9}], "fixed": None})
        log.reopen("Again")
        assert report.told_at_closing(casefile.fold(log.entries)) is None

    def test_parts_torque_money_and_consent(self):
        answer = asked("report", entries=case_of("Cora Mills").entries)
        assert any("Harrow HC-118" in row["text"] and "6\u00a0lbf·ft" in row["text"] for row in answer["done"])
        assert answer["money"]["stage"] == "bill"
        assert answer["money"]["total_text"] == "188.64 USD"  # 1.25 * 96 + 64 + 7.25 % of 64
        assert answer["agreed"]["name"] == "Cora Mills"
        assert answer["agreed"]["limit_text"] == "195.00 USD"


class TestPlainWords:
    """What an owner reads who knows nothing of engines."""

    def told(self, customer="Cora Mills"):
        return asked("report", entries=case_of(customer).entries)

    def test_no_words_of_the_workshop_are_left(self):
        for log in build().cases:
            answer = asked("report", entries=log.entries)
            rows = [row["text"] for row in answer["found"] + answer["done"]] + answer["proof"] + answer["cautions"]
            for text in (*rows, answer["complaint"], answer["cause"]["plain"], answer["cause"]["sure"]):
                assert not re.search(
                    r"coil \d|drop|stored|connector, |came in at|misfire felt|readiness", text, re.I
                ), text
                assert not re.search(r"[a-z], [A-Z][a-z]", text.split('"')[0].split("Fitted")[0]), text
                assert text == "" or text.rstrip('"')[-1] in ".?!", text

    def test_what_was_found_says_what_it_was_and_what_it_means(self):
        found = [row["text"] for row in self.told()["found"]]
        assert found[0] == (
            "We switched the cylinders off one by one while the engine ran. Cylinder 2: no difference, so no power "
            "comes from there. The others: engine speed fell, as it should."
        )
        assert found[-2].startswith("We exchanged ignition coils between cylinders 2 and 3")
        assert found[-1].endswith("The fault went along with the part, so it is that part.")

    def test_a_fault_that_stays_clears_the_part(self):
        log = Logbook("stays")
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        log.swap("plug", 2, 3)
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        found = asked("report", entries=log.entries)["found"]
        assert found[-1]["text"].endswith("The fault stayed where it was, so it is not that part.")

    def test_a_fault_is_followed_through_several_exchanges(self):
        log = Logbook("several exchanges")
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        log.swap("coil", 2, 3)
        log.swap("coil", 3, 4)
        log.drop({1: "full", 2: "full", 3: "full", 4: "none"})
        assert asked("report", entries=log.entries)["found"][-1]["text"].endswith("so it is that part.")
        log.swap("coil", 4, 1)
        log.swap("plug", 4, 1)
        log.drop({1: "none", 2: "full", 3: "full", 4: "full"})
        assert "that part" not in asked("report", entries=log.entries)["found"][-1]["text"]  # coil or plug: who knows

    def test_what_others_did_before_is_not_told_as_ours(self):
        log = Logbook("before us")
        log.swap("coil", 2, 4, before_arrival=1)
        log.replace("plug.1", before_arrival=2)
        answer = asked("report", entries=log.entries)
        assert [row["text"] for row in answer["found"]] == [
            "Before the car came to us, parts had been exchanged between cylinders 2 and 4.",
            "Before the car came to us: The spark plug of cylinder 1 was replaced.",
        ]
        assert answer["done"] == [] and answer["proof"] == []

    def test_photos_are_of_what_stands_out(self):
        photos = [len(row["photos"]) for row in self.told()["found"]]
        assert photos == [0, 1, 1, 0, 0]

    def test_codes_are_told_as_before_and_after(self):
        assert [(row["code"], row["before"], row["now"]) for row in self.told()["codes"]] == [
            ("P0302", "there", "gone"),
            ("P0352", "there", "gone"),
            ("P0442", "there", "came back; a separate matter"),
        ]
        log = Logbook("before the repair")
        log.codes("P0304")
        assert asked("report", entries=log.entries)["codes"][0]["now"] == ""
        log.replace("coil.4")
        assert asked("report", entries=log.entries)["codes"][0]["now"] == "not read again yet"

        def now():
            return {row["code"]: (row["before"], row["now"]) for row in asked("report", entries=log.entries)["codes"]}

        log.codes("P0304", "P0171")
        assert now() == {"P0304": ("there", "there; to be cleared and read again"), "P0171": ("not there", "new")}
        log.clear()
        log.codes("P0304", "P0171")
        assert now() == {"P0304": ("there", "came back"), "P0171": ("not there", "new")}

    def test_how_it_is_now(self):
        assert self.told()["proof"] == [
            "After the repair we cleared the fault memory of the car.",
            "We drove for 18 minutes, and it did not misfire.",
            "We read the memory again: what this repair was about did not come back.",
            "That is long enough for a fault like this: it is mended, as far as a drive can tell.",
            "Moved for the test and not put back: the ignition coil of cylinder 3, now at cylinder 2.",
        ]

    def test_a_code_that_came_back_is_not_called_mended(self):
        proof = self.told("Dov Ansel")["proof"]
        assert proof[-2:] == [
            "We read the memory again: P0301 came back.",
            "So the fault is not mended, or not all of it.",
        ]

    def test_parts_put_back_are_told_as_put_back(self):
        log = Logbook("put back")
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        log.swap("coil", 2, 3)
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        exchanged = ["Moved for the test and not put back: the ignition coil of cylinder 2, now at cylinder 3; "]
        exchanged[0] += "the ignition coil of cylinder 3, now at cylinder 2."
        assert asked("report", entries=log.entries)["proof"] == exchanged
        log.check("plug_look", "cracked", place="plug.2")
        log.swap("coil", 2, 3)
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        answer = asked("report", entries=log.entries)
        found = [row["text"] for row in answer["found"]]
        assert len([text for text in found if text.startswith("We exchanged")]) == 1
        assert found[-2] == "We put the ignition coils back to where they belong: cylinders 2 and 3."
        assert "that part" not in found[-1] and "not that part" in found[2]
        assert answer["proof"] == []

    def test_parts_put_back_together_with_another_exchange_prove_nothing(self):
        log = Logbook("back and on")
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        log.swap("coil", 2, 3)
        log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
        log.swap("coil", 2, 3)
        log.swap("plug", 2, 3)
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        found = [row["text"] for row in asked("report", entries=log.entries)["found"]]
        assert found[2].endswith("it is that part.") and "that part" not in found[-1]

    def test_a_pending_code_is_told_as_seen_once(self):
        log = Logbook("pending")
        log.codes("P0302", "P0420 pending")
        log.check("plug_look", "cracked", place="plug.2")
        before = {row["code"]: row for row in asked("report", entries=log.entries)["codes"]}
        once = "seen once; stored if it is seen again"
        assert (before["P0302"]["before"], before["P0420"]["before"]) == ("there", once)
        assert before["P0420"]["text"] == "If it is confirmed: " + lay_words.CODE_MEANS["catalyst"]
        log.replace("plug.2")
        log.clear()
        log.drive(20)
        log.codes("P0420 pending", "P0442 pending")
        after = {row["code"]: row["now"] for row in asked("report", entries=log.entries)["codes"]}
        assert after == {
            "P0302": "gone",
            "P0420": "seen once since; stored if it is seen again; it may come of the misfire",
            "P0442": once,
        }
        log.codes("P0420")
        row = asked("report", entries=log.entries)["codes"][1]
        assert row["now"] == "came back; it may come of the misfire"
        assert row["text"] == lay_words.CODE_MEANS["catalyst"]

    def test_a_part_that_was_moved_and_replaced_is_called_by_where_it_came_from(self):
        assert self.told()["done"][0]["text"] == (
            "The ignition coil of cylinder 2 was replaced. For the test it had been moved to cylinder 3. "
            "Fitted: Harrow HC-118, new. Tightened to 6\u00a0lbf·ft, as given in: "
            "Maker's workshop sheet, ignition, page 4."
        )

    def test_a_test_after_the_repair_tells_how_it_is_now(self):
        log = Logbook("tested after")
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        log.replace("coil.2")
        log.drop({1: "full", 2: "full", 3: "full", 4: "full"})
        answer = asked("report", entries=log.entries)
        assert len(answer["found"]) == 1
        again = "After that we switched the cylinders off again. All cylinders: engine speed fell"
        assert any(text.startswith(again) for text in answer["proof"])

    def test_a_round_that_was_put_right_later_is_told_once_as_it_stands(self):
        log = Logbook("put right")
        log.connectors({1: "good", 2: "good"})
        made = log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
        log.check("coil_look", "good", place="coil.3")
        log.drive(5, "always")
        wrong = made[1]
        log.check("drop", "none", cylinder=2, round=wrong["body"]["round"])
        log.strike(wrong, "Found anew in the same round")
        found = [row["text"] for row in asked("report", entries=log.entries)["found"]]
        assert [text for text in found if "switched the cylinders off" in text] == [found[1]]
        assert "Cylinders 2 and 3: no difference" in found[1]

    def test_only_notes_that_the_owner_may_read_are_told_where_they_belong(self):
        log = Logbook("notes")
        log.check("drop", "none", cylinder=2, note="sprayed with water: it missed at once", for_owner=True)
        log.check("plug_look", "good", place="plug.2", note="Customer has fitted it himself, badly")
        log.note("Paid late the last time")
        log.note("The under-tray was missing", for_owner=True)
        log.replace("boot.2")
        log.replace("plug.2", note="Renewed too, since the track had burnt into its insulator.", for_owner=True)
        log.note("Runs evenly when sprayed again", for_owner=True)
        answer = asked("report", entries=log.entries)
        found = [row["text"] for row in answer["found"]]
        assert found[0].endswith("so no power comes from there. Sprayed with water: it missed at once.")
        assert found[-1] == "The under-tray was missing."
        assert answer["done"][1]["text"].endswith("Renewed too, since the track had burnt into its insulator.")
        assert answer["proof"][-1] == "Runs evenly when sprayed again."
        assert "badly" not in json.dumps(answer) and "Paid late" not in json.dumps(answer)

    def test_one_part_is_told_as_one(self):
        log = Logbook("one plug")
        log.check("plug_look", "cracked", place="plug.2")
        assert asked("report", entries=log.entries)["found"][0]["text"] == (
            "We took a spark plug out and looked at it. Cylinder 2: cracked."
        )

    def test_a_code_that_stands_apart_says_what_follows_from_it(self):
        log = Logbook("catalyst")
        log.codes("P0420")
        log.replace("coil.1")
        log.clear()
        log.drive(9)
        log.codes("P0420 pending")
        means = lay_words.CODE_MEANS["catalyst"]
        [row] = asked("report", entries=log.entries)["codes"]
        assert row["text"] == means
        assert row["now"] == "seen once since; stored if it is seen again; a separate matter"
        log.close("Coil 1", later={"P0420": "By spring"})
        answer = asked("report", entries=log.entries)
        assert answer["left"] == [{"code": "P0420", "text": means, "why": "By spring"}]
        assert answer["codes"][0]["text"] == "Catalyst stores too little oxygen, bank 1"  # its meaning is told once

    def test_what_codes_mean_is_told_of_kinds_that_there_are(self):
        assert set(lay_words.CODES) | set(lay_words.CODE_MEANS) <= set(codes.KINDS)

    def test_a_doubtful_torque_is_not_told_as_right(self):
        log = Logbook("doubtful")
        log.replace("plug.1", torque="180")
        assert asked("report", entries=log.entries)["done"][0]["text"].endswith(
            "Tightened to 180\u00a0N·m, a figure still to be checked."
        )

    @pytest.mark.parametrize(
        ("symptoms", "circumstances", "told"),
        [
            (["shakes", "stalls"], ["load", "wet"], "Shaking, stalling when accelerating, in wet weather."),
            (["shakes"], [], "Shaking."),
            (["jerks"], ["cold"], "Jerking with a cold engine."),
        ],
    )
    def test_a_complaint_says_when_it_is_so(self, symptoms, circumstances, told):
        log = Logbook("noticed")
        log.complaint(*symptoms, circumstances=circumstances, lamp=None)
        assert asked("report", entries=log.entries)["complaint"] == told

    def test_what_a_newer_version_recorded_is_left_out(self):
        log = Logbook("newer")
        log.complaint("whistles", "shakes", lamp="purple")
        log.check("drop", "backwards", cylinder=1)
        answer = asked("report", entries=log.entries)
        assert answer["complaint"] == "Shaking."
        assert answer["found"][0]["text"] == "We switched the cylinders off one by one while the engine ran."

    def test_every_check_finding_and_fault_has_plain_words(self):
        for check in checks.CHECKS:
            assert check["key"] in lay_words.CHECKS
            for finding in checks.findings_of(check["key"]):
                assert {f"{check['key']}/{finding}", finding} & set(lay_words.FINDINGS), (check["key"], finding)
        kinds = {kind["kind"] for kind in faults.KINDS}
        assert set(lay_words.FAULTS) == set(lay_words.WORKED_ON) == kinds
        assert (
            set(lay_words.REPLACED)
            == set(lay_words.EXCHANGED)
            == set(lay_words.PUT_BACK)
            == {kind for kind, _ in entries.PART_KINDS}
        )
        damages = {f"{check}/{finding}" for check, _, findings in seen.NAMED for finding in findings}
        assert set(lay_words.DAMAGE) == damages

    @pytest.mark.parametrize("check", checks.CHECKS, ids=lambda check: check["key"])
    def test_whatever_was_found_can_be_told(self, check):
        at = {"cylinder": {"cylinder": 2}, "engine": {}}.get(check["about"], {"place": f"{check['about']}.2"})
        for finding in checks.findings_of(check["key"]):
            log = Logbook(f"{check['key']} {finding}")
            log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
            log.check(check["key"], finding, **at)
            open_ = list(log.entries)
            log.close("The fault of cylinder 2")
            for entries_ in (open_, log.entries):
                for question in ("report", "closing", "diagnosis"):
                    assert "error" not in asked(question, entries=entries_), (finding, question)


class TestClaim:
    def test_trail_dates_findings_and_fate(self):
        log = case_of("Elin Marsh")
        told = asked("claim", entries=log.entries, part=f"{log.case}.coil.5")
        assert [row["text"] for row in told["trail"]] == ["coil 5", "coil 3", "off the engine"]
        assert told["trail"][0]["ms"] is None
        assert told["removed"]["odometer"] == "88650\u00a0mi" or told["removed"]["odometer"] == "88,650\u00a0mi"
        assert told["fitted"]["age_months"] == 14
        assert any("Drop test" in row["text"] for row in told["found"])
        assert told["fate"]["deadline"] == "2025-04-14"
        assert len(told["photos"]) == 1
        assert ["Brand", "Plain"] in told["part"]

    def test_a_tag_is_read_in_groups_here_and_in_the_history(self):
        log = Logbook("tagged")
        part = f"{log.case}.coil.1"
        code = next(code for code in (tags.new_tag(bytes([at] * 6)) for at in range(1, 99)) if code)
        log.tag(code, part)
        shown = f"{code[:4]}-{code[4:7]}-{code[7:]}"
        assert ["Tag", shown] in asked("claim", entries=log.entries, part=part)["part"]
        assert casefile.view(casefile.fold(log.entries))["timeline"][-1]["text"] == shown

    def test_it_says_nothing_of_the_customer(self):
        log = case_of("Elin Marsh")
        told = json.dumps(claim.claim(casefile.fold(log.entries), f"{log.case}.coil.5"))
        assert "Elin" not in told and "555-0145" not in told and "DEMO 145" not in told

    def test_a_part_fitted_here_carries_the_day_of_its_repair(self):
        log = Logbook("fitted", odometer="1,000 km")
        fixed = log.replace("coil.1", brand="Harrow")
        told = asked("claim", entries=log.entries, part=fixed["body"].get("installed") or fixed["id"])
        assert told["fitted"]["ms"] == fixed["at"][0]
        assert told["fitted"]["odometer"] == "1,000\u00a0km"
        assert told["removed"] is None

    def test_a_part_nobody_knows_is_named_in_the_answer(self):
        log = Logbook("unknown part")
        assert "no such part" in asked("claim", entries=log.entries, part="elsewhere")["error"]["message"]


class TestNotRepaired:
    """What the owner reads where nothing was mended."""

    def told(self, *later, lamp="steady", findings=None, **body):
        log = Logbook("declined")
        log.complaint("shakes", lamp=lamp)
        log.drop(findings or {1: "full", 2: "none", 3: "full", 4: "full"})
        log.add("case_closed", cause="Low compression", components=["compression@2"], later=list(later), **body)
        return asked("report", entries=log.entries)

    def test_it_says_so_first_and_what_is_wrong_still(self):
        answer = self.told({"what": "unrepaired", "why": "declined", "told": True})
        assert answer["standing"] == [
            "Nothing was repaired: you decided against it.",
            "By the last test no power comes from cylinder 2.",
        ]
        assert answer["cause"]["heading"] == "What is wrong"
        assert answer["words"]["left"] == "What is left to be done"
        assert answer["left"] == [{"code": "", "text": "The repair of what was found.", "why": ""}]

    def test_nothing_is_said_to_miss_where_the_test_went_well(self):
        assert self.told(findings={1: "full", 2: "full"})["standing"] == ["Nothing was repaired."]

    def test_without_a_test_what_was_noticed_is_as_it_was(self):
        log = Logbook("no test")
        log.complaint("shakes")
        log.close("Nothing known")
        assert asked("report", entries=log.entries)["standing"][1] == "What was noticed is as it was."
        log = Logbook("driven")
        log.drive(5, "sometimes")
        log.close("Nothing known")
        assert "misfired now and then" in asked("report", entries=log.entries)["standing"][1]

    def test_a_lamp_that_flashes_forbids_driving_on(self):
        assert (
            "Do not drive on while the warning lamp flashes: damage is being done."
            in self.told(lamp="flashing")["cautions"]
        )
        assert not [text for text in self.told(lamp="flashed")["cautions"] if "comes on again" in text]

    def test_a_repaired_or_open_case_has_no_such_lines(self):
        assert asked("report", entries=log_of("1"))["standing"] == []
        answer = asked("report", entries=case_of("Cora Mills").entries)
        assert (answer["standing"], answer["cause"]["heading"]) == ([], "What was wrong")
        assert answer["words"]["left"] == "Left for later, apart from this repair"


class TestLamp:
    def proof(self, *later, drive=None, clear=False, codes=(), closed=True, lamp="steady"):
        log = Logbook("lamp")
        log.complaint("shakes", lamp=lamp)
        if codes:
            log.codes(*codes)
        log.replace("coil.2")
        if clear:
            log.clear()
        if drive:
            log.drive(12, lamp=drive)
        if closed:
            log.add("case_closed", cause="Coil", later=list(later))
        return [text for text in asked("report", entries=log.entries)["proof"] if "lamp" in text]

    def test_left_on_for_want_of_a_reader(self):
        assert self.proof({"what": "lamp", "why": "no_reader"}) == [
            "The warning lamp is still on. There was no code reader at hand: the codes have to be read and cleared."
        ]

    def test_codes_never_cleared_leave_it_on_as_far_as_is_known(self):
        assert self.proof() == [
            "As far as is known, the warning lamp is still on. The codes were not read here: they have to be read and "
            "cleared."
        ]
        assert self.proof(codes=["P0302"])[0].endswith("still on. The codes have to be read and cleared.")

    def test_a_drive_says_how_it_is(self):
        assert self.proof(drive="off") == ["The warning lamp is out."]
        assert self.proof(drive="steady", codes=["P0302"], clear=True) == [
            "The warning lamp is still on. It came on again after the codes were cleared: they have to be read again."
        ]

    def test_nothing_is_said_of_a_lamp_that_nobody_saw(self):
        assert self.proof(clear=True, codes=["P0302"]) == []
        assert self.proof(lamp="off") == []


class TestLeft:
    def left(self, log, *later):
        log.add("case_closed", cause="Coil", later=list(later))
        return [(row["text"], row["why"]) for row in asked("report", entries=log.entries)["left"]]

    def test_a_connector_that_was_cleaned_is_not_told_as_corroded(self):
        log = Logbook("cleaned")
        log.connectors({4: "corroded"})
        log.mend("coil_connector@4", "cleaned")
        cleaned = (
            "Cleaned or pressed on again, and may fail again: the electrical connector at the ignition coil of "
            "cylinder 4."
        )
        assert self.left(log, {"what": "cleaned", "component": "coil_connector@4"}) == [(cleaned, "")]
        again = {"what": "damage", "component": "coil_connector@4", "found": "connector_look/corroded"}
        assert self.left(log, {"what": "cleaned", "component": "coil_connector@4"}, again) == [(cleaned, "")]

    def test_an_older_row_reads_as_it_was_typed(self):
        log = Logbook("older")
        log.connectors({1: "latch_broken", 4: "corroded"})
        log.mend("coil_connector@4", "cleaned")
        typed = "Conector de bobina 4: solo se limpi\u00f3; puede fallar otra vez."
        assert self.left(log, {"component": "coil_connector@4", "text": typed}) == [("", typed)]
        assert self.left(log, {"component": "coil_connector@1", "text": "Soon"}) == [
            ("The catch of the electrical connector at the ignition coil of cylinder 1 is broken.", "Soon")
        ]

    def test_each_reader_has_it_in_the_own_language(self):
        rows = [
            {"what": "damage", "component": "coil_connector@1", "found": "connector_look/latch_broken"},
            {"what": "lamp", "why": "no_reader", "text": "Kommt im Mai"},
        ]
        log = Logbook("both languages")
        english = self.left(log, *rows)
        assert english[1] == (
            "To read the codes and clear them, so that the warning lamp can go out.",
            "No code reader was at hand that day. Kommt im Mai.",
        )
        with languages.speaking("es"):
            spanish = self.left(log, *rows)
        assert spanish[1][1].endswith("Kommt im Mai.")
        assert not {text for row in english for text in row if text} & {text for row in spanish for text in row}


class TestMinutes:
    def test_one_number_and_what_does_not_count_apart(self):
        log = Logbook("wet")
        log.complaint("shakes", circumstances=["wet"])
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
        log.replace("coil.2")
        log.drive(15, conditions=["dry"])
        log.drive(16, conditions=["wet"])
        fixed = asked("diagnosis", entries=log.entries)["fixed"]
        log.close("Coil 2", components=["coil@2"], probabilities={"explanations": [], "fixed": fixed})
        answer = asked("report", entries=log.entries)
        assert "16 minutes" in answer["cause"]["sure"]
        assert "We drove for 16 minutes, and it did not misfire." in answer["proof"]
        assert "The 15 minutes in the dry do not count: it used to miss in the wet." in answer["proof"]
        assert "31" not in json.dumps([answer["cause"], answer["proof"]])
        assert fixed["text"].endswith("The 15 minutes in the dry do not count: it used to miss in the wet.")

    def test_a_drive_that_does_not_count_is_not_called_none(self):
        log = Logbook("dry alone")
        log.complaint("shakes", circumstances=["wet"])
        log.replace("coil.2")
        log.drive(15, conditions=["dry"])
        text = asked("diagnosis", entries=log.entries)["fixed"]["text"]
        assert text.startswith("Driven, but not yet under what made it miss")


@pytest.mark.parametrize(
    ("way", "what"), [("exhaust", "exhaust valve"), ("intake", "intake valve"), ("crankcase", "rings")]
)
def test_where_the_air_goes_names_what_lets_it_out(way, what):
    log = Logbook("leak-down")
    log.compression({1: "170 psi", 2: "60 psi", 3: "168 psi", 4: "171 psi"}, low=(2,))
    log.check("leak_down", way, cylinder=2)
    best = {"label": "Low", "cause": "Low", "p": 0.9, "faults": [{"component": "compression@2", "state": "low"}]}
    answer = asked("report", entries=log.entries, diagnosis={"explanations": [best], "fixed": None})
    assert what in answer["cause"]["text"]
    assert what in answer["found"][-1]["text"]
    log.check("leak_down", "good", cylinder=2)
    answer = asked("report", entries=log.entries, diagnosis={"explanations": [best], "fixed": None})
    assert answer["cause"]["text"] == "Cylinder 2 does not hold its pressure."
