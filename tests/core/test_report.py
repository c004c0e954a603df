"""The owner's report and the warranty claim as structures."""

import json

from coiltrail.core import bridge, casefile, claim, report
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
        assert answer["cause"] == {"text": "Coil 1", "sure": "Proved by a drive of 12 minutes."}
        assert "Held." in answer["proof"]

    def test_the_diagnosis_at_hand_spares_another(self):
        entries = log_of("1")
        given = {"explanations": [{"label": "Something the phone knows", "p": 0.5}], "fixed": None}
        answer = asked("report", entries=entries, diagnosis=given)
        assert answer["cause"]["text"] == "Something the phone knows"
        alone = asked("report", entries=entries)
        assert alone["cause"]["text"] == asked("diagnosis", entries=entries)["explanations"][0]["label"]

    def test_a_reopened_case_does_not_stand_by_what_was_known_then(self):
        log = Logbook("reopened")
        log.close("Coil 1", probabilities={"explanations": [{"label": "Coil 1", "p": 0.9}], "fixed": None})
        log.reopen("Again")
        assert report.told_at_closing(casefile.fold(log.entries)) is None

    def test_parts_torque_money_and_consent(self):
        answer = asked("report", entries=case_of("Cora Mills").entries)
        assert any("Harrow HC-118" in row["text"] and "6 lbf·ft" in row["text"] for row in answer["done"])
        assert answer["money"]["stage"] == "bill"
        assert answer["money"]["total_text"] == "188.64 USD"  # 1.25 * 96 + 64 + 7.25 % of 64
        assert answer["agreed"]["name"] == "Cora Mills"
        assert answer["agreed"]["limit_text"] == "195.00 USD"


class TestClaim:
    def test_trail_dates_findings_and_fate(self):
        log = case_of("Elin Marsh")
        told = asked("claim", entries=log.entries, part=f"{log.case}.coil.5")
        assert [row["text"] for row in told["trail"]] == ["coil 5", "coil 3", "off the engine"]
        assert told["trail"][0]["ms"] is None
        assert told["removed"]["odometer"] == "88650 mi" or told["removed"]["odometer"] == "88,650 mi"
        assert told["fitted"]["age_months"] == 14
        assert any("Drop test" in row["text"] for row in told["found"])
        assert told["fate"]["deadline"] == "2025-04-14"
        assert len(told["photos"]) == 1
        assert ["Brand", "Plain"] in told["part"]

    def test_it_says_nothing_of_the_customer(self):
        log = case_of("Elin Marsh")
        told = json.dumps(claim.claim(casefile.fold(log.entries), f"{log.case}.coil.5"))
        assert "Elin" not in told and "555-0145" not in told and "DEMO 145" not in told

    def test_a_part_fitted_here_carries_the_day_of_its_repair(self):
        log = Logbook("fitted", odometer="1,000 km")
        fixed = log.replace("coil.1", brand="Harrow")
        told = asked("claim", entries=log.entries, part=fixed["body"].get("installed") or fixed["id"])
        assert told["fitted"]["ms"] == fixed["at"][0]
        assert told["fitted"]["odometer"] == "1,000 km"
        assert told["removed"] is None

    def test_a_part_nobody_knows_is_named_in_the_answer(self):
        log = Logbook("unknown part")
        assert "no such part" in asked("claim", entries=log.entries, part="elsewhere")["error"]["message"]
