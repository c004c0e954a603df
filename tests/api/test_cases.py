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
