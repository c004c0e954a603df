"""What ``coiltrail explain`` prints is what the core found, no more and no less."""

import json

import pytest

from coiltrail import cli
from coiltrail.core import bridge
from coiltrail.explain_text import explain
from coiltrail.store.clock import uuid7
from coiltrail.trouble import Trouble
from demo_fixtures.stories import log_of

from .phone import Phone, lines

phone = Phone(None)


def ask(name, log, **more):
    return bridge.answer(name, json.dumps({"entries": log, **more}))


@pytest.fixture(scope="module")
def swapped():
    """Story 2: the miss followed the coil."""
    return log_of("2")


@pytest.fixture(scope="module")
def text(swapped):
    return explain(swapped)


def test_the_case_and_its_engine_stand_first(swapped, text):
    view = json.loads(ask("view", swapped))
    assert text.splitlines()[0] == f"{view['title']}, case {swapped[0]['case']}, open"
    assert text.splitlines()[1] == "Engine: 4 cylinders. In line. A coil on every plug. Firing order 1-3-4-2."


def test_every_entry_is_numbered_in_order(swapped, text):
    for number, row in enumerate(json.loads(ask("view", swapped))["timeline"], 1):
        assert f"{number:5}  {row['label']}: {row['text']}" in text


def test_every_component_stands_with_its_probability(swapped, text):
    components = json.loads(ask("diagnosis", swapped))["components"]
    assert len(components) > 40
    for component in components:
        assert f"{100 * component['fault']:6.1f} %  {component['label']}" in text
        for state in component["states"]:
            assert f"{state['label']} {100 * state['p']:.1f} %" in text


def test_explanations_stand_with_their_weight_and_the_rest(swapped, text):
    diagnosis = json.loads(ask("diagnosis", swapped))
    for explanation in diagnosis["explanations"]:
        assert f"{100 * explanation['p']:6.1f} %  {explanation['label']}" in text
    assert f"{100 * diagnosis['rest']:6.1f} %  anything else" in text
    why = json.loads(ask("why", swapped, index=0))
    assert f"{why['total']:+8.1f}  in all" in text


def test_next_steps_stand_with_reason_and_caution(swapped, text):
    steps = json.loads(ask("diagnosis", swapped))["steps"]
    assert steps
    for step in steps:
        assert f"{step['title']} ({step['minutes']:g} min): {step['why']}" in text
        assert not step["caution"] or f"Caution: {step['caution']}" in text


def test_json_is_the_cores_own_byte_for_byte(swapped):
    assert explain(swapped, as_json=True) == (
        f'{{"diagnosis":{ask("diagnosis", swapped)},"view":{ask("view", swapped)}}}\n'
    )


@pytest.mark.parametrize("key", ["1", "3", "4", "7", "8", "16"])
def test_other_stories_are_told_to_the_end(key):
    text = explain(log_of(key))
    assert "Leading explanations" in text and "Components" in text
    assert "\t" not in text and all(line == line.rstrip() for line in text.splitlines())


def test_what_was_struck_out_and_what_is_newer_is_marked(swapped):
    case = swapped[0]["case"]
    slip = phone.entry("note", {"text": "A slip"}, case=case)
    struck = phone.entry("struck", {"entry": slip["id"], "why": "Typed twice"}, case=case)
    newer = phone.entry("from_the_future", {"x": 1}, case=case)
    text = explain([*swapped, slip, struck, newer])
    assert "struck out: A slip" in text
    assert "Recorded by a newer version" in text


def test_two_cases_in_one_log_are_refused(swapped):
    with pytest.raises(Trouble, match="2 cases"):
        explain([*swapped, phone.entry()])


def test_a_log_without_its_beginning_is_refused():
    with pytest.raises(Trouble, match="no entry that opens it"):
        explain([phone.entry()])


def test_a_case_that_was_only_opened_is_explained_too():
    text = explain([phone.case_opened(uuid7())])
    assert "Components, probability of a fault" in text


def test_the_command_prints_it(tmp_path, capsys, swapped, text):
    path = tmp_path / "case.jsonl"
    path.write_text(lines(swapped), encoding="utf-8")
    assert cli.main(["explain", str(path)]) == 0
    assert capsys.readouterr().out == text
    assert cli.main(["explain", "--json", str(path)]) == 0
    assert json.loads(capsys.readouterr().out)["view"]["case"] == swapped[0]["case"]
