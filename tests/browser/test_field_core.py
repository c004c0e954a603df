"""The core asked from a page: the same answers as on CPython, and a worker that may crash or hang."""

import json

import pytest

from coiltrail import bytecode
from coiltrail.core import bridge
from coiltrail.shell import core_pack

from .cases import CASE_OPENED
from .conftest import run
from .test_field_log import OPEN_CASE

QUESTIONS = [
    ("engine", {"cylinders": 6, "layout": "vee", "ignition": "waste_spark"}),
    ("engine", {"cylinders": 40}),
    ("find_codes", {"text": "P0303 and P0171, and a word: grüße"}),
    ("check_tag", {"text": "not a tag"}),
    ("no such question", {}),
    ("check_body", {"kind": "check", "body": {"check": "voltage"}}),
]

# Stands for the core where it must misbehave.
MISBEHAVING = """
import json
asked = []
at_hand = None
def read_ahead():
    return iter(())
def begin(name, arguments):
    global at_hand
    asked.append(name)
    at_hand = name, arguments
def advance():
    name, arguments = at_hand
    if name == 'long' and asked.count('long') < 2:
        return ''
    if name == 'hang':
        while True: pass
    if name == 'crash':
        raise MemoryError('no more room')
    return json.dumps({'asked': asked, 'given': json.loads(arguments)})
"""


@pytest.fixture
def misbehaving(phone, page):
    files = bytecode.modules() | {"bridge.py": MISBEHAVING.encode()}  # the source goes before the bytecode
    phone.route("**/core.pack", lambda route: route.fulfill(body=core_pack(files)))
    return page


@pytest.mark.parametrize(("name", "arguments"), QUESTIONS)
def test_the_worker_answers_as_cpython_does(page, name, arguments):
    assert run(page, "core.ask(arg[0], arg[1])", [name, arguments]) == json.loads(
        bridge.answer(name, json.dumps(arguments))
    )


def test_a_case_recorded_here_means_the_same_on_both_sides(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    findings = [
        ("codes_read", {"codes": [{"code": "P0303", "status": "stored"}]}),
        ("check", {"check": "drop", "cylinder": 3, "finding": "none"}),
        ("check", {"check": "connector_look", "place": "coil.3", "finding": "good"}),
        ("parts_moved", {"moves": [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]}),
    ]
    record = "log.recordAll(arg[1].map(([kind, body]) => ({case: arg[0], kind, body})))"
    run(signed_in, record, [case, findings])
    entries = run(signed_in, "log.entriesOf(arg)", case)
    assert len(entries) == 5
    for name in ("view", "diagnosis", "report"):
        answer = run(signed_in, "core.ask(arg[0], {entries: arg[1]})", [name, entries])
        assert "error" not in answer
        assert answer == json.loads(bridge.answer(name, json.dumps({"entries": entries})))


def test_the_runtime_starts_under_the_policy_of_the_page(page):
    policy = page.request.get("/").headers["content-security-policy"]
    assert "'wasm-unsafe-eval'" in policy and "'unsafe-eval'" not in policy
    assert run(page, "core.ask('engine', {cylinders: 4})")["engine"]["cylinders"] == 4


def test_the_urgent_comes_first_and_the_superseded_is_not_asked(misbehaving):
    asks = """Promise.all([
        core.ask('first'),
        core.ask('later'),
        core.ask('old view', {}, {topic: 'view'}),
        core.ask('new view', {}, {topic: 'view'}),
        core.ask('urgent', {}, {priority: 1}),
    ])"""
    first, later, old, new, urgent = run(misbehaving, asks)
    assert first["asked"] == ["first"]
    assert urgent["asked"] == ["first", "urgent"]
    assert later["asked"] == ["first", "urgent", "later"]
    assert new["asked"] == ["first", "urgent", "later", "new view"]
    assert old["error"]["code"] == "superseded"


def test_a_long_thought_gives_way_and_is_begun_anew(misbehaving):
    run(misbehaving, "core.ask('warm up')")
    asks = """Promise.all([
        core.ask('long', {}, {priority: -1}),
        new Promise((resolve) => setTimeout(resolve, 500)).then(() => core.ask('tapped')),
    ])"""
    long, tapped = run(misbehaving, asks)
    assert tapped["asked"] == ["warm up", "long", "tapped"]
    assert long["asked"] == ["warm up", "long", "tapped", "long"]


def test_a_long_thought_is_given_before_the_short_answer_is_there_and_still_gives_way(misbehaving):
    run(misbehaving, "core.ask('warm up')")
    given = """(async () => {
        const given = [];
        const { postMessage } = Worker.prototype;
        Worker.prototype.postMessage = function (message) {
            given.push(message.name ?? 'give up');
            postMessage.call(this, message);
        };
        const asks = arg.map(([name, priority]) => core.ask(name, {}, { priority, topic: name }));
        const atOnce = [...given];
        const answers = await Promise.all(asks);
        Worker.prototype.postMessage = postMessage;
        return { atOnce, given, answers };
    })()"""
    told = run(misbehaving, given, [["view", 2], ["thought", -1]])
    assert told["atOnce"] == ["view", "thought"]
    assert told["answers"][1]["asked"] == ["warm up", "view", "thought"]
    told = run(misbehaving, given, [["view", 2], ["thought", -1], ["tapped", 3]])
    assert told["given"] == ["view", "thought", "give up", "tapped", "thought"]
    assert told["answers"][1]["asked"][3:] == ["view", "tapped", "thought"]
    told = run(misbehaving, given, [["view", 2], ["thought", -1], ["thought", -1], ["deeper", -2]])
    assert told["answers"][1]["error"]["code"] == "superseded"
    assert [answer.get("asked", [])[6:] for answer in told["answers"]] == [
        ["view"],
        [],
        ["view", "thought"],
        ["view", "thought", "deeper"],
    ]


def test_a_long_thought_that_was_given_is_asked_anew_when_the_worker_crashes_before_it(misbehaving):
    asks = "Promise.all([core.ask('crash', {}, {priority: 2}), core.ask('thought', {}, {priority: -1})])"
    crashed, thought = run(misbehaving, asks)
    assert crashed["error"]["code"] == "crashed"
    assert thought["asked"] == ["thought"]


def test_a_newer_question_of_the_same_topic_ends_a_long_thought(misbehaving):
    asks = """Promise.all([
        core.ask('long', {}, arg),
        new Promise((resolve) => setTimeout(resolve, 500)).then(() => core.ask('long', {}, arg)),
    ])"""
    older, newer = run(misbehaving, asks, {"priority": -1, "topic": "thought"})
    assert older["error"]["code"] == "superseded"
    assert newer["asked"] == ["long", "long"]


def test_a_crash_is_an_answer_and_the_next_ask_starts_anew(misbehaving):
    crashed, after = run(misbehaving, "Promise.all([core.ask('crash'), core.ask('after')])")
    assert crashed["error"]["code"] == "crashed" and crashed["error"]["message"]
    assert after["asked"] == ["after"]


def test_a_hanging_worker_is_ended_and_the_next_ask_starts_anew(misbehaving):
    run(misbehaving, "core.ask('warm up')")
    misbehaving.clock.install()
    begin = "Promise.resolve().then(() => { window.both = Promise.all([core.ask('hang'), core.ask('after')]); })"
    run(misbehaving, begin)
    # The worker says that it has begun; only then does the time for one answer run.
    for _ in range(30):
        misbehaving.wait_for_timeout(100)
        misbehaving.clock.fast_forward(3_000)
    hung, after = misbehaving.evaluate("() => window.both")
    assert hung["error"]["code"] == "timeout" and "safe" in hung["error"]["message"]
    assert after["asked"] == ["after"]


def test_without_the_core_the_answer_says_so(phone, page):
    phone.route("**/core.pack", lambda route: route.abort())
    assert run(page, "core.ask('engine', {cylinders: 4})")["error"]["code"] == "crashed"
    phone.unroute("**/core.pack")
    assert run(page, "core.ask('engine', {cylinders: 4})")["engine"]["cylinders"] == 4
