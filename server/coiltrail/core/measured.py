"""What entries keep of what a phone measured, and what the owner is told of it: the shake before and after the repair.

The samples themselves are not kept.
"""

import math

from . import canonical
from .tongue import phrase

SAME_SPEED = 0.08  # by which engine speeds may differ where shakes are compared. Estimate
SAME_SHARE = 0.05  # by which the half order's share differs. Estimate
SAME_SHAKE = 0.15  # by which two measurements of one engine differ. Estimate


def shake_body(told, rests):
    """The body of a ``shake_measured`` entry from what ``shake.recording`` said; None where motion showed nothing."""
    if told["rpm"] is None or told["shake"] is None:
        return None
    body = {
        "rpm": _rounded(told["rpm"], 1),
        "error": _rounded(told["deviation"], 1),
        "rests": rests,
        "with": told["with"],
        "seconds": _rounded(told["seconds"], 1),
    }
    body.update(_quantities(told))
    return body


def drop_body(before, during, answer):
    """What a drop test keeps: both speeds, and under ``measured`` how the phone came to them."""
    kept = {
        "with": during["with"],
        "seconds": _rounded(during["seconds"], 1),
        "error": _rounded(100.0 * answer["deviation"], 2),
    }
    if answer["finding"]:
        kept.update({"proposed": answer["finding"], "sure": _rounded(100.0 * answer["sure"], 0)})
    kept.update(_quantities(during))
    return {
        "rpm_before": _rounded(before["rpm"], 1),
        "rpm_during": _rounded(during["rpm"], 1),
        "measured": kept,
    }


def _quantities(told):
    """Shake and half order of a recording as quantities, as far as they were measured."""
    found = {}
    if told["shake"] is not None:
        found["shake"] = _quantity(told["shake"], 1.0, 2, "m/s²")
    if told["half_order"] is not None:
        found["half_order"] = _quantity(told["half_order"]["share"], 0.01, 0, "%")
    return found


def _quantity(si, factor, places, unit):
    return {"si": _rounded(si, 4), "typed": canonical.fixed(si / factor, places), "unit": unit}


def _rounded(value, places):
    return float(canonical.fixed(value, places))


def before_and_after(case):
    """``{"text", "before", "after"}`` in m/s²: the last shake before the first repair, the last after the last one.

    None unless both were measured by the same phone in the same place at about the same engine speed.
    """
    repairs = [moment for moment, _ in case.repairs()]
    measured = [pair for pair in case.of_kind("shake_measured") if (pair[1]["body"].get("shake") or {}).get("si")]
    earlier = [entry for moment, entry in measured if repairs and moment < repairs[0]]
    later = [entry for moment, entry in measured if repairs and moment > repairs[-1]]
    if not earlier or not later:
        return None
    first, last = earlier[-1], later[-1]
    one, other = first["body"], last["body"]
    if first["device"] != last["device"] or one["rests"] != other["rests"] or not _alike(one["rpm"], other["rpm"]):
        return None
    before, after = one["shake"]["si"], other["shake"]["si"]
    text = _compared(before, after, other["rpm"])
    shares = [(body.get("half_order") or {}).get("si") for body in (one, other)]
    if None not in shares and abs(shares[0] - shares[1]) >= SAME_SHARE:
        shown = [canonical.fixed(100.0 * share, 0) for share in shares]
        text += " " + phrase(
            "The beat of a weak cylinder was {before} % of it and is {after} % now.", before=shown[0], after=shown[1]
        )
    return {"text": text, "before": before, "after": after}


def _alike(one, other):
    return one > 0.0 and other > 0.0 and abs(math.log(one / other)) <= SAME_SPEED


def _compared(before, after, rpm):
    values = {
        "before": canonical.fixed(before, 2),
        "after": canonical.fixed(after, 2),
        "rpm": canonical.fixed(rpm, 0),
        "percent": canonical.fixed(100.0 * abs(1.0 - after / before), 0),
    }
    if after < (1.0 - SAME_SHAKE) * before:
        return phrase("At idle ({rpm} rpm) the engine shakes {percent} % less than before the repair.", **values)
    if after > (1.0 + SAME_SHAKE) * before:
        return phrase("At idle ({rpm} rpm) the engine shakes {percent} % more than before the repair.", **values)
    return phrase("At idle ({rpm} rpm) the engine shakes as much as before the repair.", **values)
