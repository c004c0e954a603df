"""A simulation that finds nothing proves nothing: each of these faults, put into the rules, is found."""

import subprocess
import sys
from pathlib import Path

import pytest

from .mutants import MUTANTS

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("number", range(len(MUTANTS)), ids=[mutant.fault for mutant in MUTANTS])
def test_it_is_found(number):
    command = [sys.executable, "-m", "tests.simulation.mutants", str(number)]
    played = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert played.returncode == 0, played.stdout + played.stderr
    assert "found by seed" in played.stdout
