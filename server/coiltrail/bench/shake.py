"""How long a recording of a running engine takes to judge: on CPython and in the phone's runtime."""

import math
import random

from . import runtimes

CYLINDERS = (4, 8, 12)
RPM = 750.0
SECONDS, RATE, LEVELS_RATE = 5, 60, 250
LIMIT_S = 120.0


def run() -> None:
    """Print milliseconds, the fastest of a few; the phone's runtime runs in Node."""
    print(f"A recording of {SECONDS} s, ms. The phone's runtime in Node: just started, and when warm.\n")
    print("cylinders   CPython   just started   warm")
    with runtimes.in_node(runtimes.TIMES, LIMIT_S) as ask:
        for cylinders in CYLINDERS:
            asked = {"samples": recording(cylinders), "cylinders": cylinders, "rests": "cover"}
            here = runtimes.on_cpython("shake", asked, runtimes.TIMES, LIMIT_S)
            phone = ask("shake", asked)
            print(f"{cylinders:9}{here:10.0f}{phone.first:15.0f}{phone.ms:7.0f}")


def recording(cylinders: int) -> dict:
    """Samples as ``core.sampling`` has them of a plain engine with a weak cylinder: sines of its harmonics in noise."""
    chance = random.Random(cylinders)
    once = 2.0 * math.pi * RPM / 120.0
    strong = {1: 0.3, 2: 0.2, cylinders: 1.0, 2 * cylinders: 0.4}

    def shakes(t: float) -> float:
        return sum(amount * math.cos(k * once * t + k) for k, amount in strong.items()) + chance.gauss(0.0, 0.2)

    times = [i / RATE for i in range(SECONDS * RATE)]
    motion = {"t": [1000.0 * t for t in times]} | {axis: [shakes(t) for t in times] for axis in "xyz"}
    level = [3.0 + shakes(i / LEVELS_RATE) for i in range(SECONDS * LEVELS_RATE)]
    return {"motion": motion, "sound": {"start": 0.0, "rate": LEVELS_RATE, "level": level}}
