"""What a reading comes to: the finding it stands for, and why.

A finding that the mechanic gives always counts as given. Without one, a reading is graded against the maker's range
where that is written down, else against the other cylinders of the same round; what can be graded by neither says
nothing. Resistance of a winding is brought to 20 °C first, compression to sea level.

Origin of every limit here: "practice" is common practice without a source, "estimate" an estimate from memory.
"""

from . import canonical, entries, measures
from .tongue import joined, phrase

# A drop as a share of the engine speed before. Estimate: at idle one cylinder of four carries about 8 %, of eight
# about 4 %, before the idle control answers.
DROP_NONE_BELOW = 0.015
DROP_FULL_SHARE = 0.15  # of the even share 1/n

STRAY_MISFIRES = 3  # counts that a good engine shows too. Estimate
STRAY_SHARE = 0.05  # of the highest count of the round: its shaking is counted on the others. Estimate
MANY_MISFIRES = 50  # estimate

FRAME_IDLE = 1100.0  # revolutions a minute, standing, under which a freeze frame was taken at idle. Estimate
FRAME_LOAD_SPEED, FRAME_LOAD = 1800.0, 50.0  # revolutions, or per cent of load, from which it was under load. Estimate

WET_RISE = 0.15  # from which compression rises clearly with oil. Estimate
DEAD_COMPRESSION = 200000.0  # pascal, with which nothing burns. Estimate
OPEN_FACTOR = 20.0  # times the upper limit, from which a resistance is an open winding. Estimate
UNLIKE_OTHERS = 0.20  # of the middle of the other windings. Estimate
FAR_FROM_USUAL = 2.0  # times beyond what such windings usually have. Estimate
BALANCE_SPREAD = 10000.0  # pascal from the mean of the others. Practice
SUPPLY_NONE, SUPPLY_LOW = 1.0, 10.5  # volts at a coil connector. Practice
CHARGING = (12.5, 15.0)  # volts of the running engine, smart charging included. Estimate
TRIM_OUT = 10.0  # per cent, short and long together. Practice
TRIM_TURNS = 5.0  # per cent by which lean at idle and lean at speed differ. Estimate


def finding_of(case, entry):
    """The finding of a check as given, or graded from its reading; None where there is nothing to grade."""
    return entry["body"].get("finding") or grade(case, entry)[0]


def grade(case, entry):
    """``(finding, why)`` of what was read in a check, whatever finding was given: ``(None, why)`` where that is open.

    ``entry`` need not be in the log yet. ``why`` is a sentence for the mechanic, empty where nothing was read.
    """
    grader = _GRADERS.get(entry["body"].get("check"))
    return grader(case, entry) if grader else (None, "")


def misfires(count, most):
    """A misfire count as a finding; ``most``: the highest count of that round."""
    if count <= STRAY_MISFIRES or count < STRAY_SHARE * most:
        return "none"
    return "many" if count >= MANY_MISFIRES else "some"


def frame_condition(frame):
    """When a freeze frame was taken: "idle", "load", or None where it does not show."""
    rpm, load, speed = frame.get("rpm"), frame.get("load"), (frame.get("speed") or {}).get("si")
    if speed or (rpm or 0.0) >= FRAME_LOAD_SPEED or (load or 0.0) >= FRAME_LOAD:
        return "load"
    return "idle" if rpm and rpm < FRAME_IDLE else None


# How cylinders run


def _drop(case, entry):
    before, during = entry["body"].get("rpm_before"), entry["body"].get("rpm_during")
    if not before or during is None:
        return None, ""
    drop = (before - during) / before
    full = DROP_FULL_SHARE / case.engine.cylinders
    fell = {"rpm": canonical.fixed(before - during, 0), "percent": canonical.fixed(100.0 * drop, 1)}
    if drop <= 0.0:
        return "none", phrase("The engine speed did not fall: this cylinder does no work.")
    if drop < DROP_NONE_BELOW:
        text = "The engine speed fell by only {rpm} rpm ({percent} %), hardly anything: this cylinder does no work."
        return "none", phrase(text, **fell)
    if drop < full:
        text = (
            "The engine speed fell by {rpm} rpm ({percent} %): this cylinder works, but little; {full} % would be well."
        )
        return "small", phrase(text, full=canonical.fixed(100.0 * full, 1), **fell)
    return "full", phrase("The engine speed fell by {rpm} rpm ({percent} %): this cylinder works.", **fell)


def _counts(case, entry):
    count = entry["body"].get("count")
    if count is None:
        return None, ""
    most = max([body["count"] for body in _round(case, entry) if body.get("count") is not None] + [count])
    return misfires(count, most), phrase(
        "{count}, where the highest of all cylinders is {most}.", count=count, most=most
    )


# Electrics


def _winding(usual=None):
    """A grader of windings; ``usual``: what such windings have where no range is known, in ohms."""

    def graded(case, entry):
        if not _si(entry["body"]):
            return None, ""
        ohms = _at_twenty(entry["body"])
        shown = phrase("At 20 °C it is {ohms} Ω", ohms=_short(ohms))
        low, high = _limits(entry["body"])
        others = sorted([_at_twenty(body) for body in _others(case, entry) if _si(body)])
        if low is not None or high is not None:
            return _against(ohms, low, high), phrase("{shown}, against the range given.", shown=shown)
        if len(others) >= 2:
            middle = others[len(others) // 2]
            alike = _against(ohms, (1.0 - UNLIKE_OTHERS) * middle, (1.0 + UNLIKE_OTHERS) * middle)
            return alike, phrase("{shown}; the middle of the others is {middle} Ω.", shown=shown, middle=_short(middle))
        if usual:
            why = phrase(
                "{shown}; such windings mostly have {low} to {high} Ω.",
                shown=shown,
                low=_short(usual[0]),
                high=_short(usual[1]),
            )
            if usual[0] <= ohms <= usual[1]:
                return "in_range", why
            wide = usual[0] / FAR_FROM_USUAL, usual[1] * FAR_FROM_USUAL
            found = _against(ohms, wide[0], wide[1])
            return (None if found == "in_range" else found), why
        return None, phrase(
            "{shown}; give the maker's range, or measure all cylinders one after the other.", shown=shown
        )

    return graded


def _lead(case, entry):
    low, high = _limits(entry["body"])
    if not _si(entry["body"]):
        return None, ""
    if low is None and high is None:
        return None, phrase("Give the maker's range; of a lead it goes by the length.")
    return _against(_si(entry["body"]), low, high), phrase("Against the range given.")


def _against(ohms, low, high):
    verdict = measures.verdict(ohms, low, high)
    if verdict == "above" and ohms > OPEN_FACTOR * high:
        return "open"
    return "in_range" if verdict == "within" else "out_of_range"


def _at_twenty(body):
    """Ohms of a winding brought to 20 °C, where it is known how warm it was."""
    kelvin = (body.get("temperature") or {}).get("si")
    return measures.resistance_at(_si(body), kelvin) if kelvin else _si(body)


def _supply(case, entry):
    volts = _si(entry["body"])
    if volts is None:
        return None, ""
    why = phrase("Under a small load at least {volts} V are wanted.", volts=_short(SUPPLY_LOW))
    return ("none" if volts < SUPPLY_NONE else "low" if volts < SUPPLY_LOW else "good"), why


def _voltage(case, entry):
    return _by_range(entry["body"], CHARGING, {"below": "low", "within": "good", "above": "too_high"}, "V")


# Plug and engine


def _gap(case, entry):
    words = {"below": "narrow", "within": "in_range", "above": "wide"}
    return _by_range(entry["body"], measures.PLUG_GAP, words, "mm")


def _fuel_pressure(case, entry):
    body = entry["body"]
    if _si(body) is not None and _limits(body) == (None, None):
        return None, phrase("Give the maker's range: pressures differ from engine to engine.")
    return _by_range(body, None, {"below": "low", "within": "in_range", "above": "high"}, "")


def _by_range(body, usual, words, unit):
    """A reading against the maker's range, or against the usual one where none is given."""
    si = _si(body)
    if si is None:
        return None, ""
    low, high = _limits(body)
    if low is not None or high is not None:
        return words[measures.verdict(si, low, high)], phrase("Against the range given.")
    shown = [_short(measures.from_si(limit, unit)) for limit in usual]
    return words[measures.verdict(si, usual[0], usual[1])], phrase(
        "No range given: the usual is {low} to {high} {unit}.", low=shown[0], high=shown[1], unit=unit
    )


def _compression(case, entry):
    """The worse of what the reading is against the best of the round, and, at sea level, against the range given."""
    body = entry["body"]
    pascal = _si(body)
    if pascal is None:
        return None, ""
    others = [_si(other) for other in _others(case, entry) if _si(other)]
    low = _limits(body)[0]
    found, why = [], []
    if others:
        best = max(others + [pascal])
        found.append(measures.compression_finding(pascal, best))
        why.append(phrase("{share} % of the best cylinder", share=canonical.fixed(100.0 * pascal / best, 0)))
    if low:
        level = _at_sea_level(case, pascal)
        found.append("none" if level < measures.NO_COMPRESSION_SHARE * low else "low" if level < low else "good")
        why.append(
            phrase(
                "{shown} at sea level, against the range given",
                shown=measures.shown(level, measures.chosen(body["reading"]["unit"])),
            )
        )
    if pascal < DEAD_COMPRESSION:
        found.append("none")
        why.append(phrase("so little that nothing burns"))
    if not found:
        return None, phrase("Measure the other cylinders too, or give the maker's least value.")
    worst = min(found, key=("none", "low", "good").index)
    return worst, phrase("It is {why}.", why="; ".join(why))


def _at_sea_level(case, pascal):
    altitude = (case.opened.get("altitude") or {}).get("si") or 0.0
    try:
        return measures.compression_at_sea_level(pascal, altitude)
    except ValueError:
        return pascal  # an altitude at which no car drives is a slip


def _wet(case, entry):
    body = entry["body"]
    if _si(body) is None:
        return None, ""
    dry = None
    for _, other in case.of_kind("check"):
        told = other["body"]
        if told["check"] == "compression" and told.get("cylinder") == body.get("cylinder") and _si(told):
            dry = _si(told)
    if dry is None:
        return None, phrase("Note what the gauge showed dry first.")
    rise = _si(body) / dry - 1.0
    why = phrase(
        "{rise} % more than dry; from {clear} % on it rises clearly.",
        rise=canonical.fixed(100.0 * rise, 0),
        clear=canonical.fixed(100.0 * WET_RISE, 0),
    )
    return ("rises" if rise >= WET_RISE else "same"), why


def _leak(case, entry):
    share = _si(entry["body"])
    if share is None:
        return None, ""
    found = measures.leak_finding(share)
    why = phrase(
        "Under {good} % is good, over {much} % is much.",
        good=canonical.fixed(100.0 * measures.LEAK_GOOD, 0),
        much=canonical.fixed(100.0 * measures.LEAK_BAD, 0),
    )
    return ("high" if found == "bad" else found), why


def _balance(case, entry):
    fall = _si(entry["body"])
    if fall is None:
        return None, ""
    others = [_si(body) for body in _others(case, entry) if _si(body) is not None]
    if len(others) < 2:
        return None, phrase("Measure all cylinders one after the other: injectors are compared with each other.")
    mean = sum(others) / len(others)
    found = "even" if abs(fall - mean) <= BALANCE_SPREAD else "less" if fall < mean else "more"
    unit = measures.chosen(entry["body"]["reading"]["unit"])
    return found, phrase("The others fall by {shown} on the whole.", shown=measures.shown(mean, unit))


def _trim(case, entry):
    body = entry["body"]
    idle, fast = _trims(body, "idle"), _trims(body, "fast")
    if idle is None and fast is None:
        return None, ""
    told = [(phrase("at idle"), idle), (phrase("at 2,500 rpm"), fast)]
    why = phrase(
        "Short and long together: {trims}. Beyond {out} % is out.",
        trims=", ".join(["%s %s" % (joined(_short(trim), "%"), where) for where, trim in told if trim is not None]),
        out=_short(TRIM_OUT),
    )
    if min([trim for _, trim in told if trim is not None]) <= -TRIM_OUT:
        return "rich", why
    if idle is None or fast is None:
        return None, why + " " + phrase("Read at idle and at 2,500 rpm.")
    if max(idle, fast) < TRIM_OUT:
        return "normal", why
    if idle - fast >= TRIM_TURNS:
        return "lean_idle", why
    return ("lean_load" if fast - idle >= TRIM_TURNS else "lean_both"), why


def _trims(body, when):
    read = [body.get("%s_trim_%s" % (which, when)) for which in ("short", "long")]
    read = [trim for trim in read if trim is not None]
    return sum(read) if read else None


# What is read


def _si(body):
    return (body.get("reading") or {}).get("si")


def _limits(body):
    """The range given with a reading, as (low, high) in SI; None for a side that is open or not understood."""
    if not body.get("limits"):
        return None, None
    read = entries.limits_of(body)
    return read.get("low"), read.get("high")


def _round(case, entry):
    """Bodies of the latest of this check on each thing in the same round, without that of ``entry`` itself."""
    body = entry["body"]
    latest = {}
    for _, other in case.of_kind("check"):
        told = other["body"]
        if other["id"] != entry["id"] and told["check"] == body["check"] and told.get("round") == body.get("round"):
            latest[(told.get("place") or "", told.get("cylinder") or 0)] = told
    return [latest[key] for key in sorted(latest)]


def _others(case, entry):
    """Those of the same round on other things."""
    here = entry["body"].get("place"), entry["body"].get("cylinder")
    return [body for body in _round(case, entry) if (body.get("place"), body.get("cylinder")) != here]


def _short(value):
    """A number with no more places than it needs."""
    places = 0 if abs(value) >= 100.0 else 1 if abs(value) >= 10.0 else 2
    text = canonical.fixed(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


_GRADERS = {
    "drop": _drop,
    "misfire_counts": _counts,
    "boot_resistance": _lead,
    "plug_gap": _gap,
    "coil_supply": _supply,
    "coil_primary": _winding(measures.COIL_PRIMARY),
    "coil_secondary": _winding(measures.COIL_SECONDARY),
    "injector_resistance": _winding(),
    "injector_balance": _balance,
    "compression": _compression,
    "compression_wet": _wet,
    "leak_down": _leak,
    "fuel_trim": _trim,
    "fuel_pressure": _fuel_pressure,
    "voltage": _voltage,
}
