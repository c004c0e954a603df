"""One part or the set: the sums, and what turns them."""

import json
import math
import random
import re

import pytest

from coiltrail.core import bridge, casefile, costs, explanations, replacement
from coiltrail.core.lifetimes import Weibull
from demo_fixtures.logbook import Logbook
from demo_fixtures.stories import log_of


def one_dead_coil(cylinders=4, noted=None, failed_at=2, **engine) -> Logbook:
    """A coil proved dead by a swap; ``noted`` is said of every coil."""
    log = Logbook(f"set {cylinders} {noted} {engine}", cylinders, **engine)
    for position in range(1, cylinders + 1):
        if noted:
            log.note_part("coil", f"coil.{position}", **noted)
    other = failed_at + 1
    log.complaint("shakes", "no_power", circumstances=["always"])
    log.drop({c: "none" if c == failed_at else "full" for c in range(1, cylinders + 1)})
    log.swap("coil", failed_at, other)
    log.drop({failed_at: "full", other: "none"})
    return log


def compared(log: Logbook, horizon=None, **means) -> dict:
    case = casefile.fold(log.entries)
    found = explanations.Diagnosis(case)
    return replacement.one_or_set(found, costs.Costs(case, **means), horizon)


UNKNOWN = {"origin": "other", "use": "unknown"}
YOUNG = {"origin": "original", "use": "new", "age_months": 12}


def test_parts_of_doubtful_make_and_age_are_replaced_as_a_set():
    told = compared(one_dead_coil(noted=UNKNOWN))
    assert told["advice"] == "set"
    assert told["set"]["total"] < told["one"]["total"]
    assert told["break_even"] > told["price"]


def test_among_young_originals_only_the_failed_one_is_replaced():
    told = compared(one_dead_coil(noted=YOUNG))
    assert told["advice"] == "one"
    assert max(row["fails"] for row in told["siblings"]) < 0.1


def test_the_sums_are_shown_and_add_up():
    told = compared(one_dead_coil(noted=UNKNOWN))
    for way in ("one", "set"):
        assert told[way]["total"] == pytest.approx(told[way]["now"] + told[way]["later"])
    assert len(told["siblings"]) == 3
    assert re.search(r"worth it as long as a new part costs no more than [0-9]+.min.$", told["text"])


@pytest.mark.parametrize("rate", [None, 61, 77.5, 90.3])
def test_the_text_speaks_of_the_numbers_that_are_shown(rate):
    for noted in (UNKNOWN, YOUNG):
        told = compared(
            one_dead_coil(noted=noted), **({"labour_rate": rate, "prices": {"coil": 43.35}} if rate else {})
        )
        one, whole = told["one"]["shown"], told["set"]["shown"]
        for way in (one, whole):
            assert way["total"] == way["now"] + way["later"]
        dearer, spared = whole["now"] - one["now"], max(0, one["later"] - whole["later"])
        said = [int(number) for number in re.findall(r"[0-9]+", told["text"])]
        assert said[:3] == [dearer, spared, 36]


def test_at_the_break_even_price_both_cost_the_same():
    log = one_dead_coil(noted=UNKNOWN)
    even = compared(log, prices={"coil": 60}, labour_rate=90)["break_even"]
    told = compared(log, prices={"coil": even}, labour_rate=90)
    assert told["unit"] == "money"
    assert told["set"]["total"] == pytest.approx(told["one"]["total"])
    assert compared(log, prices={"coil": even * 0.9}, labour_rate=90)["advice"] == "set"
    assert compared(log, prices={"coil": even * 1.1}, labour_rate=90)["advice"] == "one"


def test_an_owner_who_sells_soon_does_not_need_the_set():
    log = one_dead_coil(noted=UNKNOWN)
    assert compared(log, horizon=3)["advice"] == "one"
    assert compared(log, horizon=60)["advice"] == "set"


def one_bad_plug(finding: str, good=(), **noted) -> Logbook:
    """Plug 2 proved bad by a look and a swap; plugs ``good`` were looked at too."""
    log = Logbook(f"plug {finding} {good}", vehicle={"year": 2014})
    log.complaint("shakes", circumstances=["always"])
    log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
    log.check("plug_look", finding, place="plug.2")
    for position in good:
        log.check("plug_look", "good", place=f"plug.{position}")
    log.swap("plug", 2, 3)
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
    return log


def test_a_crack_in_one_plug_says_nothing_of_the_others():
    cracked, worn = compared(one_bad_plug("cracked")), compared(one_bad_plug("worn"))
    assert "damage of one part" in cracked["text"] and "damage of one part" not in worn["text"]
    for one, other in zip(cracked["siblings"], worn["siblings"], strict=True):
        assert one["fails"] < 0.8 * other["fails"]


def test_a_plug_looked_at_and_good_is_no_risk_for_years():
    unseen = compared(one_bad_plug("cracked"))
    seen = compared(one_bad_plug("cracked", good=(1, 3, 4)))
    assert [row["fails"] for row in seen["siblings"]] == [0.0, 0.0, 0.0]
    assert min(row["fails"] for row in unseen["siblings"]) > 0.1
    assert seen["one"]["later"] < 0.5 * unseen["one"]["later"]
    assert seen["advice"] == "one" and "replace only what failed" in seen["text"]
    one = compared(one_bad_plug("cracked", good=(1,)))
    assert [row["fails"] == 0.0 for row in one["siblings"]] == [True, False, False]


def test_the_latest_look_counts_and_a_look_tells_nothing_of_a_winding():
    log = one_bad_plug("cracked", good=(1,))
    log.check("plug_look", "sooty", place="plug.1")
    assert compared(log)["siblings"][0]["fails"] > 0.1
    coils, before = one_dead_coil(noted=UNKNOWN), compared(one_dead_coil(noted=UNKNOWN))
    coils.check("coil_look", "good", place="coil.1")
    assert compared(coils)["siblings"][0]["fails"] == pytest.approx(before["siblings"][0]["fails"])


def test_a_set_that_is_renewed_for_what_was_seen_is_not_weighed_again():
    log = one_bad_plug("worn")
    assert compared(log) is not None
    log.check("plug_look", "worn", place="plug.1")
    log.check("plug_look", "worn", place="plug.4")
    assert compared(log) is None


@pytest.mark.parametrize("horizon", [0, -5, 1000])
def test_an_impossible_horizon_is_declined(horizon):
    with pytest.raises(ValueError, match="months"):
        compared(one_dead_coil(), horizon=horizon)


def test_worn_plugs_are_replaced_together():
    log = Logbook("plugs", vehicle={"year": 2014})
    for position in range(1, 5):
        log.note_part("plug", f"plug.{position}", origin="original", age_months=120)
    log.complaint("jerks", circumstances=["load"])
    log.drop({1: "full", 2: "full", 3: "small", 4: "full"})
    log.swap("coil", 3, 1)
    log.drop({3: "small", 1: "full"})
    log.check("plug_look", "cracked", place="plug.3")
    log.swap("plug", 3, 1)
    log.drop({3: "full", 1: "small"})
    assert compared(log)["kind"] == "plug"
    assert compared(log)["advice"] == "set"


def test_two_that_failed_speak_against_the_rest():
    one, two = one_dead_coil(6), Logbook("two of six", 6)
    two.complaint("shakes", "no_power", circumstances=["always"])
    two.drop({c: "none" if c in (2, 5) else "full" for c in range(1, 7)})
    two.swap("coil", 2, 1)
    two.swap("coil", 5, 6)
    two.drop({c: "none" if c in (1, 6) else "full" for c in range(1, 7)})
    assert len(compared(two)["failed"]) == 2
    assert compared(two)["siblings"][0]["fails"] > compared(one)["siblings"][0]["fails"]


def test_what_lies_under_a_cover_is_rather_done_in_one_go():
    open_, covered = (one_dead_coil(6, UNKNOWN, layout="vee") for _ in range(2))
    for position in (1, 3, 5):
        covered.note_part("coil", f"coil.{position}", reach="covered")
    assert compared(covered)["break_even"] > compared(open_)["break_even"]


@pytest.mark.parametrize("key", ["1", "3", "6", "9"])
def test_nothing_is_compared_where_no_part_is_proved_bad(key):
    told = json.loads(bridge.answer("diagnosis", json.dumps({"entries": log_of(key)})))
    assert told["replacement"] is None


def test_a_coil_without_siblings_is_simply_replaced():
    log = Logbook("distributor", ignition="distributor")
    log.complaint("shakes", circumstances=["always"])
    log.check("spark", "none", place="coil.1")
    log.check("coil_primary", "open", place="coil.1")
    log.check("coil_pulse", "present", place="coil.1")
    log.check("coil_supply", "good", place="coil.1")
    assert compared(log) is None


class TestRenewals:
    def test_a_law_without_wear_renews_evenly(self):
        # A Poisson stream: months over mean. Monthly steps lose a little.
        assert replacement.renewals(Weibull(1.0, 90.0), 36)[36] == pytest.approx(36 / 90, rel=0.02)

    @pytest.mark.parametrize(("shape", "scale", "age"), [(1.4, 110, 60), (2.0, 40, 30), (3.0, 95, 110)])
    def test_against_drawn_lifetimes(self, shape, scale, age):
        draw, law, months, runs = random.Random(7), Weibull(shape, scale), 36, 40_000

        def life(older):
            return scale * (law.hazard_until(older) - math.log(draw.random())) ** (1 / shape) - older

        failures = 0
        for _ in range(runs):
            at = life(age)
            while at <= months:
                failures += 1
                at += life(0)
        found = replacement.failures(law, age, 1.0, replacement.renewals(law, months))
        assert found == pytest.approx(failures / runs, rel=0.04)

    @pytest.mark.parametrize("shape", [0.6, 0.8, 1.0])
    def test_what_does_not_wear_out_is_never_replaced_before_it_fails(self, shape):
        # From memory, age replacement: with a shape of at most one, preventive replacement never pays.
        law = Weibull(shape, 120.0)
        renewed = replacement.renewals(law, 36)
        for age in (0, 12, 60, 150):
            assert replacement.failures(law, age, 1.0, renewed) <= renewed[36] * (1 + 1e-9)
