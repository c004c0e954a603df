"""The drop test as a phone measures it: the engine with all cylinders against the engine with one disabled.

A cylinder that pulls is missed: the speed falls, or, where the idle control makes up for it, the shaking changes, for
now one cylinder of the cycle is missing. A cylinder that is dead changes neither. So "no change" is proposed only where
the speed stayed and what the engine shakes by below its firing stayed as it was; where that shaking is not seen, speed
alone cannot tell a dead cylinder from a control that holds the speed. What is proposed is an aid: the ear and the
counters overrule it.
"""

import math

from . import canonical, checks, measured, shake
from .grading import DROP_FULL_SHARE, DROP_NONE_BELOW
from .tongue import phrase

SURE = 0.90  # probability from which a finding is proposed
CERTAIN = 0.99  # more is never claimed
LEAST, MOST = 0.60, 1.08  # of the speed before, between which the speed with one disabled is looked for. Estimate
FASTER = 0.02  # by which an engine that lost a cylinder is not to run faster. Estimate
AGING = 0.002  # by which a warm idle moves by itself in a minute, growing with the root of the time. Estimate
TOO_OLD = 600.0  # seconds after which all cylinders are to be measured again. Estimate
STEADY = {"motion": 0.15, "sound": 0.25}  # of an amplitude, by which it differs when measured again. Estimate
CHANGED = 0.6  # of it, by which it differs where another cylinder is missing. Estimate


def compared(before, given, cylinders, age=0.0):
    """What the engine with one cylinder disabled shows against ``before``, in steps (a generator).

    ``before``: what ``shake.recording`` said of all cylinders, ``age`` seconds ago; ``given``: the samples with one
    disabled. Gives ``{"finding", "sure", "drop", "deviation", "text", "trouble", "body"}``: ``finding`` None where it
    cannot be told; ``drop`` and its standard error as shares of the speed; ``body``: what an entry keeps, or None.
    """
    if cylinders == 1:
        return _told(None, None, phrase("An engine of one cylinder stops without it."))
    if not before.get("rpm"):
        return _told(None, None, phrase("Measure with all cylinders first."))
    if age > TOO_OLD:
        return _told(None, None, phrase("All cylinders were measured too long ago: measure them again."))
    limits = (LEAST * before["rpm"], MOST * before["rpm"])
    during = yield from shake.recording(given, cylinders, limits)
    if during["rpm"] is None:
        return _told(None, None, during["text"], trouble=during["trouble"])
    drop = 1.0 - during["rpm"] / before["rpm"]
    aging = AGING * math.sqrt(age / 60.0)
    error = math.sqrt((before["deviation"] ** 2 + during["deviation"] ** 2) / before["rpm"] ** 2 + aging**2)
    finding, sure, text = _judged(drop, error, same_shake(before, during), cylinders)
    answer = _told(finding, sure, text, drop, error, during["trouble"])
    answer["body"] = measured.drop_body(before, during, answer)
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
        spread = error_was**2 + error_now**2 + (STEADY[sense] * larger) ** 2
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
    if drop + FASTER < -2.0 * error:
        return _open(_faster(drop))
    if stays <= 1.0 - SURE:
        if max(full, small) < SURE:
            return _open(_somehow_slower(drop, 1.0 - stays))
        words = phrase("About {percent} % slower.", percent=_size(drop))
        return "full" if full >= small else "small", max(full, small), words
    if stays < SURE:
        return _open(_too_near(drop, error))
    if stays * same >= SURE:
        return "none", stays * same, phrase("Neither speed nor shake changed.")
    return _open(_held(1.0 - same) if same <= 1.0 - SURE else _too_faint())


def _open(words):
    return None, None, words


def _faster(drop):
    return phrase(
        "Cannot tell: it runs {percent} % faster than with all cylinders, so something else changed. "
        "Measure all cylinders again.",
        percent=_size(drop),
    )


def _somehow_slower(drop, sure):
    return phrase(
        "About {percent} % slower: it is not dead ({sure} %). Small or full drop cannot be told: go by ear.",
        percent=_size(drop),
        sure=_percent(sure),
    )


def _too_near(drop, error):
    return phrase(
        "Cannot tell: the speed changed by {percent} %, give or take {error}. Measure again, or go by ear.",
        percent=_size(drop),
        error=canonical.fixed(200.0 * error, 1),
    )


def _held(sure):
    return phrase(
        "The idle control holds the speed, but the shake changed: it is not dead ({sure} %). "
        "Small or full drop cannot be told: go by ear.",
        sure=_percent(sure),
    )


def _too_faint():
    return phrase(
        "Cannot tell: the speed stayed, and the half order is too faint to show whether the idle control holds it. "
        "Go by ear."
    )


def _told(finding, sure, text, drop=None, error=None, trouble=()):
    if finding:
        sure = min(CERTAIN, sure)
        text += " " + phrase(
            "{finding} ({sure} %).", finding=phrase(checks.finding_label("drop", finding)), sure=_percent(sure)
        )
    return {
        "finding": finding,
        "sure": sure,
        "drop": drop,
        "deviation": error,
        "text": text,
        "trouble": list(trouble),
        "body": None,
    }


def _percent(share):
    return canonical.fixed(100.0 * min(CERTAIN, share), 0)


def _size(drop):
    return canonical.fixed(100.0 * abs(drop), 0 if abs(drop) >= 0.05 else 1)


def _normal(z):
    """The share of a normal distribution below ``z`` standard deviations."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))
