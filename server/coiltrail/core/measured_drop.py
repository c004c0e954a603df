"""The drop test as a phone measures it: the engine with all cylinders against the engine with one disabled.

A cylinder that pulls is missed: the speed falls, or, where the idle control makes up for it, the shaking changes, for
now one cylinder of the cycle is missing. A cylinder that is dead changes neither. So "no change" is proposed only where
the speed stayed and what the engine shakes by below its firing stayed as it was; where that shaking is not seen, speed
alone cannot tell a dead cylinder from a control that holds the speed. What is proposed is an aid: the ear and the
counters overrule it.
"""

import math

from . import canonical, checks, shake
from .grading import DROP_FULL_SHARE, DROP_NONE_BELOW
from .tongue import phrase

SURE = 0.90  # probability from which a finding is proposed
CERTAIN = 0.99  # more is never claimed
LEAST, MOST = 0.60, 1.08  # of the speed before, between which the speed with one disabled is looked for. Estimate
FASTER = 0.02  # by which an engine that lost a cylinder is not to run faster. Estimate
AGING = 0.002  # by which a warm idle moves by itself in a minute, growing with the root of the time. Estimate
TOO_OLD = 600.0  # seconds after which all cylinders are to be measured again. Estimate
STEADY = 0.12  # of an amplitude, by which it differs from one measurement to the next of the same. Estimate
CHANGED = 0.6  # of it, by which it differs where another cylinder is missing. Estimate


def compared(before, given, cylinders, age=0.0):
    """What the engine with one cylinder disabled shows against ``before``, in steps (a generator).

    ``before``: what ``shake.recording`` said of all cylinders, ``age`` seconds ago; ``given``: the samples with one
    disabled. Gives ``{"finding", "sure", "drop", "error", "text", "trouble", "body"}``: ``finding`` None where it cannot
    be told; ``drop`` and its standard error as shares of the speed; ``body``: what an entry keeps of it, or None.
    """
    if not before.get("rpm"):
        return _told(None, None, phrase("Measure with all cylinders first."))
    if age > TOO_OLD:
        return _told(None, None, phrase("The engine has changed since all cylinders were measured: measure them again."))
    limits = (LEAST * before["rpm"], MOST * before["rpm"])
    during = yield from shake.recording(given, cylinders, limits)
    if during["rpm"] is None:
        return _told(None, None, during["text"], trouble=during["trouble"])
    drop = 1.0 - during["rpm"] / before["rpm"]
    aging = AGING * math.sqrt(age / 60.0)
    error = math.sqrt((before["error"] ** 2 + during["error"] ** 2) / before["rpm"] ** 2 + aging**2)
    finding, sure, text = _judged(drop, error, same_shake(before, during), cylinders)
    answer = _told(finding, sure, text, drop, error, during["trouble"])
    answer["body"] = _body(before, during, answer)
    return answer


def same_shake(before, during):
    """The probability that no other cylinder is missing than before, by the harmonics below the firing; 0.5: not seen.

    Amplitudes of one state repeat themselves within ``STEADY``; another missing cylinder moves them by ``CHANGED``.
    """
    if before["with"] != during["with"]:
        return 0.5
    decisive = 0.0
    later = {(sense, k): (amplitude, error) for sense, k, amplitude, error in during["harmonics"]}
    for sense, k, was, error_was in before["harmonics"]:
        now, error_now = later.get((sense, k), (None, None))
        if now is None or max(was / error_was, now / error_now) < shake.SEEN:
            continue
        larger = max(was, now)
        spread = error_was**2 + error_now**2 + (STEADY * larger) ** 2
        wide = spread + (CHANGED * larger) ** 2
        moved = (now - was) ** 2
        decisive += 0.5 * (math.log(wide / spread) + moved / wide - moved / spread)
    return 1.0 / (1.0 + math.exp(min(50.0, max(-50.0, -decisive))))


def _judged(drop, error, same, cylinders):
    """(finding or None, its probability, in words)."""
    full_from = max(DROP_NONE_BELOW, DROP_FULL_SHARE / cylinders)
    stays = _normal((DROP_NONE_BELOW - drop) / error)
    full = 1.0 - _normal((full_from - drop) / error)
    small = 1.0 - stays - full
    percent = canonical.fixed(100.0 * abs(drop), 0 if abs(drop) >= 0.05 else 1)
    if drop + FASTER < -2.0 * error:
        return None, None, phrase(
            "Cannot tell: it runs {percent} % faster than with all cylinders, so something else changed. "
            "Measure all cylinders again.",
            percent=percent,
        )
    if stays <= 1.0 - SURE:
        if max(full, small) >= SURE:
            finding = "full" if full >= small else "small"
            return finding, max(full, small), phrase("About {percent} % slower.", percent=percent)
        return None, None, phrase(
            "About {percent} % slower: it is not dead ({sure} %). Small or full cannot be told: go by ear.",
            percent=percent,
            sure=_percent(1.0 - stays),
        )
    if stays >= SURE and stays * same >= SURE:
        return "none", stays * same, phrase("Neither speed nor shake changed.")
    if stays >= SURE and same <= 1.0 - SURE:
        return None, None, phrase(
            "The idle control holds the speed, but the shake changed: it is not dead ({sure} %). "
            "Small or full: go by ear.",
            sure=_percent(1.0 - same),
        )
    if stays >= SURE:
        return None, None, phrase(
            "Cannot tell: the speed stayed, and the half order is too faint to show whether the idle control holds it. "
            "Go by ear."
        )
    return None, None, phrase(
        "Cannot tell: the speed changed by {percent} %, give or take {error}. Measure again, or go by ear.",
        percent=canonical.fixed(100.0 * drop, 1),
        error=canonical.fixed(200.0 * error, 1),
    )


def _told(finding, sure, text, drop=None, error=None, trouble=()):
    if finding:
        text += " " + phrase(
            "{finding} ({sure} %).", finding=phrase(checks.finding_label("drop", finding)), sure=_percent(sure)
        )
    return {
        "finding": finding,
        "sure": sure,
        "drop": drop,
        "error": error,
        "text": text,
        "trouble": list(trouble),
        "body": None,
    }


def _body(before, during, answer):
    """What the entry keeps: both speeds, and under ``measured`` how the phone came to them."""
    measured = {
        "with": during["with"],
        "seconds": _rounded(during["seconds"], 1),
        "error": _rounded(100.0 * answer["error"], 2),
    }
    if answer["finding"]:
        measured.update({"proposed": answer["finding"], "sure": float(_percent(answer["sure"]))})
    measured.update(quantities(during))
    return {
        "rpm_before": _rounded(before["rpm"], 1),
        "rpm_during": _rounded(during["rpm"], 1),
        "measured": measured,
    }


def shake_body(told):
    """The body of a ``shake_measured`` entry from what ``shake.recording`` said; None where motion showed nothing."""
    if told["rpm"] is None or told["shake"] is None:
        return None
    body = {
        "rpm": _rounded(told["rpm"], 1),
        "error": _rounded(told["error"], 1),
        "with": told["with"],
        "seconds": _rounded(told["seconds"], 1),
    }
    body.update(quantities(told))
    return body


def quantities(told):
    """Shake and half order of a recording as quantities, as far as they were measured."""
    found = {}
    if told["shake"] is not None:
        found["shake"] = _quantity(told["shake"], 1.0, 2, "m/s²")
    if told["half_order"] is not None:
        found["half_order"] = _quantity(told["half_order"]["share"], 0.01, 0, "%")
    return found


def _quantity(si, factor, places, unit):
    typed = canonical.fixed(si / factor, places)
    return {"si": _rounded(si, 4), "typed": typed, "unit": unit}


def _rounded(value, places):
    return float(canonical.fixed(value, places))


def _percent(share):
    return canonical.fixed(100.0 * min(CERTAIN, share), 0)


def _normal(z):
    """The share of a normal distribution below ``z`` standard deviations."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))
