"""Deeper advice, trust and learning answer with the same bytes on both runtimes."""

import json

import pytest

from demo_fixtures.stories import log_of
from tests.core.trade_cases import CASES
from tests.runtimes.runner import answers_on_cpython, answers_on_micropython

TOLD = {case.key: case for case in CASES}
QUESTIONS = {
    "deeper advice": ("deeper_advice", {"entries": log_of("1")}),
    "trust": ("trust", {"entries": log_of("8")}),
    "one or the set": (
        "diagnosis",
        {"entries": log_of("13a"), "prices": {"coil": 45}, "labour_rate": 80, "horizon_months": 48},
    ),
    "learned": ("learned", {"entries": log_of("whole") + log_of("14a")}),
    **{
        key: ("diagnosis", {"entries": TOLD[key].build().entries, **TOLD[key].means})
        for key in ("bare_hands", "distributor_coil", "the_lead_carries_it", "no_compression", "gone_since_the_swap")
    },
}


@pytest.mark.parametrize("key", QUESTIONS)
def test_answered_alike(key):
    question = QUESTIONS[key]
    [here], [phone] = answers_on_cpython([question]), answers_on_micropython([question])
    assert "error" not in json.loads(here), here
    assert phone == here
