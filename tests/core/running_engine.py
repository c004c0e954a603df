"""Four-stroke engines that run on paper: what a phone on them would feel and hear, made without the core's arithmetic.

Order arithmetic as in Taylor, "The Internal-Combustion Engine in Theory and Practice", vol. 2 (from memory): a cycle is
two turns, cylinders follow each other in intervals of 720/n degrees, so firing is at rpm n / 120 Hz and what one
cylinder alone does repeats at rpm / 120 Hz. The gas torque is a spring about top dead centre and, where the cylinder
fires, a push after it; the difference from the load makes the speed swing within the cycle; the reaction rolls the
engine on its mounts (Den Hartog, "Mechanical Vibrations", from memory). Amounts are estimates, from memory.
"""

from dataclasses import dataclass

import numpy as np

FINE = 2000.0  # Hz of the simulation
GRAVITY = (0.6, 1.9, 9.59)
LEVELS_RATE = 250.0  # Hz of what is kept of the sound
ROUNDED_TO = 0.1  # m/s²: what Chromium leaves of an accelerometer (kAccelerometerRoundingMultiple)

USUAL = {4: (1, 3, 4, 2), 5: (1, 2, 4, 5, 3), 6: (1, 5, 3, 6, 2, 4), 8: (1, 8, 4, 3, 6, 5, 7, 2)}


@dataclass
class Running:
    """One engine at idle with a phone on it. Angles in parts of a cycle of two turns."""

    cylinders: int
    rpm: float
    dead: tuple[int, ...] = ()
    seed: int = 0
    seconds: float = 5.0
    firing_order: tuple[int, ...] | None = None
    uneven: float = 0.0  # by how much every other firing comes late
    wander: float = 0.003  # of the speed, slow and at random
    drift: float = 0.0  # of the speed, over the whole recording
    level: float = 0.8  # m/s², what the even engine shakes the phone by, on the whole
    snr_db: float = 12.0  # of that over the sensor's noise
    rate: float = 60.0
    jitter: float = 0.001  # seconds
    rounded: float = ROUNDED_TO
    high_pass: float = 1.0  # Hz
    mounts: float = 9.0  # Hz at which the engine rolls by itself
    secondary: float = 0.3  # share of the second order's inertia forces, apart from the firing
    other: tuple[float, float] | None = (
        None  # Hz of something else that turns, and its share of ``level`` and of the pulses
    )
    holes: tuple[tuple[float, float], ...] = ()  # spans of seconds that are lost
    sound_db: float | None = 6.0  # of the pulses over the noise around; None: no microphone
    phone: int = 0  # how the phone lies: the same number, the same place

    def samples(self) -> dict:
        """What the page hands to the core: ``{"motion", "sound"}``."""
        self.chance = np.random.default_rng(self.seed)
        self.laid = np.random.default_rng(1000 + self.phone)
        self.times = np.arange(int((self.seconds + 1.0) * FINE)) / FINE
        self.cycles = self._turning()
        motion = self._motion()
        return {"motion": motion, "sound": None if self.sound_db is None else self._sound()}

    @property
    def mean_rpm(self) -> float:
        """Of the seconds that were sampled, after ``samples``."""
        last = int(self.seconds * FINE)
        return float((self.cycles[last] - self.cycles[0]) / self.seconds * 120.0)

    def _phases(self):
        order = self.firing_order or USUAL.get(self.cylinders) or tuple(range(1, self.cylinders + 1))
        return {c: (at + (self.uneven if at % 2 else 0.0)) / self.cylinders for at, c in enumerate(order)}

    def _turning(self):
        """How many cycles are done at each moment."""
        steps = self.chance.normal(size=len(self.times))
        slow = _band(steps, FINE, lambda f: np.where((f > 0.05) & (f < 0.8), 1.0, 0.0))
        slow *= self.wander / (np.std(slow) or 1.0)
        ramp = self.drift * (self.times / self.seconds - 0.5)
        mean = self.rpm / 120.0 * (1.0 + slow + ramp)
        cycles = self.chance.uniform() + np.cumsum(mean) / FINE
        # The swing within the cycle: 1.5 % up and down for a four in order, more where the pushes are further apart.
        torque = self._torque(cycles)
        swing = np.cumsum(torque - np.mean(torque)) / FINE * self.rpm / 120.0
        swing = _band(swing, FINE, lambda f: np.where(f > 1.5, 1.0, 0.0))
        return cycles + np.cumsum(mean * 0.25 * swing) / FINE

    def _torque(self, cycles):
        total = np.zeros(len(cycles))
        spread = np.random.default_rng(77 + self.cylinders).normal(1.0, 0.04, size=self.cylinders + 1)
        for cylinder, phase in self._phases().items():
            after = (cycles - phase + 0.5) % 1.0 - 0.5
            total += 0.4 * (np.exp(-(((after - 0.03) / 0.02) ** 2)) - np.exp(-(((after + 0.03) / 0.02) ** 2)))
            if cylinder not in self.dead:
                push = np.where(after > 0, after / 0.035 * np.exp(1.0 - after / 0.035), 0.0)
                # No two pushes are alike: a cycle differs by some per cent from the next.
                cycle = np.floor(cycles - phase + 0.5).astype(int)
                alike = np.random.default_rng(self.seed * 131 + cylinder).normal(1.0, 0.05, size=cycle.max() + 2)
                total += spread[cylinder] * alike[cycle] * push
        return total

    def _motion(self):
        torque = self._torque(self.cycles)
        roll = _band(torque, FINE, self._on_mounts)
        even = Running(**{**self._plain(), "dead": ()})._torque(self.cycles)
        scale = np.std(_band(even, FINE, self._on_mounts)) or 1.0
        crank = 4.0 * np.pi * self.cycles
        ways = self.laid.normal(size=(3, 3))
        ways /= np.linalg.norm(ways, axis=1)[:, None]
        felt = (
            np.outer(roll / scale, ways[0])
            + self.secondary * np.outer(np.cos(2.0 * crank + 1.0), ways[1])
            + 0.15 * np.outer(np.cos(crank + self.laid.uniform(0, 6)), ways[2])
        ) * (self.level / np.sqrt(1.0 + self.secondary**2 / 2.0))
        if self.other:
            felt += self.level * self.other[1] * np.outer(np.cos(2 * np.pi * self.other[0] * self.times), ways[1])
        felt = np.stack([_band(axis, FINE, self._in_phone) for axis in felt.T], axis=1)
        count = int(self.seconds * self.rate)
        at = np.sort(np.arange(count) / self.rate + self.chance.normal(0.0, self.jitter, size=count)) + 0.05
        noise = self.level * 10.0 ** (-self.snr_db / 20.0) / np.sqrt(3.0)
        columns = []
        for axis in range(3):
            clean = np.interp(at, self.times, felt[:, axis]) + GRAVITY[axis]
            columns.append(_rounded(clean + self.chance.normal(0.0, noise, size=count), self.rounded))
        kept = [i for i in range(count) if not any(a <= at[i] < b for a, b in self.holes)]
        motion = {"t": [round(1000.0 * float(at[i]), 1) for i in kept]}
        for name, column in zip("xyz", columns, strict=True):
            motion[name] = [round(float(column[i]), 4) for i in kept]
        return motion

    def _plain(self):
        return {name: getattr(self, name) for name in self.__dataclass_fields__}

    def _on_mounts(self, f):
        """Acceleration for a torque, on a spring with little damping."""
        ratio = f / self.mounts
        return ratio**2 / np.sqrt((1.0 - ratio**2) ** 2 + (2.0 * 0.2 * ratio) ** 2)

    def _in_phone(self, f):
        """A high-pass, and a sensor that does not keep out what its rate cannot show."""
        high = f / np.sqrt(f**2 + self.high_pass**2) if self.high_pass else 1.0
        return high / np.sqrt(1.0 + (f / 80.0) ** 4)

    def _sound(self):
        loud = np.zeros(len(self.times))
        for cylinder, phase in self._phases().items():
            after = (self.cycles - phase) % 1.0
            one = 0.2 if cylinder in self.dead else 1.0 + 0.05 * ((7 * cylinder) % 5 - 2)
            loud += one * np.exp(-(((after - 0.06) / 0.03) ** 2))
        if self.other:
            loud += np.std(loud) * self.other[1] * (1.0 + np.cos(2 * np.pi * self.other[0] * self.times))
        around = np.std(loud) * 10.0 ** (-self.sound_db / 20.0)
        block = int(FINE / LEVELS_RATE)
        power = (0.3 + loud) ** 2 + (3.0 * around) ** 2
        count = int(self.seconds * LEVELS_RATE)
        power = power[: count * block].reshape(count, block).mean(axis=1)
        level = np.sqrt(power * self.chance.chisquare(32, size=count) / 32.0) * 0.01
        level += 0.01 * self.chance.normal(0.0, around, size=count)
        return {"start": 50.0, "rate": LEVELS_RATE, "level": [round(float(v), 6) for v in level]}


def _rounded(values, to):
    return np.round(values / to) * to if to else values


def _band(values, rate, gain):
    spectrum = np.fft.rfft(values)
    frequencies = np.fft.rfftfreq(len(values), 1.0 / rate)
    with np.errstate(divide="ignore", invalid="ignore"):
        shaped = np.where(frequencies > 0, gain(np.maximum(frequencies, 1e-9)), 0.0)
    return np.fft.irfft(spectrum * shaped, len(values))
