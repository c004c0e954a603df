"""Whether a repair holds, on logs of repairs and drives."""

import pytest

from coiltrail.core import casefile, explanations, verification
from demo_fixtures.logbook import Logbook


def repaired(*, circumstances=("always",), before=None, codes=()) -> Logbook:
    """Coil 3 proved dead by a swap and replaced."""
    log = Logbook("repaired")
    log.complaint("shakes", circumstances=circumstances)
    if codes:
        log.codes(*codes)
    if before:
        log.drive(**before)
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
    log.swap("coil", 3, 1)
    log.drop({3: "full", 1: "none"})
    log.replace("coil.1")
    return log


def fixed(log: Logbook) -> dict:
    case = casefile.fold(log.entries)
    return verification.fixed(case, explanations.Diagnosis(case))


def test_before_a_repair_there_is_nothing_to_prove():
    assert fixed(Logbook("none")) is None


def test_a_repair_not_driven_is_not_proved():
    told = fixed(repaired())
    assert told["driven"] == 0
    assert told["p"] < 0.99
    assert "Not driven yet" in told["text"]


def test_clean_minutes_raise_it():
    log = repaired(before={"minutes": 10, "felt": "sometimes"})
    probabilities = []
    for _ in range(3):
        probabilities.append(fixed(log)["p"])
        log.drive(10)
    assert probabilities == sorted(probabilities)
    assert probabilities[-1] > probabilities[0]


def test_clean_minutes_do_not_make_the_cause_likelier_a_second_time():
    # The chance that the repair hit the cause is judged before the drive; only the drive's own term moves.
    log = repaired(before={"minutes": 10, "felt": "sometimes"})
    prior = fixed(log)["p"]
    log.drive(20)
    told = fixed(log)
    misses, minutes = verification.DEAD_CYLINDER_AS
    assert told["p"] == pytest.approx(verification.holds(prior, misses + 0.5, minutes, 20), rel=1e-9)


def test_a_miss_on_the_drive_ends_it():
    log = repaired()
    log.drive(10)
    log.drive(5, felt="sometimes")
    told = fixed(log)
    assert told["p"] == 0
    assert told["to_95"] is None
    assert "still misses" in told["text"]


def test_misfires_counted_on_a_drive_that_felt_clean_end_it_too():
    log = repaired()
    log.drive(10, counts={3: 4})
    assert fixed(log)["p"] == 0


@pytest.mark.parametrize(
    ("circumstances", "conditions", "counts"),
    [
        (["cold"], ["hot"], False),
        (["cold"], ["cold"], True),
        (["cold"], ["load"], True),
        (["load"], ["idle", "hot"], False),
        (["load"], ["idle", "load"], True),
        (["wet"], ["dry"], False),
        (["wet", "load"], ["wet", "idle"], False),
        (["idle", "load"], ["idle"], True),
        (["always"], ["idle"], True),
        (["cold"], None, True),
    ],
)
def test_minutes_count_under_what_used_to_provoke_it(circumstances, conditions, counts):
    log = repaired(circumstances=circumstances)
    log.drive(12, conditions=conditions)
    told = fixed(log)
    assert (told["driven"], told["uncounted"]) == ((12, 0) if counts else (0, 12))
    assert ("do not count" in told["text"]) != counts


def test_what_the_last_missing_drive_was_like_comes_before_the_complaint():
    log = repaired(circumstances=["cold"], before={"minutes": 8, "felt": "always", "conditions": ["load", "hot"]})
    log.drive(12, conditions=["hot", "load"])
    assert fixed(log)["driven"] == 12


def test_a_part_nobody_suspected_proves_little_when_replaced():
    log = Logbook("wrong part")
    log.complaint("shakes", circumstances=["always"])
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
    log.replace("plug.1")
    assert fixed(log)["p"] < 0.1


def test_a_mended_connector_and_a_cleaned_injector_are_told_apart_from_what_they_were():
    for mend in (
        lambda log: log.mend("coil_connector@3"),
        lambda log: log.add("repair", work="cleaned", place="coil.3"),
    ):
        log = Logbook("mended")
        log.complaint("shakes", circumstances=["sometimes"])
        log.check("wiggle", "misses", place="coil.3")
        log.check("connector_look", "pin_back", place="coil.3")
        mend(log)
        log.drive(30)
        assert 0.05 < fixed(log)["p"] <= verification.MOST_SURE


class TestCodesAfter:
    def after(self, *codes, before=("P0303", "P0420"), clear=True, status="stored"):
        log = repaired(codes=before)
        if clear:
            log.clear()
        log.drive(15)
        log.codes(*codes, status=status)
        return verification.codes_after(casefile.fold(log.entries))

    def test_a_code_of_the_complaint_that_comes_back_has_returned(self):
        assert self.after("P0303")["returned"] == ["P0303"]

    def test_what_stands_apart_is_left_for_later(self):
        told = self.after("P0420")
        assert (told["returned"], told["later"], told["gone"]) == ([], ["P0420"], ["P0303"])

    def test_what_was_not_there_before_is_new(self):
        assert self.after("P0171")["new"] == ["P0171"]

    def test_a_permanent_code_outlives_clearing_and_has_not_returned(self):
        told = self.after("P0303", status="permanent")
        assert (told["returned"], told["permanent"]) == ([], ["P0303"])

    def test_clearing_sets_readiness_back(self):
        assert "catalyst" in self.after()["readiness"]
        assert self.after(clear=False)["readiness"] == []

    def test_codes_nobody_read_again_are_not_called_gone(self):
        log = repaired(codes=("P0303",))
        log.clear()
        assert verification.codes_after(casefile.fold(log.entries))["gone"] == []
