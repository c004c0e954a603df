"""A case in plain text: what ``coiltrail explain`` prints. What it says comes from the core alone."""

import json

from .core import bridge, engine, parts
from .trouble import Trouble


def explain(log: list[dict], *, as_json: bool = False) -> str:
    """What the log of one case means, as text for people or as the core's own JSON. Raises Trouble."""
    cases = sorted({entry["case"] for entry in log})
    if len(cases) > 1:
        raise Trouble(f"This log holds {len(cases)} cases ({', '.join(cases[:3])} ...): give one case at a time.")
    arguments = json.dumps({"entries": log})
    view, diagnosis = (bridge.answer(question, arguments) for question in ("view", "diagnosis"))
    seen, found = _or_trouble(view), _or_trouble(diagnosis)
    if as_json:
        return f'{{"diagnosis":{diagnosis},"view":{view}}}\n'  # byte for byte what the phone gets
    why = json.loads(bridge.answer("why", json.dumps({"entries": log, "index": 0}))) if found["explanations"] else {}
    blocks = [
        _case(seen),
        _log(seen["timeline"]),
        _explanations(found, _numbers(seen)),
        _weights(why, _numbers(seen)),
        _components(found["components"]),
        _steps(found["steps"]),
        _questions(seen["questions"]),
        _fixed(found["fixed"]),
        _contradictions(found["contradictions"], _numbers(seen)),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _or_trouble(answer):
    found = json.loads(answer)
    if "error" in found:
        raise Trouble(f"This log cannot be explained: {found['error']['message']}")
    return found


def _numbers(view):
    """Entry id -> its number in the printed log."""
    return {row["id"]: number for number, row in enumerate(view["timeline"], 1)}


def _case(view):
    laid_out = view["engine"]
    layout, ignition = dict(engine.LAYOUTS)[laid_out["layout"]], dict(engine.IGNITIONS)[laid_out["ignition"]]
    order = "-".join(map(str, laid_out["firing_order"]))
    return [
        f"{view['title']}, case {view['case']}, {view['status']}",
        f"Engine: {laid_out['cylinders']} cylinders. {layout}. {ignition}. Firing order {order}.",
    ]


def _log(timeline):
    lines = ["Log"]
    for number, row in enumerate(timeline, 1):
        struck = "struck out: " if row["struck"] else ""
        lines.append(f"{number:5}  {row['label']}: {struck}{_one_line(row['text'])}")
        if row["note"]:
            lines.append(f"       {_one_line(row['note'])}")
    return lines


def _explanations(diagnosis, numbers):
    lines = ["Leading explanations"]
    for explanation in diagnosis["explanations"]:
        rests_on = _entries(explanation["entries"], numbers)
        lines.append(f"{_percent(explanation['p'])}  {explanation['label']}{rests_on and f' (entries {rests_on})'}")
    return [*lines, f"{_percent(diagnosis['rest'])}  anything else"]


def _weights(why, numbers):
    if not why.get("rows"):
        return []
    lines = [f"Weight of evidence for the first, against: {why['rival']} (decibans; 10 make it ten times as likely)"]
    lines.append(f"{why['prior']:+8.1f}  before any finding")
    for row in why["rows"]:
        lines.append(f"{row['decibans']:+8.1f}  {_one_line(row['text'])} (entry {numbers.get(row['entry'], '?')})")
    return [*lines, f"{why['total']:+8.1f}  in all"]


def _components(components):
    lines = ["Components, probability of a fault"]
    for component in components:
        states = [f"{state['label']} {_percent(state['p']).strip()}" for state in component["states"]]
        place = f", at {parts.place_label(component['place'])}" if component["place"] else ""
        lines.append(f"{_percent(component['fault'])}  {component['label']}{place}: {', '.join(states)}")
    return lines


def _steps(steps):
    lines = ["Next steps"] if steps else []
    for number, step in enumerate(steps, 1):
        lines.append(f"{number:5}. {step['title']} ({step['minutes']:g} min): {step['why']}")
        lines += [f"       - {line}" for line in step["how"]]
        if step["needs"]:
            lines.append(f"       Needs: {step['needs']}")
        if step["caution"]:
            lines.append(f"       Caution: {step['caution']}")
    return lines


def _questions(questions):
    return ["Open questions", *(f"       {question['text']}" for question in questions)] if questions else []


def _fixed(fixed):
    return [f"Fixed? {_percent(fixed['p']).strip()}: {fixed['text']}"] if fixed else []


def _contradictions(contradictions, numbers):
    lines = ["What does not fit together"] if contradictions else []
    for contradiction in contradictions:
        lines.append(f"       {contradiction['text']} (entries {_entries(contradiction['entries'], numbers)})")
    return lines


def _entries(ids, numbers):
    return ", ".join(str(number) for number in sorted(numbers[id_] for id_ in ids if id_ in numbers))


def _percent(p):
    return f"{100 * p:6.1f} %"


def _one_line(text):
    return " ".join(text.split())
