from coiltrail.core import checks

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
