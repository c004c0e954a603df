"""The shelf of the whole shop, by what should happen next, and what each brand's parts came to."""

import pytest
from scipy import stats

from coiltrail.store.clock import uuid7

from .error_shape import assert_error
from .test_tags import CODE, bound


def with_coil(phone, brand="Wexley", number="WX-7781", closed=True, failed=True, **fate):
    """A case in which the coil of 3 was replaced, blamed and laid aside; the coil's id."""
    case, coil = uuid7(), uuid7()
    entries = [
        phone.case_opened(case, vehicle={"plate": "SH 1", "make": "Larkfield"}),
        phone.entry(
            "part_noted",
            {"part": coil, "kind": "coil", "place": "coil.3", "brand": brand, "part_number": number, "age_months": 30},
            case=case,
        ),
        phone.entry("repair", {"work": "replaced", "place": "coil.3", "brand": "Tarn", "part_number": "T9"}, case=case),
        phone.entry("part_fate", {"part": coil, "fate": "shelf"} | fate, case=case),
    ]
    if closed:
        cause = {"cause": "Coil", "components": ["coil@3"] if failed else ["plug@3"]}
        entries.append(phone.entry("case_closed", cause, case=case))
    phone.sync(*entries)
    return case, coil


def shelf(phone, **asked):
    response = phone.client.get("/api/shelf", query_string=asked)
    assert response.status_code == 200, response.text
    return response.json


def counts(phone):
    return {(row["brand"], row["part_number"]): row for row in phone.client.get("/api/shelf/counts").json["counts"]}


def test_a_part_is_listed_with_what_it_is_and_what_comes_next(phone):
    case, coil = with_coil(phone)
    phone.sync(bound(phone, case, coil))
    (part,) = shelf(phone)["parts"]
    told = ("case", "part", "tag", "brand", "part_number", "title", "cylinders", "next", "blamed")
    assert [part[name] for name in told] == [case, coil, CODE, "Wexley", "WX-7781", "Larkfield", [3], "bench", True]


def test_a_tag_that_two_phones_bound_in_two_cases_is_flagged_on_the_part_that_had_it_first(phone):
    first, second = with_coil(phone), with_coil(phone)
    phone.sync(bound(phone, *first))
    phone.sync(bound(phone, *second))
    told = {part["case"]: (part["tag"], part["tag_on"]) for part in shelf(phone)["parts"]}
    assert told == {
        first[0]: (CODE, {"case": second[0], "part": second[1]}),
        second[0]: (CODE, None),
    }


def test_the_nearest_day_of_return_comes_first_and_what_waits_is_counted(phone):
    with_coil(phone, deadline="2027-01-01")
    with_coil(phone)
    with_coil(phone, deadline="2026-12-01")
    with_coil(phone, fate="scrapped")
    told = shelf(phone)
    assert [part["deadline"] for part in told["parts"]] == ["2026-12-01", "2027-01-01", None]
    assert told["waiting"] == {"warranty": 2, "bench": 1, "gone": 1}
    assert [part["next"] for part in shelf(phone, next="bench")["parts"]] == ["bench"]
    assert [part["fate"] for part in shelf(phone, next="gone")["parts"]] == ["scrapped"]


def test_a_part_is_found_by_the_note_that_says_where_it_lies(phone):
    case, _ = with_coil(phone, note="Grey box, second shelf")
    with_coil(phone)
    (part,) = shelf(phone, q="grey box")["parts"]
    assert (part["case"], part["note"]) == (case, "Grey box, second shelf")
    assert sorted(one["note"] for one in shelf(phone)["parts"]) == ["", "Grey box, second shelf"]


def test_a_part_is_found_by_what_is_printed_on_it(phone):
    case, coil = with_coil(phone)
    with_coil(phone, brand="Brand é", number="100%")
    phone.sync(bound(phone, case, coil))
    for typed in ("wexley", "wx-7781", CODE.lower()):
        assert [part["part"] for part in shelf(phone, q=typed)["parts"]] == [coil], typed
    assert [part["part_number"] for part in shelf(phone, q="100% é")["parts"]] == ["100%"]
    assert shelf(phone, q="_")["parts"] == []


def test_a_part_is_found_by_its_car_plate_customer_kind_and_a_piece_of_its_tag(phone):
    case, coil = with_coil(phone)
    phone.sync(bound(phone, case, coil))
    other = uuid7()
    phone.sync(
        phone.case_opened(other, vehicle={"plate": "QX 77 B", "make": "Zedex"}, customer={"name": "Iñés Vantley"}),
        phone.entry("repair", {"work": "replaced", "place": "plug.2"}, case=other),
        phone.entry("part_fate", {"part": f"{other}.plug.2", "fate": "shelf", "next": "spare"}, case=other),
    )
    for typed in ("sh1", "SH-1", "larkfield coil", "coil 3", CODE[:4].lower(), CODE[3:7], CODE[-3:]):
        assert [part["part"] for part in shelf(phone, q=typed)["parts"]] == [coil], typed
    for typed in ("qx77b", "77-b", "ines vant", "bujía", "plug zedex"):
        assert [part["case"] for part in shelf(phone, q=typed)["parts"]] == [other], typed
    told = shelf(phone, q="zedex")
    assert told["waiting"] == {"spare": 1}
    assert shelf(phone, q="zedex", next="bench")["parts"] == []
    for typed in ("zedex coil", "label", "photos", "null", "coil in the next row"):
        assert shelf(phone, q=typed)["parts"] == [], typed


def test_a_good_coil_that_was_blamed_is_shown_so_and_counts_as_no_failure(phone):
    case, coil = with_coil(phone)
    assert counts(phone)[("Wexley", "WX-7781")]["failed"] == 1
    phone.sync(phone.entry("part_fate", {"part": coil, "fate": "bench_tested", "bench": "good"}, case=case))
    (part,) = shelf(phone)["parts"]
    assert (part["blamed"], part["cleared"], part["next"]) == (True, True, "spare")
    assert counts(phone)[("Wexley", "WX-7781")]["failed"] == 0


def test_counts_come_with_the_intervals_that_small_numbers_deserve(phone):
    for failed in (True, True, False):
        with_coil(phone, brand="WEXLEY" if failed else "Wexley", failed=failed)
    with_coil(phone, closed=False)
    told = counts(phone)
    row = told[("WEXLEY", "WX-7781")]
    assert (row["seen"], row["fitted"], row["failed"], row["aged"], row["months"]) == (3, 0, 2, 3, 90)
    assert row["share"] == pytest.approx([stats.beta.ppf(0.025, 2, 2), stats.beta.ppf(0.975, 3, 1)])
    assert row["rate"] == pytest.approx([stats.chi2.ppf(0.025, 4) / 2 / 0.9, stats.chi2.ppf(0.975, 6) / 2 / 0.9])
    fitted = told[("Tarn", "T9")]
    assert (fitted["seen"], fitted["fitted"], fitted["failed"], fitted["rate"]) == (3, 3, 0, None)


def test_a_part_fitted_here_and_met_again_is_one_part_with_its_months_in_service(phone):
    month = 2_629_746_000
    coil, start = uuid7(), 1_700_000_000_000
    for case, at in ((uuid7(), start), (uuid7(), start + 10 * month)):

        def entry(kind, body, after, case=case, at=at):
            return phone.entry(kind, body, case=case, at=[at + after, 0])

        opened = phone.case_opened(case) | {"at": [at, 0]}
        if at == start:
            came = entry("repair", {"work": "replaced", "place": "coil.2", "installed": coil, "brand": "Tarn"}, 1)
        else:
            came = entry("part_noted", {"part": coil, "kind": "coil", "place": "coil.2", "brand": "Tarn"}, 1)
        cause = "plug@1" if at == start else "coil@2"
        phone.sync(opened, came, entry("case_closed", {"cause": "Found", "components": [cause]}, 2))
    row = counts(phone)[("Tarn", "")]
    assert (row["seen"], row["fitted"], row["failed"], row["aged"]) == (1, 1, 1, 1)
    assert row["months"] == pytest.approx(10)


@pytest.mark.parametrize(
    ("asked", "field"),
    [({"next": "melt"}, "next"), ({"q": "x" * 10_000}, "q"), ({"cursor": -1}, "cursor"), ({"cursor": "x"}, "cursor")],
)
def test_what_cannot_be_asked_of_the_shelf(phone, asked, field):
    assert_error(phone.client.get("/api/shelf", query_string=asked), 422, "invalid", field)
