"""Samples that cannot be used: the words say what happened and what to do."""

import math

import pytest

from coiltrail.core import sampling


def motion(rate: float = 60.0, seconds: float = 5.0, **more) -> dict:
    times = [1000.0 * i / rate for i in range(int(seconds * rate))]
    wave = [math.sin(0.05 * t) for t in times]
    return {"t": times, "x": wave, "y": wave, "z": [9.8 + w for w in wave]} | more


def without(given: dict, start: float, end: float) -> dict:
    kept = [i for i, t in enumerate(given["t"]) if not start <= t < end]
    return {name: [given[name][i] for i in kept] for name in given}


def sound(rate: float = 250.0, seconds: float = 5.0) -> dict:
    return {"start": 0.0, "rate": rate, "level": [0.1 + 0.01 * (i % 10) for i in range(int(seconds * rate))]}


FLAT = {"x": [0.0] * 300, "y": [0.0] * 300, "z": [9.8] * 300}


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (None, "no motion to a page. Go by ear."),
        ({"trouble": "missing"}, "no motion to a page. Go by ear."),
        ({"trouble": "refused"}, "Allow it in the browser's settings"),
        ({"trouble": "left"}, "Measure again and leave it open."),
        (motion(rate=20.0), "gives 20 samples a second; 40 are needed. Switch battery saving off"),
        (without(motion(), 1000.0, 1500.0), "10\u00a0% are missing, 0.5 s at a stretch. Close other applications"),
        (without(motion(), 1000.0, 1900.0), "18\u00a0% are missing"),
        (motion(seconds=2.0), "broken off"),
        (motion(**FLAT), "no movement at all"),
        (motion(x=[None] * 300), "no motion to a page"),
    ],
)
def test_motion_that_is_no_use(given, says):
    usable, words = sampling.motion_of(given)
    assert usable is None
    assert says in words


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (None, "No microphone"),
        ({"trouble": "refused"}, "The microphone was refused."),
        (sound(seconds=1.0), "broken off"),
        (sound(rate=100.0), "No microphone"),
        ({"start": 0.0, "rate": 250.0, "level": [0.0] * 1250}, "silent"),
        ({"start": 0.0, "rate": 250.0, "level": [None] * 1250}, "No microphone"),
    ],
)
def test_sound_that_is_no_use(given, says):
    usable, words = sampling.sound_of(given)
    assert usable is None
    assert says in words


def test_the_true_rate_is_measured_and_small_holes_do_no_harm():
    usable, _ = sampling.motion_of(without(motion(rate=59.2), 2000.0, 2080.0))
    assert usable.rate == pytest.approx(59.2, rel=0.002)


def test_what_is_no_recording_is_refused():
    with pytest.raises(ValueError, match="as many values as times"):
        sampling.motion_of(motion(x=[0.0]))
    with pytest.raises(ValueError, match="20000 levels at most"):
        sampling.sound_of({"start": 0.0, "rate": 250.0, "level": [0.1] * 20001})
