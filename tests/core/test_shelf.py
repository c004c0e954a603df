"""Where a part is, what should happen to it next, and that a good one that was blamed is no failure."""

import pytest

from coiltrail.core import casefile, learning, shelf
from demo_fixtures.logbook import Logbook
from demo_fixtures.stories import tag_code


def replaced(*components, close=True, **fate):
    """A coil that was replaced and laid aside."""
    log = Logbook("shelf")
    log.note_part("coil", "coil.3", brand="Wexley", part_number="WX-1", age_months=40)
    old = log.part_at("coil.3")
    log.move(("coil.3", "coil.1"), ("coil.1", "coil.3"))
    log.replace("coil.1", brand="Tarn", part_number="T9")
    log.fate(old, **{"fate": "shelf"} | fate)
    if close:
        log.close("Coil", components=list(components or ("coil@3",)))
    return log, old


def row(log, part):
    return next(row for row in shelf.rows(casefile.fold(log.entries)) if row["part"] == part)


def test_a_row_tells_what_the_part_is_and_what_it_served():
    log, old = replaced()
    told = row(log, old)
    assert (told["brand"], told["part_number"], told["cylinders"]) == ("Wexley", "WX-1", [3, 1])
    assert (told["fate"], told["place"], told["blamed"], told["cleared"]) == ("shelf", "off", True, False)


def test_a_part_is_on_the_list_by_its_tag_alone():
    log = Logbook("tagged")
    assert shelf.rows(casefile.fold(log.entries)) == []
    log.tag(tag_code("tagged"), f"{log.case}.coil.2")
    assert [(r["part"], r["next"]) for r in shelf.rows(casefile.fold(log.entries))] == [(f"{log.case}.coil.2", None)]


@pytest.mark.parametrize(
    ("fate", "next_", "deadline"),
    [
        ({}, "bench", None),
        ({"deadline": "2026-06-01"}, "warranty", "2026-06-01"),
        ({"next": "core"}, "core", None),
        ({"fate": "bench_tested", "bench": "bad"}, "scrap", None),
        ({"fate": "bench_tested", "bench": "bad", "deadline": "2026-06-01"}, "warranty", "2026-06-01"),
        ({"fate": "bench_tested", "bench": "unclear"}, "bench", None),
        ({"fate": "bench_tested", "bench": "good"}, "spare", None),
        ({"fate": "bench_tested", "bench": "good", "deadline": "2026-06-01"}, "spare", None),
        ({"next": "bench", "deadline": "2026-06-01"}, "bench", "2026-06-01"),
        ({"fate": "sent_back", "deadline": "2026-06-01"}, None, None),
        ({"fate": "scrapped"}, None, None),
    ],
)
def test_what_comes_next(fate, next_, deadline):
    log, old = replaced(**fate)
    assert (row(log, old)["next"], row(log, old)["deadline"]) == (next_, deadline)


def test_a_deadline_outlives_the_bench_and_ends_with_the_return():
    log, old = replaced(deadline="2026-06-01")
    log.fate(old, "bench_tested", bench="bad")
    assert (row(log, old)["next"], row(log, old)["deadline"], row(log, old)["bench"]) == (
        "warranty",
        "2026-06-01",
        "bad",
    )
    log.fate(old, "sent_back")
    assert (row(log, old)["next"], row(log, old)["deadline"], row(log, old)["bench"]) == (None, None, "bad")


def test_a_spare_that_was_never_suspected_is_kept():
    log = Logbook("spare")
    log.fate(f"{log.case}.coil.2", "shelf")
    log.move(("coil.2", "off"))
    log.fate(f"{log.case}.coil.2", "shelf")
    assert row(log, f"{log.case}.coil.2")["next"] == "spare"


class TestClearedByTheBench:
    def test_it_is_shown_on_the_shelf_and_in_the_case(self):
        log, old = replaced()
        log.fate(old, "bench_tested", bench="good")
        view = casefile.view(casefile.fold(log.entries))
        assert row(log, old)["cleared"]
        assert [(doubt["part"], doubt["entry"]) for doubt in view["doubts"]] == [(old, log.entries[-1]["id"])]
        assert "bench found it good" in view["doubts"][0]["text"]

    def test_it_counts_as_no_failure_for_learning(self):
        log, old = replaced("coil@3", "plug@2")
        before = learning.confirmed(casefile.fold(log.entries))
        tested = log.fate(old, "bench_tested", bench="good")
        assert (before, learning.confirmed(casefile.fold(log.entries))) == (["coil", "plug"], ["plug"])
        log.strike(tested)
        assert learning.confirmed(casefile.fold(log.entries)) == ["coil", "plug"]

    def test_what_was_mended_is_the_same_part(self):
        log, old = replaced("coil@3/mended")
        log.fate(old, "bench_tested", bench="good")
        assert learning.confirmed(casefile.fold(log.entries)) == []

    def test_a_part_fitted_here_and_blamed_is_named_as_the_diagnosis_does(self):
        log, _ = replaced("coil@new", close=True)
        fitted = log.part_at("coil.1")
        assert shelf.blamed(casefile.fold(log.entries)) == [fitted]

    def test_nothing_is_in_doubt_while_the_bench_says_bad_or_the_case_is_open(self):
        log, _ = replaced(fate="bench_tested", bench="bad")
        assert casefile.view(casefile.fold(log.entries))["doubts"] == []
        log, _ = replaced(close=False, fate="bench_tested", bench="good")
        assert casefile.view(casefile.fold(log.entries))["doubts"] == []


def test_tallies_count_fitted_and_failed_parts_of_a_brand():
    log, old = replaced()
    told = {t["brand"]: (t["fitted"], t["failed"], t["months"]) for t in shelf.tallies(casefile.fold(log.entries))}
    assert told == {"Wexley": (False, True, 40), "Tarn": (True, False, None)}
    log.fate(old, "bench_tested", bench="good")
    assert not any(t["failed"] for t in shelf.tallies(casefile.fold(log.entries)))
    assert shelf.tallies(casefile.fold(replaced(close=False)[0].entries)) == []


def test_a_part_that_a_look_judges_needs_no_bench():
    log = Logbook("cracked plug")
    cracked, plug, boot, coil = (log.part_at(place) for place in ("plug.3", "plug.2", "boot.4", "coil.1"))
    log.check("plug_look", "cracked", place="plug.3")
    log.check("coil_look", "tracked", place="coil.4")
    for place in ("plug.3", "plug.2", "boot.4", "coil.1"):
        log.replace(place)
    for part in (cracked, plug, boot, coil):
        log.fate(part, "shelf")
    assert [row(log, part)["next"] for part in (cracked, plug, boot, coil)] == ["scrap", "scrap", "scrap", "bench"]
    log.fate(boot, "shelf", deadline="2026-06-01")
    assert row(log, boot)["next"] == "warranty"
    log.fate(plug, "shelf", next="spare")
    assert row(log, plug)["next"] == "spare"


def test_what_was_tagged_is_kept_and_not_thrown_away():
    log = Logbook("tagged plug")
    old = log.part_at("plug.3")
    log.check("plug_look", "cracked", place="plug.3")
    log.replace("plug.3")
    log.tag(tag_code("kept"), old)
    assert row(log, old)["next"] == "evidence"
    log.fate(old, "scrapped")
    assert row(log, old)["next"] is None
