"""What one recording says, on engines that run on paper (``running_engine``): speed, shake, half order, or nothing.

Signal to noise where nothing else is said: 12 dB of the even engine's shake over the motion sensor's noise, 6 dB of the
pulses over the noise around the microphone; 60 samples a second, rounded to 0.1 m/s² as Chromium does, high-pass 1 Hz.
"""

import numpy as np
import pytest

from coiltrail.core import shake
from coiltrail.core.gradually import finish

from .running_engine import Running

FAINT = -40.0  # dB: nothing of the engine


def told(engine: Running, around=None) -> dict:
    return finish(shake.recording(engine.samples(), engine.cylinders, around))


def engines(cylinders: int, count: int, **how) -> list[Running]:
    """Of every second one a cylinder is dead; speeds, drifts and how the phone lies differ."""
    made = []
    for seed in range(count):
        chance = np.random.default_rng(100 * cylinders + seed)
        dead = (int(chance.integers(1, cylinders + 1)),) if cylinders > 1 and seed % 2 else ()
        speed, drift = chance.uniform(580, 1050), 0.01 * chance.normal()
        made.append(Running(cylinders, speed, dead, seed=seed, phone=seed, drift=drift, **how))
    return made


def off_by(engine: Running, answer: dict) -> float:
    return abs(answer["rpm"] / engine.mean_rpm - 1.0)


@pytest.mark.parametrize("cylinders", range(1, 13))
def test_the_speed_is_told_within_one_per_cent(cylinders):
    answers = [(engine, told(engine)) for engine in engines(cylinders, 6)]
    known = [(engine, answer) for engine, answer in answers if answer["rpm"]]
    assert [round(engine.mean_rpm) for engine, answer in known if off_by(engine, answer) > 0.01] == []
    # Of one or two cylinders the firing is a low harmonic itself, which twice the speed has as well.
    assert len(known) >= (6 if cylinders > 2 else 3)


@pytest.mark.parametrize(
    "how",
    [
        {"cylinders": 6, "rpm": 720.0, "firing_order": (1, 4, 2, 5, 3, 6)},
        {"cylinders": 6, "rpm": 690.0, "uneven": 0.25, "dead": (2,)},
        {"cylinders": 8, "rpm": 650.0, "firing_order": (1, 5, 4, 2, 6, 3, 7, 8), "dead": (6,)},
        {"cylinders": 4, "rpm": 800.0, "rate": 100.0, "rounded": 0.0},
        {"cylinders": 4, "rpm": 800.0, "jitter": 0.003},
        {"cylinders": 5, "rpm": 760.0, "high_pass": 4.0, "mounts": 12.0, "dead": (1,)},
        {"cylinders": 8, "rpm": 620.0, "snr_db": 3.0, "sound_db": 0.0, "dead": (1, 6)},
        {"cylinders": 4, "rpm": 750.0, "drift": 0.03},
        {"cylinders": 4, "rpm": 750.0, "holes": ((1.0, 1.2), (3.4, 3.5))},
    ],
    ids=lambda how: "-".join(f"{name}={how[name]}" for name in how),
)
def test_the_speed_is_told_however_it_fires_and_is_sampled(how):
    engine = Running(seed=5, phone=3, **how)
    answer = told(engine)
    assert answer["trouble"] == []
    assert off_by(engine, answer) < 0.01


def test_nothing_is_made_of_noise():
    for seed in range(8):
        answer = told(Running(4, 750.0, seed=seed, snr_db=FAINT, sound_db=FAINT))
        assert (answer["rpm"], answer["text"][:11]) == (None, "Cannot tell")


@pytest.mark.parametrize("cylinders", [3, 4, 6, 8, 12])
def test_without_a_microphone_a_folded_firing_is_never_taken_for_another_speed(cylinders):
    for engine in engines(cylinders, 6, sound_db=None):
        answer = told(engine)
        assert answer["rpm"] is None or off_by(engine, answer) < 0.012
        assert answer["rpm"] or answer["text"].startswith("Cannot tell")


def test_what_the_tachometer_shows_settles_what_is_folded():
    engine = Running(4, 820.0, seed=4, sound_db=None)
    assert told(engine)["rpm"] is None
    near = (0.9 * 820.0, 1.1 * 820.0)
    assert off_by(engine, told(engine, near)) < 0.01


def test_an_uneven_twin_is_told_where_the_tachometer_shows_its_speed_about():
    engine = Running(2, 900.0, seed=5, uneven=0.25)
    answer = told(engine)
    assert answer["rpm"] is None or off_by(engine, answer) < 0.01
    assert off_by(engine, told(engine, (820.0, 1000.0))) < 0.01


def test_the_microphone_alone_tells_speed_and_no_shake():
    engine = Running(6, 700.0, seed=1)
    samples = engine.samples() | {"motion": {"trouble": "refused"}}
    answer = finish(shake.recording(samples, 6))
    assert off_by(engine, answer) < 0.01
    assert (answer["shake"], answer["half_order"], answer["with"]) == (None, None, ["sound"])
    assert answer["trouble"] == ["The motion sensor was refused. Allow it in the browser's settings, or go by ear."]


class TestHalfOrder:
    def of(self, cylinders, dead, **how):
        return told(Running(cylinders, 735.0, dead, seed=2, snr_db=20.0, **how))

    @pytest.mark.parametrize("cylinders", [3, 4, 5, 6, 8, 10, 12])
    def test_a_single_dead_cylinder_makes_it(self, cylinders):
        even, one = self.of(cylinders, ()), self.of(cylinders, (1,))
        assert one["half_order"]["low"] > even["half_order"]["share"]
        assert "% of the shake" in one["text"]

    def test_two_dead_half_a_cycle_apart_cancel_it_and_the_words_say_so(self):
        apart, together = self.of(4, (1, 4)), self.of(4, (1, 3))
        assert apart["half_order"]["high"] < together["half_order"]["low"]
        assert apart["text"].endswith("That clears no cylinder: two that are dead half a cycle apart cancel it.")

    def test_where_the_firing_is_folded_onto_it_it_is_not_told(self):
        answer = told(Running(3, 720.0, seed=2))  # the triple of the firing, 54 Hz, shows at 6 Hz
        assert answer["half_order"] is None
        assert answer["text"].endswith("The half order cannot be told at this speed.")

    def test_of_a_single_cylinder_it_is_the_firing(self):
        assert self.of(1, ())["half_order"] is None

    def test_it_is_what_was_put_in(self):
        times = np.arange(300) / 60.0 + np.random.default_rng(1).normal(0, 0.001, 300)
        turned = 2 * np.pi * 6.25 * times
        values = 0.5 * np.cos(turned) + 0.1 * np.cos(2 * turned + 1) + 1.0 * np.cos(4 * turned)
        noise = np.random.default_rng(2).normal(0, 0.02, (3, 300))
        motion = {"t": list(1000 * times)} | {
            name: list(share * values + noise[i])
            for i, (name, share) in enumerate(zip("xyz", (0.6, 0.0, 0.8), strict=True))
        }
        answer = finish(shake.recording({"motion": motion, "sound": None}, 4, (700.0, 800.0)))
        assert answer["rpm"] == pytest.approx(750.0, rel=0.003)
        assert answer["shake"] == pytest.approx(np.sqrt((0.25 + 0.01 + 1.0) / 2), rel=0.03)
        assert answer["half_order"]["share"] == pytest.approx(0.5 / np.sqrt(1.26), rel=0.05)
