"""What one recording of a running engine says: its speed, how much it shakes, and how much of that is the half order.

The half order is what repeats once a cycle, rpm / 120 times a second: what a single cylinder makes that pulls less than
the rest. Two of them half a cycle apart cancel it, so that a small one clears no engine with an even number of
cylinders; and of a single cylinder it is the firing itself. Words never say more.
"""

import math

from . import canonical, orders, sampling, spectrum
from .tongue import phrase

LEAST_HARMONICS = 4  # that are looked at, however few the cylinders
NOTABLE = 0.08  # of the shake: less half order has every engine. Estimate
SEEN = 3.0  # standard errors, from which a harmonic is there
TYPED_WITHIN = 0.12  # of a speed that was read from a tachometer


def recording(given, cylinders, around=None):
    """A recording in numbers and words, in steps (a generator).

    ``given``: ``{"motion", "sound"}`` as ``sampling`` has them. ``around``: (slowest, fastest) rpm where that is known.
    Gives ``{"rpm", "deviation", "shake", "half_order", "harmonics", "with", "seconds", "text", "trouble"}``: ``rpm``
    None where it cannot be told, which ``text`` explains; ``shake`` in m/s² (root mean square, above 3 Hz) and
    ``half_order`` ``{"share", "low", "high"}`` of it, None where motion does not show them; ``harmonics``: ``[sense, k,
    amplitude, error]`` of all that are shown; ``trouble``: a sentence for each sense that gave nothing.
    """
    motion, no_motion = sampling.motion_of(given.get("motion"))
    sound, no_sound = sampling.sound_of(given.get("sound"))
    told = {
        "rpm": None,
        "deviation": None,
        "shake": None,
        "half_order": None,
        "harmonics": [],
        "with": [name for name, sense in (("motion", motion), ("sound", sound)) if sense],
        "seconds": 0.0,
        "text": "",
        "trouble": [words for words in (no_motion, no_sound) if words],
    }
    senses = [sense for sense in (motion, sound) if sense]
    if not senses:
        told["text"] = phrase("Cannot tell: nothing was measured. Go by ear.")
        if _trouble_of(given, "sound") == "unasked":  # without motion there was nothing to listen for
            told["text"] = no_motion
            told["trouble"] = [phrase("Compare the misfire counters before and after the repair instead.")]
        return told
    windows = yield from _windows(motion, sound)
    told["seconds"] = max([sense.end - sense.start for sense in senses])
    speed, why = orders.speed_of(windows, cylinders, around)
    yield
    if speed is None:
        told["text"] = _cannot_tell(why, around)
        return told
    told["rpm"], told["deviation"] = speed.rpm, speed.error
    felt = [w.felt for w in windows if w.felt]
    told["harmonics"] = _harmonics("motion", felt, speed.rpm, cylinders)
    told["harmonics"] += _harmonics("sound", [w.heard for w in windows if w.heard], speed.rpm, cylinders)
    if felt:
        told["shake"] = math.sqrt(sum([one.mean_square() for one in felt]) / len(felt))
        told["half_order"] = _half_order(told, cylinders)
    told["text"] = _words(told, cylinders)
    return told


def _trouble_of(given, sense):
    return (given.get(sense) or {}).get("trouble")


def _windows(motion, sound):
    senses = [sense for sense in (motion, sound) if sense]
    start = max([sense.start for sense in senses]) if len(senses) > 1 else senses[0].start
    end = min([sense.end for sense in senses])
    windows = []
    while start + orders.WINDOW <= end + 0.5 * orders.HOP:
        at = min(start, end - orders.WINDOW)
        felt = motion and spectrum.of_motion(motion.times, motion.axes, at, orders.WINDOW, motion.rate)
        yield
        heard = sound and spectrum.of_sound(sound.levels, sound.rate, at - sound.start, orders.WINDOW)
        yield
        windows.append(orders.Window(felt, heard))
        start += orders.HOP
    return windows


def _harmonics(sense, spectra, rpm, cylinders):
    """[sense, k, amplitude, standard error] over all windows, of the harmonics that are shown unfolded and unmixed."""
    apart = len(spectra) * orders.HOP / orders.WINDOW
    rows = []
    for k in range(1, max(cylinders, LEAST_HARMONICS) + 1):
        read = [one.power(k * rpm / 120.0) for one in spectra]
        if not read or any([power is None for power, _ in read]) or orders.mixed(k, rpm, cylinders, spectra[0].rate):
            continue
        noise = sum([n for _, n in read]) / len(read)
        power = max(0.0, sum([p for p, _ in read]) / len(read) - noise)
        rows.append([sense, k, math.sqrt(power), math.sqrt(0.5 * noise / max(1.0, apart))])
    return rows


def _half_order(told, cylinders):
    """Its share of the shaking, as a root of powers, with two standard errors on each side."""
    first = [row for row in told["harmonics"] if row[:2] == ["motion", 1]]
    if cylinders == 1 or not first or not told["shake"]:
        return None
    _, _, amplitude, error = first[0]
    whole = told["shake"] * math.sqrt(2.0)
    share, margin = amplitude / whole, 2.0 * error / whole
    return {"share": min(1.0, share), "low": max(0.0, share - margin), "high": min(1.0, share + margin)}


def _cannot_tell(why, around):
    if why == "quiet":
        return phrase(
            "Cannot tell: no engine stands out of the noise. Lay the phone on metal of the engine, or go by ear."
        )
    if why == "unsteady":
        return phrase("Cannot tell: the speed wanders too much. Let the idle settle and measure again, or go by ear.")
    if around:
        return phrase(
            "Cannot tell which of {speeds} rpm it is. Measure again where it is quieter, or go by ear.", speeds=why
        )
    return phrase(
        "Cannot tell which of {speeds} rpm it is. Type what the tachometer shows as engine speed and measure again.",
        speeds=why,
    )


def _words(told, cylinders):
    words = phrase(
        "{rpm} rpm, give or take {error}.",
        rpm=canonical.fixed(told["rpm"], 0),
        error=canonical.fixed(max(1.0, 2.0 * told["deviation"]), 0),
    )
    half = told["half_order"]
    if half is None:
        if told["shake"] is not None and cylinders > 1:
            words += " " + phrase("The half order cannot be told at this speed.")
        return words
    if half["low"] > 0.0 and half["share"] >= NOTABLE:
        share = canonical.fixed(100.0 * half["share"], 0)
        return words + " " + phrase("Half order, the beat of a weak cylinder: {share} % of the shake.", share=share)
    small = phrase("Hardly any half order, the beat of a weak cylinder, is felt.")
    if cylinders % 2 == 0:
        small += " " + phrase("That clears no cylinder: two that are dead half a cycle apart cancel it.")
    return words + " " + small
