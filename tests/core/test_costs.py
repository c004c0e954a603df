"""What steps cost: reach, shared ways in, tools, money."""

import pytest

from coiltrail.core import casefile, checks, costs, entries, faults, steps
from demo_fixtures.logbook import Logbook


def of(log: Logbook, **means) -> costs.Costs:
    return costs.Costs(casefile.fold(log.entries), **means)


def vee(**reaches: str) -> Logbook:
    """A V6 (1, 3, 5 and 2, 4, 6) with how some coils are reached: ``c1="covered"``."""
    log = Logbook("vee", 6, "vee")
    for key, reach in reaches.items():
        log.note_part("coil", f"coil.{key[1:]}", reach=reach)
    return log


def test_a_check_takes_its_minutes_and_the_fetching_of_its_tool():
    spent = of(vee())
    assert spent.of_check("connector_look", "coil.1") == (1, None)
    assert spent.of_check("spark", "coil.1") == (4 + checks.MINUTES_TOOL, None)


def test_a_tight_place_takes_longer():
    spent = of(vee(c1="tight"))
    assert spent.of_check("connector_look", "coil.1")[0] == 2 * spent.of_check("connector_look", "coil.3")[0]


def test_the_plug_is_reached_as_the_coil_that_sits_on_it():
    spent = of(vee(c1="covered"))
    assert spent.reach("plug.1") == spent.reach("boot.1") == "covered"
    assert spent.reach("injector.1") == "open"
    assert spent.of_check("compression", cylinder=1)[1] == spent.of_check("plug_look", "plug.1")[1] is not None


def test_a_plug_with_a_coil_of_its_own_place_is_reached_by_itself():
    log = Logbook("near", 4, "flat", "coil_near_plug")
    log.note_part("coil", "coil.1", reach="covered")
    assert of(log).reach("plug.1") == "open"


def test_what_lies_under_one_cover_shares_its_way_in():
    spent = of(vee(c1="covered", c3="covered", c2="covered"))
    ways = [spent.of_repair("coil", f"coil.{position}")[2] for position in (1, 3, 2, 4)]
    assert ways[0] == ways[1] != ways[2]
    assert ways[3] is None
    assert set(ways) - {None} <= set(spent.ways())


def test_a_way_stays_open_until_the_car_is_driven():
    log = vee(c1="covered", c3="covered")
    assert of(log).opened == ()
    log.check("connector_look", "good", place="coil.1")
    assert of(log).opened == (of(log).of_repair("coil", "coil.3")[2],)
    log.drive(5, felt="always")
    assert of(log).opened == ()


class TestWithACoilOff:
    """What lies under a coil that was just taken off costs only its own minutes."""

    def minutes(self, log: Logbook, check: str = "plug_look", place: str | None = "plug.3", **where) -> float:
        return of(log).of_check(check, place, **where)[0]

    def looked(self, **engine) -> Logbook:
        log = Logbook("coil off", 6, "vee", **engine)
        log.check("coil_look", "good", place="coil.3")
        return log

    def test_the_coil_is_not_paid_for_twice(self):
        shut, open_ = vee(), self.looked()
        assert self.minutes(open_) == self.minutes(shut) - costs.MINUTES_COIL
        assert self.minutes(open_, "compression", None, cylinder=3) == (
            self.minutes(shut, "compression", None, cylinder=3) - costs.MINUTES_COIL
        )

    def test_other_cylinders_and_what_needs_no_coil_off_cost_as_before(self):
        shut, open_ = vee(), self.looked()
        for check, place in (
            ("plug_look", "plug.1"),
            ("injector_sound", "injector.3"),
            ("connector_look", "coil.3"),
            ("coil_supply", "coil.3"),
        ):
            assert self.minutes(open_, check, place) == self.minutes(shut, check, place), check

    def test_a_look_at_its_connector_or_a_note_leaves_it_off(self):
        log = self.looked()
        log.check("connector_look", "good", place="coil.3")
        log.note_part("coil", "coil.3", brand="Ferrolane")
        assert of(log).coils_off == [3]

    def test_it_is_back_on_once_the_engine_runs_or_the_next_coil_is_looked_at(self):
        for back_on in (
            lambda log: log.drive(5, felt="always"),
            lambda log: log.drop({3: "none"}),
            lambda log: log.check("injector_sound", "clicks", place="injector.3"),
            lambda log: log.swap("coil", 3, 1),
        ):
            log = self.looked()
            back_on(log)
            assert of(log).coils_off == []
        log = self.looked()
        log.check("coil_look", "good", place="coil.1")
        assert of(log).coils_off == [1]

    def test_a_coil_moved_off_the_engine_is_off(self):
        log = vee()
        log.move(("coil.3", "off"))
        assert of(log).coils_off == [3]
        assert self.minutes(log) == self.minutes(vee()) - costs.MINUTES_COIL

    def test_a_plug_that_does_not_lie_under_its_coil_costs_as_before(self):
        assert of(self.looked(ignition="coil_near_plug")).coils_off == []


def test_a_check_takes_the_same_minutes_wherever_they_are_told():
    """On the list of checks, as a step of its own, and in a round, where the tool is fetched once."""
    listed = {check["key"]: check["minutes"] for check in entries.declaration()["checks"]}
    for check in checks.CHECKS:
        key, spent = check["key"], of(vee())
        assert spent.of_check(key)[0] == listed[key], key
        assert steps.round_of(key, 1, "")["minutes"] == listed[key], key
    assert steps.round_of("plug_look", 6, "")["minutes"] == 6 * 6 + checks.MINUTES_TOOL


def test_the_latest_word_on_how_a_place_is_reached_counts():
    log = vee(c1="covered")
    log.note_part("coil", "coil.1", reach="open")
    assert of(log).reach("coil.1") == "open"


def test_a_swap_takes_both_places_into_account():
    assert of(vee(c1="tight")).of_swap("coil", 1, 2)[0] > of(vee()).of_swap("coil", 1, 2)[0]
    assert of(vee(c1="covered")).of_swap("coil", 2, 1)[1] is not None


def test_only_checks_whose_tools_are_at_hand_are_feasible():
    spent = of(vee(), tools=["meter", "plug_socket"])
    assert spent.feasible("coil_supply"), "a meter does where a lamp would"
    assert spent.feasible("connector_look")
    assert not spent.feasible("spark")
    assert not spent.feasible("compression"), "the gauge is missing, though the socket is there"


def test_where_nobody_said_what_is_in_the_van_everything_is():
    assert of(vee()).feasible("leak_down")
    assert not of(vee(), tools=[]).feasible("leak_down")


def test_an_unknown_tool_is_declined():
    with pytest.raises(ValueError, match="oscillator"):
        of(vee(), tools=["oscillator"])


def test_money_is_put_in_minutes_of_labour():
    spent = of(vee(), prices={"coil": 60}, labour_rate=90)
    assert spent.price("coil") == pytest.approx(40)
    assert spent.price("plug") == faults.BY_KIND["plug"]["money"]
    assert spent.of_repair("coil", "coil.2")[0] == pytest.approx(8 + 40 + costs.MINUTES_TEST)


@pytest.mark.parametrize("rate", [None, 0, -5])
def test_prices_without_a_rate_are_declined(rate):
    with pytest.raises(ValueError, match="labor rate"):
        of(vee(), prices={"coil": 60}, labour_rate=rate)
