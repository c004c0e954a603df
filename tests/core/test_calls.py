"""Calls to make follow from what a closed case left for later, and go when somebody called."""

from coiltrail.core import calls, casefile
from demo_fixtures.logbook import Logbook


def closed():
    log = Logbook("calls")
    log.close("Coil", later={"P0420": "By autumn", "B1234": "Ask about the alarm"})
    return log


def asked(log):
    return [row["code"] for row in calls.calls(casefile.fold(log.entries))]


def test_an_open_case_asks_for_no_call():
    log = closed()
    log.reopen("Not fixed")
    assert asked(log) == []


def test_each_thing_left_is_a_call_with_its_meaning():
    first, second = calls.calls(casefile.fold(closed().entries))
    assert (first["code"], first["text"]) == ("P0420", "By autumn")
    assert "catal" in first["meaning"].lower()
    assert first["question"] != second["question"]


def test_an_answer_puts_a_call_away_and_nobody_reached_keeps_it():
    log = closed()
    first, second = calls.calls(casefile.fold(log.entries))
    told = log.answer(first["question"], "told")
    tried = log.answer(second["question"], "not_reached")
    (left,) = calls.calls(casefile.fold(log.entries))
    assert (left["code"], left["tried"]) == ("B1234", tried["at"][0])
    assert casefile.row_text(told) == "Told, they think it over"
    log.strike(told)
    assert asked(log) == ["P0420", "B1234"]


def test_a_case_closed_again_asks_anew():
    log = closed()
    for row in calls.calls(casefile.fold(log.entries)):
        log.answer(row["question"], "told")
    log.reopen("Came back")
    log.close("Plug", later={"P0420": "Still there"})
    assert asked(log) == ["P0420"]


def test_who_closes_again_sees_what_the_owner_knows_by_now():
    log = Logbook("closed again")
    log.codes("P0420", "P0442", "P0455")
    rows = [{"code": "P0420", "told": True}, {"code": "P0442"}, {"code": "P0455"}]
    log.add("case_closed", cause="Coil 1", later=rows)
    log.answer(calls.calls(casefile.fold(log.entries))[0]["question"], "told")
    log.reopen("Again")
    left = casefile.view(casefile.fold(log.entries))["left"]
    assert left == [{"code": "P0420", "told": True}, {"code": "P0442", "told": True}, {"code": "P0455"}]
