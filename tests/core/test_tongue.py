"""Phrases by a catalogue, and what was said in one language said again in another."""

import json

import pytest

from coiltrail import languages
from coiltrail.core import bridge, tongue
from demo_fixtures.logbook import Logbook


@pytest.fixture
def spanish():
    with languages.speaking("es"):
        yield


def ask(question, **arguments):
    return json.loads(bridge.answer(question, json.dumps(arguments)))


def test_a_phrase_stands_as_it_is_without_a_catalogue_and_without_values():
    assert tongue.phrase("{not} a place|to fill") == "{not} a place|to fill"
    assert tongue.phrase("{n} photo|{n} photos", n=1) == "1 photo"
    assert tongue.phrase("{n} photo|{n} photos", n=0) == "0 photos"


def test_a_phrase_in_another_language_orders_anew(spanish):
    assert tongue.phrase("{part} that came in at {position}", part=tongue.phrase("the coil"), position=3) == (
        "la bobina original del 3"
    )
    assert tongue.phrase("nothing that anybody translated") == "nothing that anybody translated"


def test_each_request_speaks_for_itself():
    with languages.speaking("es"):
        assert languages.spoken() == "es"
        with languages.speaking("en"):
            assert tongue.phrase("the coil") == "the coil"
        assert tongue.phrase("the coil") == "la bobina"
    assert tongue.phrase("the coil") == "the coil"
    assert languages.in_each(lambda: tongue.phrase("coil")) == {"en": "coil", "es": "bobina"}


def test_a_cause_taken_over_in_one_language_is_told_in_another(spanish):
    log = Logbook("told in two languages")
    log.drop({1: "none"})
    best = ask("diagnosis", entries=log.entries)["explanations"][0]
    log.replace("coil.1")
    log.drive(12)
    faults = [{key: fault[key] for key in ("component", "state", "gone")} for fault in best["faults"]]
    fixed = ask("diagnosis", entries=log.entries)["fixed"]
    kept = {"explanations": [{"label": best["label"], "p": best["p"], "faults": faults}], "fixed": fixed}
    log.close(best["label"], probabilities=kept)
    here = ask("report", entries=log.entries)
    with languages.speaking("en"):
        there = ask("report", entries=log.entries)
    assert here["cause"]["text"] == "La bobina de encendido falló (cilindro 1)."
    assert there["cause"]["text"] == "The ignition coil of cylinder 1 has failed."
    assert any(line.startswith("Manejamos 12 minutos") for line in here["proof"])
    assert any(line.startswith("We drove for 12 minutes") for line in there["proof"])


def test_a_cause_in_the_mechanics_own_words_stays(spanish):
    log = Logbook("own words")
    log.close("Mouse ate the loom", probabilities={"explanations": [{"label": "Coil 1", "p": 0.9}], "fixed": None})
    assert ask("report", entries=log.entries)["cause"]["text"] == "Mouse ate the loom"


@pytest.mark.parametrize(
    ("text", "values", "told"),
    [
        ("It holds with 95 %; {n} more for 99 %.", {"n": 3}, "It holds with 95\u00a0%; 3 more for 99\u00a0%."),
        ("{n} % load|{n} % load", {"n": 80}, "80\u00a0% load"),
        ("Hold 2,500 rpm for some seconds", {}, "Hold 2,500\u00a0rpm for some seconds"),
        ("about {n} in 100", {"n": 97}, "about 97 in 100"),
    ],
)
def test_no_line_parts_a_figure_from_its_unit(text, values, told):
    assert tongue.phrase(text, **values) == told
