"""What a phone sampled of an engine: whether it can be used, and if not, in words what to do instead.

Motion is ``{"t": [ms], "x", "y", "z": [m/s²]}`` at uneven times; sound is ``{"start": ms, "rate": Hz, "level": []}``,
the loudness of a few thousandths of a second each. Either is None where the phone has none, and ``{"trouble": word}``
where it was "refused", is "missing", or the page was "left" in the middle.
"""

from . import canonical
from .tongue import phrase

LEAST_SECONDS = 3.5
LEAST_RATE = 40.0  # samples a second: half of it must hold the first orders of an idle with room to spare
MOST_MISSING = 0.10  # of the samples
LONGEST_GAP = 0.30  # seconds
LEAST_SOUND_RATE = 150.0
MOST_SAMPLES = 20000  # of one recording: a longer one is no recording of ours
STILL = 1e-6  # m/s² between least and most of a sensor that shows nothing


class Motion:
    """Acceleration: ``times`` in seconds, ``axes`` (three lists, m/s²), ``rate`` in samples a second."""

    def __init__(self, times, axes, rate):
        self.times = times
        self.axes = axes
        self.rate = rate
        self.start, self.end = times[0], times[-1]


class Sound:
    """Loudness: ``levels`` at an even ``rate``, the first at ``start`` seconds."""

    def __init__(self, levels, start, rate):
        self.levels = levels
        self.rate = rate
        self.start, self.end = start, start + len(levels) / rate


def motion_of(given):
    """``(Motion, "")``, or ``(None, what happened and what to do)``. Raises ValueError for what is no recording."""
    if given is None or given.get("trouble"):
        return None, _trouble("motion", given)
    if not len(given["t"]) == len(given["x"]) == len(given["y"]) == len(given["z"]) <= MOST_SAMPLES:
        raise ValueError("motion: as many values as times are wanted, %d at most." % MOST_SAMPLES)
    times, rows = [], []
    for t, *row in zip(given["t"], given["x"], given["y"], given["z"]):
        if all([_is_number(value) for value in [t] + row]) and (not times or t > 1000.0 * times[-1]):
            times.append(t / 1000.0)
            rows.append(row)
    if len(times) < 10:
        return None, _trouble("motion", None)
    if all([max(column) - min(column) < STILL for column in zip(*rows)]):
        return None, phrase("The motion sensor shows no movement at all. Lay the phone on metal, or go by ear.")
    steps = sorted([times[i + 1] - times[i] for i in range(len(times) - 1)])
    rate = 1.0 / steps[len(steps) // 2]
    span = times[-1] - times[0]
    if span < LEAST_SECONDS:
        return None, phrase("The measurement was broken off. Measure again and leave this page open.")
    if rate < LEAST_RATE:
        return None, phrase(
            "The motion sensor gives {rate} samples a second; {least} are needed. "
            "Switch battery saving off and measure again, or go by ear.",
            rate=canonical.fixed(rate, 0),
            least=canonical.fixed(LEAST_RATE, 0),
        )
    missing = 1.0 - len(times) / (span * rate + 1.0)
    if missing > MOST_MISSING or steps[-1] > LONGEST_GAP:
        return None, phrase(
            "The motion samples have holes: {missing} % are missing, {gap} s at a stretch. "
            "Close other applications and measure again, or go by ear.",
            missing=canonical.fixed(100.0 * max(0.0, missing), 0),
            gap=canonical.fixed(steps[-1], 1),
        )
    true_rate = (len(times) - 1) / (span * (1.0 - max(0.0, missing)))
    return Motion(times, [list(column) for column in zip(*rows)], true_rate), ""


def sound_of(given):
    """``(Sound, "")``, or ``(None, what happened and what to do)``. Raises ValueError for what is no recording."""
    if given is None or given.get("trouble"):
        return None, _trouble("sound", given)
    levels, rate = given["level"], given["rate"]
    if not (_is_number(rate) and _is_number(given["start"]) and len(levels) <= MOST_SAMPLES):
        raise ValueError("sound: a rate, a start and %d levels at most are wanted." % MOST_SAMPLES)
    if not all([_is_number(level) for level in levels]) or rate < LEAST_SOUND_RATE:
        return None, _trouble("sound", None)
    if len(levels) < LEAST_SECONDS * rate:
        return None, phrase("The measurement was broken off. Measure again and leave this page open.")
    if not max(levels) > min(levels):
        return None, phrase("The microphone is silent. Look whether another application uses it.")
    return Sound(levels, given["start"] / 1000.0, rate), ""


def _is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool) and value - value == 0


def _trouble(sense, given):
    word = (given or {}).get("trouble")
    if word == "left":
        return phrase("The page was left while it measured, so that does not count. Measure again and leave it open.")
    if sense == "motion":
        if word == "refused":
            return phrase("The motion sensor was refused. Allow it in the browser's settings, or go by ear.")
        return phrase("This phone gives no motion to a page. Go by ear.")
    if word == "unasked":
        return ""
    if word == "refused":
        return phrase("The microphone was refused. Allow it in the browser's settings.")
    return phrase("No microphone can be used here.")
