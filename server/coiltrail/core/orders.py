"""Engine speed from what shakes and sounds at multiples of the engine's cycle.

A four-stroke engine repeats itself every two turns, rpm / 120 times a second. What shakes at k times that is called
here *harmonic* k (half orders of the crankshaft): 1 is what one cylinder alone does, 2 and 4 what is out of balance
once and twice a turn, n (the number of cylinders) is the firing. Intervals of 720/n degrees (Taylor, "The
Internal-Combustion Engine in Theory and Practice", vol. 2; from memory). Sampling folds what is above half the rate
below it: the firing of eight cylinders at 700 rpm, 46.7 Hz, shows at 13.3 Hz when sampled at 60 Hz (Shannon 1949).
"""

import math

from . import canonical

SLOWEST, FASTEST = 450.0, 1600.0  # revolutions a minute at idle, cold or raised. Estimate
USUAL_IDLE, IDLE_SPREAD = 780.0, 0.25  # middle, and spread of its logarithm. Estimate
GRID, FINE = 0.005, 0.001  # of the speed, between two that are tried and where it is made exact
WINDOW, HOP = 2.0, 0.75  # seconds
ONE_LINE = 1.0  # Hz within which a window shows two lines as one
WITHIN = 0.04  # of the speed, by which one window may differ from the whole
UNSTEADY = 0.014  # of the speed, by which windows differ where some follow another line. Estimate
WANDER = 0.015  # of the speed, by which it usually does. Estimate
IDLE_WANDER = 0.004  # of the speed, from one pair of seconds to the next at a steady idle. Estimate
RIVAL_BEYOND = 0.06  # of the speed: what is closer is the same hill
NEEDED_LEAD = 3.0  # of the score over its best rival. Found by trial on engines on paper (tests/core)
MOST_OF_ONE = 6.0  # of the logarithm of a strength, that one line may add to the score
CLEAR = 6.0  # times the noise, from which a line helps to say where the speed is


class Window:
    """One stretch of a recording: what was felt and what was heard in it, as spectra or None."""

    def __init__(self, felt, heard):
        self.felt = felt
        self.heard = heard


class Speed:
    """``rpm``, its standard error ``error``, and in ``tracked`` the (rpm, error) of each window."""

    def __init__(self, rpm, error, tracked):
        self.rpm = rpm
        self.error = error
        self.tracked = tracked


def harmonics(cylinders):
    """(k, weight) of the harmonics that are looked for: how much each one's presence speaks for a speed.

    Origin of the weights: estimate. The firing shows in every engine, its double in most; once and twice a turn stand
    for what is out of balance; the rest only where cylinders are unequal.
    """
    weights = {k: 0.3 for k in range(1, min(cylinders, 8) + 1)}
    weights.update({3 * cylinders: 0.3, 1: 0.4, 2: 0.5, 4: 0.5, 2 * cylinders: 0.5})
    weights[cylinders] = 1.0
    return [(k, weights[k]) for k in sorted(weights)]


def speed_of(windows, cylinders, around=None):
    """``(Speed, "")`` of a recording, or ``(None, why not)``.

    ``around``: (slowest, fastest) rpm that it can be; where it is given, no speed in it is likelier than another.
    ``why not``: "quiet" where no line stands out, "unsteady" where the windows do not agree, or the rpm, as text, of
    two that cannot be told apart.
    """
    rpm, score, rival, lead, centres = leading(windows, cylinders, around)
    if min(score, lead) < NEEDED_LEAD:
        if score < NEEDED_LEAD:
            return None, "quiet"
        return None, "%s, %s" % tuple([canonical.fixed(one, 0) for one in sorted((rpm, rival))])
    return _refined(windows, harmonics(cylinders), centres)


def leading(windows, cylinders, around=None):
    """The speed that explains a recording best and its score; the best that is another one, and how far it is behind.

    And last where each window by itself has it.
    """
    tried = _tried(around or (SLOWEST, FASTEST))
    looked = harmonics(cylinders)
    rows = _scores(windows, tried, looked)
    reach = int(WITHIN / GRID + 0.5)
    totals = []
    for index, rpm in enumerate(tried):
        prior = 0.0 if around else -0.5 * (math.log(rpm / USUAL_IDLE) / IDLE_SPREAD) ** 2
        totals.append(prior + sum([_near(row, index, reach)[0] for row in rows]) / _overlap())
    best = max(range(len(tried)), key=lambda i: totals[i])
    centres = [tried[_near(row, best, reach)[1]] for row in rows]
    others = [i for i in range(len(tried)) if abs(tried[i] / tried[best] - 1.0) > RIVAL_BEYOND]
    if not others:
        return tried[best], totals[best], 0.0, totals[best], centres
    rival = max(others, key=lambda i: totals[i])
    return tried[best], totals[best], tried[rival], totals[best] - totals[rival], centres


def _overlap():
    """How often the same second is counted, since windows overlap."""
    return WINDOW / HOP


def _tried(limits):
    low, high = limits
    count = int(math.log(high / low) / GRID) + 1
    return [low * math.exp(i * GRID) for i in range(count)]


def _scores(windows, tried, looked):
    """How well each speed explains each window, both senses together: a row of scores a window."""
    rows = [[0.0] * len(tried) for _ in windows]
    for sense in ("felt", "heard"):
        spectra = [getattr(window, sense) for window in windows]
        some = [spectrum for spectrum in spectra if spectrum is not None]
        if not some:
            continue
        places = [_places(some[0], rpm, looked) for rpm in tried]
        for row, spectrum in zip(rows, spectra):
            if spectrum is not None:
                _add_scores(row, spectrum, places)
    return rows


def _add_scores(row, spectrum, places):
    shown = [min(MOST_OF_ONE, math.log(max(1.0, s))) for s in spectrum.strengths]
    usual = sum(shown) / len(shown)  # a speed must do better than harmonics at random
    for index, expected in enumerate(places):
        row[index] += sum([weight * (shown[place] - usual) for place, weight in expected])


def _places(spectrum, rpm, looked):
    """(index in the spectrum, weight) of the lines of a speed. Two harmonics in one place are one line."""
    return [(int(spectrum.place(f) + 0.5), weight) for f, weight, _, _ in _lines(spectrum, rpm, looked)]


def _lines(spectrum, rpm, looked):
    """(frequency, weight, k, alone) of the lines that a spectrum can show of a speed.

    ``alone``: no other harmonic that is looked for falls, or is folded, so near that one could be taken for the other.
    """
    shown = []
    for k, weight in looked:
        frequency = folded(k * rpm / 120.0, spectrum.rate)
        if spectrum.lowest <= frequency <= spectrum.top:
            shown.append((frequency, weight, k))
    lines = []
    for frequency, weight, k in shown:
        near = [one for one in shown if one[2] != k and abs(one[0] - frequency) < 2.0 * ONE_LINE]
        if not any([(one[1], one[2]) > (weight, k) for one in near if abs(one[0] - frequency) < ONE_LINE]):
            lines.append((frequency, weight, k, not near))
    return lines


def folded(frequency, rate):
    """Where ``frequency`` shows when it is sampled ``rate`` times a second."""
    return abs(frequency - int(frequency / rate + 0.5) * rate)


def mixed(k, rpm, cylinders, rate):
    """Whether the firing, its double or its triple is folded onto harmonic ``k``, so that neither can be read there."""
    place = folded(k * rpm / 120.0, rate)
    firings = [many * cylinders for many in (1, 2, 3)]
    return any([m != k and abs(folded(m * rpm / 120.0, rate) - place) < ONE_LINE for m in firings])


def _near(row, index, reach):
    """(score, index) of the best of a window near a speed; what is further away must be better."""
    best = row[index], index
    for other in range(max(0, index - reach), min(len(row), index + reach + 1)):
        off = (other - index) * GRID / WANDER
        best = max(best, (row[other] - 0.5 * off * off, other))
    return best


def _refined(windows, looked, centres):
    tracked = [_peak(window, looked, centre) for window, centre in zip(windows, centres)]
    tracked = [found for found in tracked if found]
    if len(tracked) < 0.5 * len(windows):
        return None, "quiet"
    rpm, error = _mean(tracked)
    if _spread([one for one, _ in tracked]) > UNSTEADY * rpm:
        return None, "unsteady"
    return Speed(rpm, error, tracked), ""


def _mean(tracked):
    """Mean and standard error of speeds with errors of their own that besides wander from window to window.

    The wander is what they differ by beyond their errors, held together with the usual one since windows are few.
    """
    count = len(tracked)
    middle = sum([rpm for rpm, _ in tracked]) / count
    beyond = sum([(rpm - middle) ** 2 - error**2 for rpm, error in tracked])
    usual = (IDLE_WANDER * middle) ** 2
    wander = max(0.25 * usual, (2.0 * usual + beyond) / (count + 1.0))
    weights = [1.0 / (error * error + wander) for _, error in tracked]
    rpm = sum([w * value for w, (value, _) in zip(weights, tracked)]) / sum(weights)
    return rpm, math.sqrt(_overlap() / sum(weights))


def _spread(values):
    middle = sum(values) / len(values)
    return math.sqrt(sum([(value - middle) ** 2 for value in values]) / len(values))


def _peak(window, looked, near):
    """(rpm, standard error) where the lines of one window fit best near ``near``; None where none is clear.

    The likelihood of a speed grows with the sum of its lines' strengths (for a sine in noise, its periodogram over the
    noise); its bend at the top is the precision (Rife and Boorstyn 1974). A line that may be of two harmonics is left
    out.
    """
    used = []
    for spectrum in (window.felt, window.heard):
        if spectrum is not None:
            used += [(spectrum, k) for _, _, k, alone in _lines(spectrum, near, looked) if alone]
    half = int(2.5 * GRID / FINE)
    sums = [_likelihood(used, near * (1.0 + step * FINE)) for step in range(-half, half + 1)]
    top = max(range(len(sums)), key=lambda i: sums[i])
    if sums[top] < CLEAR or top in (0, len(sums) - 1):
        return None
    bend = sums[top + 1] - 2.0 * sums[top] + sums[top - 1]
    if bend >= 0.0:
        return None
    off = 0.5 * (sums[top - 1] - sums[top + 1]) / bend
    rpm = near * (1.0 + (top - half + off) * FINE)
    return rpm, near * FINE * math.sqrt(1.5 / -bend)


def _likelihood(used, rpm):
    total = 0.0
    for spectrum, k in used:
        strength = spectrum.strength(folded(k * rpm / 120.0, spectrum.rate))
        if strength is not None and strength > 1.0:
            total += strength
    return total
