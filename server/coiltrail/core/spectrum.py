"""Which frequencies are in what a phone felt and heard, a short window at a time.

Acceleration comes at uneven times: its periodogram is summed at the times as they are (Lomb 1976, Scargle 1982), so
that jitter and small holes do no harm. Sound comes as even levels: a fast Fourier transform (Cooley and Tukey 1965).
Windows are weighted by a raised cosine (Hann), so that a strong line does not drown a weak one beside it.
"""

import math

STEP = 0.25  # Hz between two frequencies of a spectrum of motion; of sound it is at most that
LOWEST = 3.0  # Hz; below it a hand sways and a phone's own filters end. Estimate
FLOOR_SPAN = 4.0  # Hz on each side over which the noise around a line is judged
FLOOR_RANK = 0.4  # which of the sorted powers there is the noise: lines are above it
RANK_TO_MEAN = 1.3  # of exponential to gamma distributed powers, from that rank to their mean
HANN_WIDTH = 1.5  # the noise that a raised cosine lets through, in steps of 1 / length (Harris 1978)
USABLE = 0.47  # of the rate: what a spectrum shows


class Spectrum:
    """Powers at ``lowest + i * step`` Hz in one window.

    ``powers`` are in the square of the signal's unit: a sine of amplitude a gives a², whatever the window. ``noise`` is
    the mean power around each frequency without lines. ``rate`` is the signal's own, in Hz.
    """

    def __init__(self, powers, rate, length, lowest=LOWEST, step=STEP):
        self.powers = powers
        self.lowest = lowest
        self.step = step
        self.rate = rate
        self.length = length  # seconds
        self.noise = _floor(powers)
        self.top = lowest + step * (len(powers) - 1)
        # How far each stands out of the noise; 1 on the whole where there is no line.
        self.strengths = [p / n for p, n in zip(powers, self.noise)]

    def strength(self, frequency):
        """How far the line at ``frequency`` stands out of the noise; None where the signal cannot show it."""
        return self._at(self.strengths, frequency)

    def power(self, frequency):
        """The squared amplitude at ``frequency`` as it is, noise included, and that of the noise there alone."""
        return self._at(self.powers, frequency), self._at(self.noise, frequency)

    def mean_square(self):
        """Of all that is in it, in the square of the signal's unit."""
        return 0.5 * sum(self.powers) * self.step * self.length / HANN_WIDTH

    def place(self, frequency):
        """Where ``frequency`` stands among the powers."""
        return (frequency - self.lowest) / self.step

    def _at(self, values, frequency):
        """By a parabola through the three nearest."""
        place = self.place(frequency)
        middle = int(place + 0.5)
        if middle < 1 or middle > len(values) - 2:
            return None
        off = place - middle
        low, mid, high = values[middle - 1], values[middle], values[middle + 1]
        return max(0.0, mid + 0.5 * off * (high - low) + 0.5 * off * off * (high - 2.0 * mid + low))


def of_motion(times, axes, start, length, rate):
    """The spectrum of the samples within ``length`` seconds from ``start``, powers of all axes together.

    ``times`` in seconds, uneven; ``axes``: as many values each. None where too little was sampled there.
    """
    chosen = [i for i, t in enumerate(times) if start <= t < start + length]
    if len(chosen) < 0.8 * length * rate:
        return None
    moments = [times[i] - start for i in chosen]
    weights = [_hann(t / length) for t in moments]
    whole = sum(weights)
    weighted = []
    for axis in axes:
        mean = sum([w * axis[i] for w, i in zip(weights, chosen)]) / whole
        weighted.append([2.0 / whole * w * (axis[i] - mean) for w, i in zip(weights, chosen)])
    count = int((USABLE * rate - LOWEST) / STEP) + 1
    powers = [0.0] * count
    for axis in weighted:
        _add_powers(powers, moments, axis)
    return Spectrum(powers, rate, length)


def _add_powers(powers, moments, values):
    """Add |sum of value * exp(-2 pi i f t)|² to the power of each frequency.

    From one frequency to the next by cos((m + 1) x) = 2 cos x cos(m x) - cos((m - 1) x), which spares the cosines.
    """
    doubled = [2.0 * math.cos(2.0 * math.pi * STEP * t) for t in moments]
    now, before = [], []
    for frequency, rows in ((LOWEST, now), (LOWEST - STEP, before)):
        for wave in (math.cos, math.sin):
            rows.append([v * wave(2.0 * math.pi * frequency * t) for v, t in zip(values, moments)])
    for index in range(len(powers)):
        powers[index] += sum(now[0]) ** 2 + sum(now[1]) ** 2
        ahead = [[d * a - b for d, a, b in zip(doubled, now[row], before[row])] for row in (0, 1)]
        before, now = now, ahead


def of_sound(levels, rate, start, length):
    """The spectrum of even ``levels`` at ``rate`` Hz within ``length`` seconds from ``start``; None where they end."""
    first, count = int(start * rate + 0.5), int(length * rate)
    if first < 0 or first + count > len(levels):
        return None
    weights = [_hann((i + 0.5) / count) for i in range(count)]
    part = levels[first : first + count]
    whole = sum(weights)
    mean = sum([w * v for w, v in zip(weights, part)]) / whole
    size = 1
    while size < rate / STEP:
        size *= 2
    real = [2.0 / whole * w * (v - mean) for w, v in zip(weights, part)] + [0.0] * (size - count)
    imaginary = [0.0] * size
    _transform(real, imaginary)
    step = rate / size
    first, last = int(LOWEST / step) + 1, int(USABLE * size)
    powers = [real[i] * real[i] + imaginary[i] * imaginary[i] for i in range(first, last + 1)]
    return Spectrum(powers, rate, length, first * step, step)


def _transform(real, imaginary):
    """The discrete Fourier transform of a power of two of values, in place."""
    size = len(real)
    other = 0
    for index in range(1, size):
        bit = size >> 1
        while other & bit:
            other ^= bit
            bit >>= 1
        other |= bit
        if index < other:
            real[index], real[other] = real[other], real[index]
            imaginary[index], imaginary[other] = imaginary[other], imaginary[index]
    span = 1
    while span < size:
        for offset in range(span):
            angle = -math.pi * offset / span
            cosine, sine = math.cos(angle), math.sin(angle)
            for low in range(offset, size, 2 * span):
                high = low + span
                a = cosine * real[high] - sine * imaginary[high]
                b = cosine * imaginary[high] + sine * real[high]
                real[high], imaginary[high] = real[low] - a, imaginary[low] - b
                real[low] += a
                imaginary[low] += b
        span *= 2


def _hann(part):
    return 0.5 - 0.5 * math.cos(2.0 * math.pi * part)


def _floor(powers):
    """The mean power of the noise around each frequency: by the lower of the powers near it, which no line lifts."""
    span = int(FLOOR_SPAN / STEP)
    apart = span // 4
    knots = []
    for middle in range(0, len(powers) + apart, apart):
        near = sorted(powers[max(0, middle - span) : middle + span + 1])
        knots.append(RANK_TO_MEAN * near[int(FLOOR_RANK * len(near))] if near else knots[-1])
    least = 1e-12 + 1e-9 * max(powers)
    floor = []
    for index in range(len(powers)):
        knot, off = index // apart, (index % apart) / apart
        floor.append(max(least, knots[knot] + off * (knots[knot + 1] - knots[knot])))
    return floor
