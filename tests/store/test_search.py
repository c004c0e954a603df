"""Cases are found by what stands in them, on both databases, and not by what was taken back."""

import dataclasses
import json

import pytest
from sqlalchemy import text

from coiltrail.core import tags
from coiltrail.store import derived, log, migrations, people, search
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db, writing
from coiltrail.store.models import CaseSummary, Shop
from tests.conftest import PASSWORD, config_in, new_phone, running

CODE = next(code for code in (tags.new_tag(bytes([k] * 6)) for k in range(1, 99)) if code)
VIN = "4ZXLT6A45EF104217"
DAY_MS = 86_400_000


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def shop(request, tmp_path_factory):
    """A shop on either database, with a case of everything."""
    config = config_in(tmp_path_factory.mktemp("found"))
    if request.param == "postgresql":
        config = dataclasses.replace(config, database_url=request.getfixturevalue("postgres_url"))
    yield from _with_cases(config)


def _with_cases(config):
    for app in running(config):
        migrations.apply(app)
        with app.app_context():
            with writing() as session:
                shop_id = people.add_shop(session, "Driveway Motors", "555-0134").id
            people.add_person(shop_id, "Ada Quill", "owner", PASSWORD)
        yield app


@pytest.fixture
def phone(shop):
    return new_phone(shop, "Ada Quill")


@pytest.fixture
def found(shop):
    """Finds cases of the shop: their ids."""

    def find(typed="", **more):
        with shop.app_context():
            shop_id = db.session.query(Shop).one().id
            try:
                return [row["case"] for row in search.cases(shop_id, search.Sought(typed, **more)).cases]
            finally:
                db.session.remove()

    return find


def whole_case(phone, plate="KV-41 TRN", vin=VIN, customer="Odile Ferrant", number="(503) 555-0142"):
    case = uuid7()
    customer = {"name": customer, "phone": number}
    vehicle = {"plate": plate, "vin": vin, "make": "Larkfield", "model": "Dunnock"}
    entries = [
        phone.case_opened(case, vehicle=vehicle, customer=customer),
        phone.entry("codes_read", {"codes": [{"code": "P0303", "status": "stored"}]}, case=case),
        phone.entry("tag_bound", {"code": CODE, "part": f"{case}.coil.3"}, case=case),
        phone.entry("note", {"text": "Mouse nest under the Plenum"}, case=case),
        phone.entry(
            "part_noted", {"part": uuid7(), "kind": "coil", "brand": "Wexley", "part_number": "WX-7781"}, case=case
        ),
    ]
    phone.sync(*entries)
    return case, entries


FOUND_BY = (
    *("kv41trn", "KV 41", "41trn", VIN, VIN[-6:].lower()),
    *("odile", "FERR", "dunnock odile", "555 0142", "5035550142", "+1 503-555-0142"),
    *("p0303", "cylinder 3", CODE, tags.with_groups(CODE).lower()),
    *("mouse plen", "wx7781", "wexley", "larkf", "quill", "ada mouse"),
)


@pytest.mark.parametrize("typed", FOUND_BY)
def test_a_case_is_found_by(typed, phone, found):
    case, _ = whole_case(phone)
    assert case in found(typed)


@pytest.mark.parametrize("typed", ["kv42", "mice", "p0304", "odile nobody", "555-0143", "???", "'", '"*', "a:b NEAR("])
def test_a_case_is_not_found_by(typed, phone, found):
    case, _ = whole_case(phone)
    assert case not in found(typed)


def test_what_was_struck_is_found_no_more_and_again_when_the_strike_is_struck(phone, found):
    case, entries = whole_case(phone, plate="ST 1")
    phone.sync(strike := phone.entry("struck", {"entry": entries[3]["id"], "why": "Slip"}, case=case))
    assert case not in found("mouse")
    phone.sync(phone.entry("struck", {"entry": strike["id"], "why": "No slip"}, case=case))
    assert case in found("mouse")


def test_what_was_erased_is_found_no_more_and_the_findings_are(phone, found):
    case, entries = whole_case(phone, plate="ER 77", customer="Cosmo Blank", number="555-0177")
    assert case in found("cosmo")
    phone.sync(phone.entry("erased", {"entries": [entries[0]["id"]], "why": "Asked"}, case=case))
    for typed in ("cosmo", "er77", "5550177", VIN):
        assert case not in found(typed)
    assert case in found("mouse")


def test_states_people_and_days(phone, found):
    case, _ = whole_case(phone, plate="OP 55")
    now = phone.entry()["at"][0]
    assert case in found("op55", closed=False) and case not in found("op55", closed=True)
    phone.sync(phone.entry("case_closed", {"cause": "A coil"}, case=case))
    assert case in found("op55", closed=True) and case not in found("op55", closed=False)
    assert case in found("op55", by=phone.by) and case not in found("op55", by=uuid7())
    assert case in found(by=phone.by)
    assert case in found("op55", since=now - DAY_MS, until=now)
    assert case not in found("op55", since=now + DAY_MS) and case not in found("op55", until=now - DAY_MS)


def test_pages_hold_every_case_once_the_latest_first(phone, shop):
    made = [uuid7() for _ in range(search.PAGE * 2 + 3)]
    phone.sync(
        *(phone.case_opened(case, vehicle={"plate": f"PAGE {n}", "make": "Pageant"}) for n, case in enumerate(made))
    )
    with shop.app_context():
        shop_id, cursor, seen = db.session.query(Shop).one().id, None, []
        while True:
            page = search.cases(shop_id, search.Sought("pageant"), cursor)
            seen += [row["case"] for row in page.cases]
            cursor = page.cursor
            if cursor is None:
                break
        db.session.remove()
    assert seen == made[::-1]


def test_a_case_whose_opening_is_missing_is_listed_all_the_same(phone, found, shop):
    case = uuid7()
    phone.sync(phone.entry("note", {"text": "Orphan"}, case=case))
    assert case in found(by=phone.by)
    phone.sync(phone.case_opened(case, vehicle={"make": "Latecomer"}))
    assert case in found("orphan latecomer")


def test_the_shops_own_log_is_no_case(phone, found, shop):
    with shop.app_context():
        shop_id = db.session.query(Shop.id).scalar()
    phone.sync(phone.entry("prices_set", {"currency": "EUR", "labour_rate": 7200}, case=shop_id))
    assert shop_id not in found(by=phone.by)
    with shop.app_context():
        derived.reindex()
    assert shop_id not in found(by=phone.by)


def test_a_case_that_breaks_the_fold_holds_up_no_recording(phone, found, monkeypatch):
    def broken(case):
        raise TypeError("a mistake of ours")

    monkeypatch.setattr(derived, "_words", broken)
    case = uuid7()
    assert len(phone.sync(phone.case_opened(case, vehicle={"make": "Bugbear"}))["accepted"]) == 1
    assert case in found(by=phone.by)
    monkeypatch.undo()
    phone.sync(phone.entry(case=case))
    assert case in found("bugbear")


def test_vehicles_know_each_other_by_number_or_plate(phone, shop):
    vin = "4ZXLT6A45EF200001"
    first, _ = whole_case(phone, plate="SV 1", vin=vin)
    second, _ = whole_case(phone, plate="sv-1", vin="")
    third, _ = whole_case(phone, plate="SV 9", vin=vin)
    with shop.app_context():
        shop_id = db.session.query(Shop).one().id
        same = {case: {row["case"] for row in search.of_same_vehicle(shop_id, case)} for case in (first, second, third)}
        db.session.remove()
    assert same == {first: {second, third}, second: {first}, third: {first}}


def test_calls_to_make_go_when_somebody_called(phone, shop):
    case, _ = whole_case(phone, plate="CA 11")
    left = {"cause": "Coil", "later": [{"code": "P0420", "text": "Look at it by autumn"}, {"text": "Tyres"}]}
    phone.sync(closed := phone.entry("case_closed", left, case=case))

    def calls():
        with shop.app_context():
            told = [row for row in search.calls(db.session.query(Shop).one().id) if row["case"] == case]
            db.session.remove()
        return told

    first, second = calls()
    assert (first["customer"], first["phone"], first["code"]) == ("Odile Ferrant", "(503) 555-0142", "P0420")
    assert first["meaning"] and first["since"] == closed["at"][0] and first["tried"] is None
    tried = phone.entry("answered", {"question": first["question"], "answer": "not_reached"}, case=case)
    told = phone.entry("answered", {"question": second["question"], "answer": "declined"}, case=case)
    phone.sync(tried, told)
    assert [(row["question"], row["tried"]) for row in calls()] == [(first["question"], tried["at"][0])]
    phone.sync(phone.entry("answered", {"question": first["question"], "answer": "comes"}, case=case))
    assert calls() == []
    phone.sync(phone.entry("struck", {"entry": told["id"], "why": "Another customer"}, case=case))
    assert [row["text"] for row in calls()] == ["Tyres"]


def test_reindexing_gives_the_same_rows_from_the_log_alone(phone, shop, found):
    case, _ = whole_case(phone, plate="RE 1")
    with shop.app_context():
        before = _rows()
        with db.engine.begin() as connection:
            connection.execute(text("DELETE FROM case_summary"))
            connection.execute(text("DELETE FROM case_part"))
        db.session.remove()
        assert derived.reindex() == len(before)
        assert _rows() == before
        assert derived.reindex(only_old=True) == 0
        with db.engine.begin() as connection:
            connection.execute(text("UPDATE case_summary SET rule = 0 WHERE case_id = :case"), {"case": case})
        assert derived.reindex(only_old=True) == 1
        db.session.remove()
    assert case in found("re1")


def _rows():
    rows = db.session.query(CaseSummary).order_by(CaseSummary.key).all()
    told = [(row.case_id, row.closed, row.last_ms, row.plate, json.loads(row.shown), row.words) for row in rows]
    db.session.remove()
    return told


def test_a_failed_intake_leaves_the_index_as_it_was(phone, shop, found):
    case = uuid7()
    with shop.app_context():
        shop_id = db.session.query(Shop).one().id
        with pytest.raises(RuntimeError), writing() as session:
            log.take_in(session, log.lock(session, shop_id), None, log.check([phone.case_opened(case)]))
            raise RuntimeError
        db.session.remove()
    assert case not in found(by=phone.by)


@pytest.mark.parametrize("typed", ["x" * 10_000, "a " * 5000, " ".join("abcdefghijklmnop")])
def test_what_is_no_search_is_refused(typed, found):
    with pytest.raises(ValueError, match="at most"):
        found(typed)
