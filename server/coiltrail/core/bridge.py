"""What a page may ask of the core: ``answer(name, arguments_json) -> json``.

The one door through which the phone's worker and the command line reach the core, so that both get the
same bytes. It raises nothing: an error comes back as ``{"error": {"message": ...}}``.

What a view needs is read at once, the rest by the question that needs it: a phone takes half a second to read
all of the core, and the screen of a case waits for the view. ``read_ahead`` reads the rest in spare time.
"""

import json

from . import canonical, casefile, codes, engine, entries, grading, meant, measures, money, tags, torque
from .gradually import finish
from .tongue import phrase


def answer(name, arguments_json):
    """Answer one question; ``name`` is a key of ``QUESTIONS``. Returns JSON text."""
    return finish(_answering(name, arguments_json))


def begin(name, arguments_json):
    """Begin to answer a question in small steps; ``advance()`` takes them. What was begun before is given up."""
    _begun[0] = _answering(name, arguments_json)


def advance():
    """Take one step of what was begun. Returns "" while there is more to do, then the JSON text."""
    try:
        next(_begun[0])
    except StopIteration as done:
        return done.value
    return ""


_begun = [None]

# Modules of the questions that take longer, those of the diagnosis first.
LATER = (
    "explanations",
    "verification",
    "costs",
    "advice",
    "replacement",
    "trust",
    "report",
    "closing",
    "claim",
    "learning",
    "shake",
    "measured_drop",
    "measured",
    "vin",
)


def read_ahead():
    """Read all of the core, one module a step, for whoever has time now."""
    for name in LATER:
        __import__("coiltrail.core." + name)
        yield


def _answering(name, arguments_json):
    ask = QUESTIONS.get(name)
    if ask is None:
        return _error(phrase("The core knows no question '{name}'.", name=name))
    try:
        arguments = json.loads(arguments_json)
        measures.choose(arguments.get("units") or {})
        answer = ask(arguments)
        if hasattr(answer, "send"):  # a computation in steps
            answer = yield from answer
        return canonical.dumps(answer)
    except ValueError as problem:
        return _error(str(problem))
    except KeyError as missing:
        return _error(phrase("The question '{name}' lacks {missing}.", name=name, missing=missing))


def _error(message):
    return canonical.dumps({"error": {"message": message}})


def _view(arguments):
    return casefile.view(casefile.fold(arguments["entries"]))


def _grade(arguments):
    """What a reading that is being typed comes to: the finding it stands for, or None, and why."""
    case = casefile.fold(arguments["entries"])
    body = arguments["body"]
    if entries.understood({"kind": "check", "body": body}) == "nothing":
        return {"finding": None, "text": ""}
    doubts = meant.doubts(body)
    if doubts:  # what can hardly be meant comes to nothing
        return {"finding": None, "text": doubts[0]["text"]}
    for problem in entries.body_rules("check", body):
        if problem["field"] == "limits":
            return {"finding": None, "text": problem["message"]}
    finding, why = grading.grade(case, {"id": "", "body": body})
    return {"finding": finding, "text": why}


def _meant(arguments):
    """What speaks against a reading that is to be recorded, and with ``entries`` against the finding beside it."""
    body = arguments["body"]
    doubts = meant.doubts(body)
    if not doubts and body.get("finding") and arguments.get("entries"):
        doubts = meant.contradiction(casefile.fold(arguments["entries"]), body)
    return {"doubts": doubts}


def _diagnosis(arguments):
    from . import advice, replacement, verification

    case = casefile.fold(arguments["entries"])
    found = yield from _diagnosed(case)
    fixed = yield from verification.fixing(case, found)
    spent = _costs(case, arguments)
    steps = yield from advice.stepping(found, fixed, spent)
    return {
        "components": found.components(),
        "explanations": found.explanations(),
        "named": found.named(),
        "rest": found.rest,
        "thinned": found.posterior.limit > 0.0,
        "cylinders": found.cylinders(),
        "steps": steps,
        "fixed": fixed,
        "codes_after": verification.codes_after(case),
        "replacement": replacement.one_or_set(found, spent, arguments.get("horizon_months")),
        "contradictions": found.contradictions(),
    }


def _why(arguments):
    found = yield from _diagnosed(casefile.fold(arguments["entries"]))
    return (yield from found.why(arguments["index"]))


def _report(arguments):
    from . import report, verification

    case = casefile.fold(arguments["entries"])
    told = report.told_at_closing(case) or arguments.get("diagnosis")
    if told is None:
        found = yield from _diagnosed(case)
        told = {"explanations": found.explanations(), "fixed": (yield from verification.fixing(case, found))}
    return report.report(case, told)


def _closing(arguments):
    from . import closing, left_over

    case, later = casefile.fold(arguments["entries"]), arguments.get("later") or []
    tools = arguments.get("tools")
    reader = tools is None or "code_reader" in tools or "scan_tool" in tools
    return {
        "lines": closing.checklist(case, arguments.get("diagnosis"), later, reader),
        "left": [left_over.meaning(row) for row in later],
    }


def _claim(arguments):
    from . import claim

    return claim.claim(casefile.fold(arguments["entries"]), arguments["part"])


def _totals(arguments):
    case = casefile.fold(arguments["entries"]) if arguments.get("entries") else None
    return money.checked(case, arguments["priced"])


def _deeper_advice(arguments):
    from . import advice, verification

    case = casefile.fold(arguments["entries"])
    found = yield from _diagnosed(case)
    fixed = yield from verification.fixing(case, found)
    return {"steps": (yield from advice.stepping(found, fixed, _costs(case, arguments), advice.DEEPER_WIDTH))}


def _trust(arguments):
    from . import trust

    found = yield from _diagnosed(casefile.fold(arguments["entries"]))
    return (yield from trust.trusting(found))


def _learned(arguments):
    from . import learning

    by_case = {}
    for entry in arguments["entries"]:
        by_case.setdefault(entry["case"], []).append(entry)
    cases = []
    for case in sorted(by_case):
        cases.append(casefile.fold(by_case[case]))
        yield
    return learning.learned(cases)


def _costs(case, arguments):
    from . import costs

    return costs.Costs(case, arguments.get("tools"), arguments.get("prices"), arguments.get("labour_rate"))


def _diagnosed(case):
    from . import explanations

    found = explanations.Diagnosis(case, later=True)
    yield from found.diagnosing()
    return found


def _shake(arguments):
    """All cylinders connected: the speed, the shake, and the entry that keeps them."""
    from . import measured, shake

    near = arguments.get("rpm")
    around = ((1.0 - shake.TYPED_WITHIN) * near, (1.0 + shake.TYPED_WITHIN) * near) if near else None
    told = yield from shake.recording(arguments["samples"], arguments["cylinders"], around)
    told["body"] = measured.shake_body(told, arguments["rests"])
    return told


def _measured_drop(arguments):
    from . import measured_drop

    given = arguments["before"], arguments["samples"], arguments["cylinders"], arguments.get("age") or 0.0
    return (yield from measured_drop.compared(*given))


def _engine(arguments):
    problems = engine.layout_problems(
        arguments.get("cylinders"),
        arguments.get("layout") or "inline",
        arguments.get("ignition") or "coil_on_plug",
        arguments.get("firing_order"),
    )
    if problems:
        return {"problems": problems}
    laid_out = engine.Engine(
        arguments["cylinders"],
        arguments.get("layout") or "inline",
        arguments.get("ignition") or "coil_on_plug",
        arguments.get("numbering"),
        arguments.get("firing_order"),
    )
    return {"engine": laid_out.as_dict(), "problems": []}


def _check_vin(arguments):
    from . import vin

    return vin.check_vin(arguments["vin"])


QUESTIONS = {
    "view": _view,
    "grade": _grade,
    "diagnosis": _diagnosis,
    "deeper_advice": _deeper_advice,
    "trust": _trust,
    "learned": _learned,
    "why": _why,
    "report": _report,
    "claim": _claim,
    "closing": _closing,
    "totals": _totals,
    "shake": _shake,
    "measured_drop": _measured_drop,
    "meant": _meant,
    "torque": lambda arguments: {
        "doubt": torque.doubt(arguments["body"]),
        "span": torque.span(arguments["body"], arguments.get("unit", "N·m")),
    },
    "terms": lambda arguments: {"terms": money.terms(arguments["entries"])},
    "engine": _engine,
    "find_codes": lambda arguments: codes.find_codes(arguments["text"]),
    "explain_code": lambda arguments: codes.explain(
        arguments["code"], arguments.get("beside") or (), arguments.get("cylinders")
    ),
    "likely_code": lambda arguments: {"code": codes.likely(arguments["text"])},
    "check_vin": _check_vin,
    "new_tag": lambda arguments: {"code": tags.new_tag(bytes.fromhex(arguments["random"]))},
    "check_tag": lambda arguments: tags.check_tag(arguments["text"]),
    "check_body": lambda arguments: {"problems": entries.body_rules(arguments["kind"], arguments["body"])},
}
