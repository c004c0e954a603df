"""A case's log as a file."""

import json

import pytest

from coiltrail.store.clock import uuid7

from .error_shape import assert_error


def test_the_log_has_every_entry_as_it_was_received(phone):
    case = uuid7()
    entries = [phone.case_opened(case), phone.entry(case=case), phone.entry("from_the_future", {"x": "é"}, case=case)]
    phone.sync(*entries, phone.entry())
    response = phone.client.get(f"/api/cases/{case}/log.jsonl")
    assert [json.loads(line) for line in response.text.splitlines()] == entries
    assert response.text.endswith("}\n")


@pytest.mark.parametrize("case", ["01a2120b-3634-7ac4-97b7-2ee48529c9fd", "x", "%", "%00"])
def test_a_case_that_is_not_there(phone, case):
    assert_error(phone.client.get(f"/api/cases/{case}/log.jsonl"), 404, "not_found")


def test_a_phone_that_does_not_hold_a_case_gets_it_whole(phone):
    case = uuid7()
    entries = [phone.case_opened(case), phone.entry(case=case)]
    phone.sync(*entries, phone.entry())
    assert phone.client.get(f"/api/cases/{case}/entries").json == {"entries": entries}
    assert_error(phone.client.get(f"/api/cases/{uuid7()}/entries"), 404, "not_found")


def test_cases_are_found_by_words_and_filters(phone):
    case = uuid7()
    phone.sync(phone.case_opened(case, vehicle={"plate": "FN 12", "make": "Larkfield"}), phone.case_opened(uuid7()))
    (found,) = phone.client.get("/api/cases?q=fn12&status=open").json["cases"]
    assert (found["case"], found["title"], found["plate"], found["status"]) == (case, "Larkfield", "FN 12", "open")
    assert phone.client.get("/api/cases?q=fn12&status=closed").json == {"cases": [], "cursor": None}
    assert len(phone.client.get(f"/api/cases?by={phone.by}&since=2020-01-01&until=2099-12-31").json["cases"]) == 2


@pytest.mark.parametrize(
    ("asked", "field", "what"),
    [
        ("q=" + "x" * 10_000, "q", "200 characters"),
        ("status=half", "status", "open or closed"),
        ("by=somebody", "by", "id of a person"),
        ("since=yesterday", "since", "2026-05-31"),
        ("until=0001-01-01", "until", "2026-05-31"),
        ("cursor=x", "cursor", "as answered"),
        ("cursor=99999999999999999999", "cursor", "as answered"),
    ],
)
def test_a_search_that_cannot_be_made_says_what_to_give(phone, asked, field, what):
    response = phone.client.get(f"/api/cases?{asked}")
    error = response.json["error"]
    assert response.status_code == 422 and error["field"] == field and what in error["message"], error


def test_cases_of_one_vehicle_know_of_each_other(phone):
    first, second = uuid7(), uuid7()
    phone.sync(
        *(phone.case_opened(case, vehicle={"plate": "SV-1"}) for case in (first, second)), phone.case_opened(uuid7())
    )
    for one, other in ((first, second), (second, first)):
        assert [row["case"] for row in phone.client.get(f"/api/cases/{one}/same-vehicle").json["cases"]] == [other]
    assert phone.client.get(f"/api/cases/{uuid7()}/same-vehicle").json == {"cases": []}


def test_calls_to_make_name_whom_to_call_and_why(phone):
    case = uuid7()
    left = {"cause": "Coil", "later": [{"code": "P0420", "text": "By autumn"}]}
    phone.sync(phone.case_opened(case, customer={"name": "Odile", "phone": "555-0142"}))
    phone.sync(phone.entry("case_closed", left, case=case))
    (call,) = phone.client.get("/api/cases/calls").json["calls"]
    assert (call["customer"], call["phone"], call["code"], call["text"]) == ("Odile", "555-0142", "P0420", "By autumn")
    phone.sync(phone.entry("answered", {"question": call["question"], "answer": "told"}, case=case))
    assert phone.client.get("/api/cases/calls").json == {"calls": []}


def test_a_car_that_should_not_be_driven_on_stays_a_call_until_it_is_seen_to(phone):
    case = uuid7()
    left = [{"what": "unrepaired", "why": "declined", "told": True}]
    phone.sync(
        phone.case_opened(case),
        phone.entry("complaint", {"symptoms": ["shakes"], "lamp": "flashing"}, case=case),
        phone.entry("case_closed", {"cause": "Compression", "later": left}, case=case),
    )
    for answer, calls in (("told", 1), ("done", 0)):
        (call,) = phone.client.get("/api/cases/calls").json["calls"]
        assert call["code"] is None and "should not be driven on" in call["meaning"]
        phone.sync(phone.entry("answered", {"question": call["question"], "answer": answer}, case=case))
        assert len(phone.client.get("/api/cases/calls").json["calls"]) == calls
