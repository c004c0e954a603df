"""What DEVELOPERS.md promises under "The sync protocol and its invariants" holds at the end of every run.

``COILTRAIL_SIMULATION_RUNS`` and ``COILTRAIL_SIMULATION_SEED`` play fewer or others.
"""

import json
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RUNS = int(os.environ.get("COILTRAIL_SIMULATION_RUNS", "10000"))
FIRST_SEED = int(os.environ.get("COILTRAIL_SIMULATION_SEED", "1"))

# What the runs must have met, so that they prove anything: how often in a thousand runs.
MET = {
    "shop crashed": 50,
    "request lost": 200,
    "request late": 200,
    "request twice": 200,
    "answer lost": 200,
    "answer late": 200,
    "answer kept late or twice": 200,
    "crash": 200,
    "wipe": 100,
    "restoreFile": 200,
    "putPhoneBack": 200,
    "anotherDevice": 15,
    "restoreShop": 200,
    "offerAll": 200,
    "turnClock": 300,
    "leadInCircles": 200,
    "aside": 1000,
    "settled": 1000,
    "photo answered": 1000,
    "recorded struck": 200,
    "recorded parts_moved": 500,
    "recorded answered": 50,
}


def test_nothing_is_lost_in_any_run():
    workers = os.cpu_count() or 1
    shares = [len(range(worker, RUNS, workers)) for worker in range(workers)]
    starts = [FIRST_SEED + sum(shares[:worker]) for worker in range(workers)]
    command = [sys.executable, "-m", "tests.simulation.runs", "--counts"]
    playing = [
        subprocess.Popen([*command, str(start), "--count", str(share)], cwd=ROOT, stdout=subprocess.PIPE, text=True)
        for start, share in zip(starts, shares, strict=True)
        if share
    ]
    told = [process.communicate()[0] for process in playing]
    failures = [line for text in told for line in text.splitlines() if line.startswith("seed ")]
    assert failures == [], "one of them again: python -m tests.simulation.runs SEED"
    assert [process.returncode for process in playing] == [0] * len(playing)
    counts = sum((Counter(json.loads(text)) for text in told), Counter())
    assert {what: counts[what] for what, least in MET.items() if counts[what] < least * RUNS / 1000} == {}


def test_a_seed_gives_the_same_run_again():
    command = [sys.executable, "-m", "tests.simulation.runs", "7"]
    one, two = (subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True) for _ in range(2))
    assert len(one.stdout.splitlines()) > 20
    assert [line.split(":")[0] for line in one.stdout.splitlines()] == [
        line.split(":")[0] for line in two.stdout.splitlines()
    ]
