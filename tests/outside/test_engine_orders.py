"""Engine speed and half order from samples, held against scipy's spectra and against the arithmetic of engine orders.

scipy.signal (BSD): ``lombscargle`` for uneven times, ``periodogram`` and ``welch`` for even ones. Orders as in
Taylor, "The Internal-Combustion Engine in Theory and Practice", vol. 2 (from memory): firing at rpm n / 120 Hz, one
faulty cylinder at rpm / 120 Hz; 750 rpm, four cylinders: 25 and 6.25 Hz; 600 rpm, eight: 40 and 5 Hz.
"""

import numpy as np
import pytest
from scipy import signal

from coiltrail.core import orders, sampling, shake, spectrum
from coiltrail.core.gradually import finish
from tests.core.running_engine import Running


@pytest.mark.parametrize(("rpm", "cylinders", "firing", "one"), [(750.0, 4, 25.0, 6.25), (600.0, 8, 40.0, 5.0)])
def test_harmonics_are_the_orders_of_the_engine(rpm, cylinders, firing, one):
    weights = dict(orders.harmonics(cylinders))
    assert max(weights, key=weights.get) == cylinders
    assert (cylinders * rpm / 120.0, rpm / 120.0) == (firing, one)


@pytest.mark.parametrize("frequency", [13.3, 25.0, 29.9, 30.1, 46.7, 58.0, 61.0, 93.4])
def test_a_folded_line_is_where_sampling_puts_it(frequency):
    times = np.arange(6000) / 60.0
    found, power = signal.periodogram(np.cos(2 * np.pi * frequency * times), 60.0)
    assert orders.folded(frequency, 60.0) == pytest.approx(found[np.argmax(power)], abs=0.011)


def test_powers_at_uneven_times_are_those_of_lomb_and_scargle():
    engine = Running(4, 750.0, (3,), seed=3, jitter=0.002)
    motion, _ = sampling.motion_of(engine.samples()["motion"])
    ours = spectrum.of_motion(motion.times, motion.axes, motion.start, 2.0, motion.rate)
    inside = np.array([i for i, t in enumerate(motion.times) if t < motion.start + 2.0])
    times = np.array(motion.times)[inside] - motion.start
    window = 0.5 - 0.5 * np.cos(2 * np.pi * times / 2.0)
    frequencies = spectrum.LOWEST + spectrum.STEP * np.arange(len(ours.powers))
    theirs = np.zeros(len(frequencies))
    for axis in motion.axes:
        values = np.array(axis)[inside]
        weighted = window * (values - np.average(values, weights=window))
        theirs += 4.0 / window.sum() ** 2 * len(times) * signal.lombscargle(times, weighted, 2 * np.pi * frequencies)
    # Lomb and Scargle make sine and cosine of each frequency orthogonal first, which changes the power a little.
    assert np.array(ours.powers) == pytest.approx(theirs, abs=0.08 * theirs.max())
    assert np.argmax(ours.powers) == np.argmax(theirs)


def test_powers_at_even_times_are_those_of_a_periodogram():
    times = np.arange(300) / 60.0
    values = np.cos(2 * np.pi * 12.6 * times) + 0.3 * np.random.default_rng(1).normal(size=300)
    ours = spectrum.of_motion(list(times), (list(values),), 0.0, 2.0, 60.0)
    window = 0.5 - 0.5 * np.cos(2 * np.pi * times[:120] / 2.0)
    part = values[:120] - np.average(values[:120], weights=window)
    found, theirs = signal.periodogram(part, 60.0, window=window, nfft=240, detrend=False, scaling="spectrum")
    inside = (found >= ours.lowest) & (found <= ours.top + 1e-9)
    assert ours.powers == pytest.approx(list(2.0 * theirs[inside]), rel=1e-6)


def test_powers_of_sound_are_those_of_a_periodogram():
    sound, _ = sampling.sound_of(Running(6, 700.0, seed=3).samples()["sound"])
    ours = spectrum.of_sound(sound.levels, sound.rate, 0.5, 2.0)
    part = np.array(sound.levels[125:625])
    window = 0.5 - 0.5 * np.cos(2 * np.pi * (np.arange(500) + 0.5) / 500)
    part = part - np.average(part, weights=window)
    found, theirs = signal.periodogram(part, 250.0, window=window, nfft=16384, detrend=False, scaling="spectrum")
    frequencies = ours.lowest + ours.step * np.arange(len(ours.powers))
    expected = 2.0 * np.interp(frequencies, found, theirs)  # of a sine: the square of its amplitude, not half of it
    strong = expected > 0.02 * expected.max()
    assert np.array(ours.powers)[strong] == pytest.approx(expected[strong], rel=0.03)


@pytest.mark.parametrize(("cylinders", "rpm"), [(3, 800.0), (4, 750.0), (6, 690.0), (8, 640.0), (12, 600.0)])
def test_the_speed_told_is_where_scipy_finds_the_firing(cylinders, rpm):
    samples = Running(cylinders, rpm, seed=7, sound_db=12.0).samples()
    level = np.array(samples["sound"]["level"])
    found, power = signal.periodogram(level - level.mean(), 250.0, window="hann", nfft=16384)
    near = (found > 0.85 * cylinders * rpm / 120) & (found < 1.15 * cylinders * rpm / 120)
    firing = found[near][np.argmax(power[near])]
    answer = finish(shake.recording(samples, cylinders))
    assert answer["rpm"] == pytest.approx(120.0 * firing / cylinders, rel=0.01)


def test_the_shake_is_the_root_of_the_power_that_welch_finds():
    samples = Running(4, 750.0, (2,), seed=9, jitter=0.0).samples()
    answer = finish(shake.recording(samples, 4))
    power = 0.0
    for name in "xyz":
        found, density = signal.welch(np.array(samples["motion"][name]), 60.0, nperseg=120, detrend="constant")
        band = (found >= spectrum.LOWEST) & (found <= spectrum.USABLE * 60.0)
        power += density[band].sum() * (found[1] - found[0])
    assert answer["shake"] == pytest.approx(np.sqrt(power), rel=0.05)


def test_the_half_order_told_is_that_of_scipy():
    engine = Running(4, 735.0, (2,), seed=9, snr_db=25.0, wander=0.001)
    answer = finish(shake.recording(engine.samples(), 4))
    times = np.array(engine.samples()["motion"]["t"]) / 1000.0
    amplitude = 0.0
    for name in "xyz":
        values = np.array(engine.samples()["motion"][name])
        fine = np.linspace(0.98, 1.02, 41) * engine.mean_rpm / 120.0
        amplitude += 4.0 / len(times) * signal.lombscargle(times, values - values.mean(), 2 * np.pi * fine).max()
    expected = np.sqrt(amplitude / 2.0) / answer["shake"]
    assert answer["half_order"]["share"] == pytest.approx(expected, rel=0.12)
