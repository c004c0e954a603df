from coiltrail.core import checks, entries, evidence
from coiltrail.core.engine import Engine

TOOLS = [key for key, _ in checks.TOOLS]


def test_what_a_check_takes_is_declared_as_tools():
    for check in checks.CHECKS:
        for group in check["tools"]:
            assert group and set(group) <= set(TOOLS), check["key"]
        assert bool(check["needs"]) == bool(check["tools"]), check["key"]


def test_every_tool_serves_some_check_or_reading_codes():
    used = {tool for check in checks.CHECKS for group in check["tools"] for tool in group}
    assert used | {"code_reader"} == set(TOOLS)


def test_what_is_got_at_is_a_kind_of_part():
    assert {check["reach"] for check in checks.CHECKS} <= {"", "coil", "plug", "boot", "injector"}


def test_checks_that_make_a_spark_carry_a_caution():
    assert all(check["caution"] for check in checks.CHECKS if check["sparks"])


def test_a_round_says_which_findings_do_not_stand_out():
    for check in checks.CHECKS:
        declared = [finding["value"] for finding in check["findings"]]
        assert set(check["well"]) <= set(declared), check["key"]
        assert bool(check["well"]) == check["round"], check["key"]
        assert set(check["well"]) != set(declared) or not check["round"], check["key"]
    assert checks.BY_KEY["drop"]["well"] == ["full"]
    assert checks.BY_KEY["compression"]["well"] == ["good"]
    assert checks.BY_KEY["misfire_counts"]["well"] == ["none"]


def test_conditions_are_asked_only_where_a_finding_depends_on_them():
    known = [value for value, _ in entries.CONDITIONS]
    asked = {check["key"]: check["conditions"] for check in checks.CHECKS if check["conditions"]}
    assert set(asked) == {"wiggle", "drop", "misfire_counts", "spark", "fuel_pressure"}
    for conditions in asked.values():
        assert conditions == [condition for condition in known if condition in conditions]


def test_conditions_are_asked_for_every_check_that_is_weighed_by_them():
    for check in evidence.RUNNING:
        assert "wet" in checks.BY_KEY[check]["conditions"], check


def test_the_caution_of_a_way_to_disable_says_what_can_hurt_in_that_way_and_is_short():
    drop = checks.BY_KEY["drop"]
    cautions = {way["value"]: way["caution"] for way in drop["ways"]}
    [disabled] = [field for field in entries.BY_KIND["check"]["fields"] if field["name"] == "disabled"]
    assert set(cautions) == {choice["value"] for choice in disabled["choices"]}
    for caution in cautions.values():
        for words in ("catalyst", "unburnt", "short", "cool between", "fan and belts", "parking brake", "open air"):
            assert words in caution, words
        assert len(caution) < len(drop["caution"])
    assert [way for way in cautions if "pacemaker" in cautions[way]] == ["coil"]
    assert "strike" in cautions["coil"] and "path to ground" in cautions["coil"]
    assert "no fuel line" in cautions["injector"]
    assert "the fuel, not the spark" in cautions["tool"]


def test_as_long_as_no_way_is_chosen_the_caution_is_of_all():
    caution = checks.BY_KEY["drop"]["caution"]
    assert "unburnt fuel" in caution and "pacemaker" in caution and "fan and belts" in caution


def test_holding_the_speed_is_no_work_on_what_sparks():
    caution = checks.BY_KEY["rpm_effect"]["caution"]
    assert "catalyst" in caution and "pacemaker" not in caution


def test_a_cap_is_looked_at_where_there_is_one():
    fitting = {
        ignition: [
            check["key"] for check in checks.CHECKS if not checks.fits(check["key"], Engine(4, "inline", ignition))
        ]
        for ignition in ("coil_on_plug", "coil_near_plug", "waste_spark", "distributor")
    }
    assert fitting.pop("distributor") == []
    assert all(left_out == ["cap_look"] for left_out in fitting.values())
