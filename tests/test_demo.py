"""Loading an invented shop goes through the same doors as a phone's work."""

import json

import pytest

from coiltrail import demo
from coiltrail.store import people, photos
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db
from coiltrail.store.models import Entry, Person, SetAside, Shop
from coiltrail.trouble import Trouble

from .phone import Phone, jpeg, lines, sha256

PICTURE = jpeg()
BOB = uuid7()


@pytest.fixture
def shop_folder(tmp_path):
    phone, case = Phone(None, by=BOB), uuid7()
    entries = [
        phone.case_opened(case),
        phone.entry("photo", {"sha256": sha256(PICTURE), "bytes": len(PICTURE)}, case=case),
    ]
    described = {
        "shop": {"name": "Kerbside Sparks", "phone": "555-0199"},
        "people": [
            {"name": "Ann", "role": "owner", "password": "first password"},
            {"id": BOB, "name": "Bob", "role": "mechanic", "password": "second password"},
        ],
    }
    folder = tmp_path / "fixtures"
    for name, content in {
        "shop.json": json.dumps(described).encode(),
        "logs/one.jsonl": lines(entries).encode(),
        "photos/one.jpg": PICTURE,
    }.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    return folder


def test_the_shop_stands_as_described_however_often_it_is_loaded(empty_app, shop_folder):
    with empty_app.app_context():
        for _ in range(2):
            assert demo.load(shop_folder) == {"people": 2, "entries": 2, "photos": 1}
        shop = db.session.query(Shop).one()
        assert (shop.name, shop.phone) == ("Kerbside Sparks", "555-0199")
        assert people.who("Ann", "first password").role == "owner"
        assert people.who("bob", "second password").id == BOB
        assert db.session.query(Person).count() == 2
        assert db.session.query(Entry).count() == 2
        path, _ = photos.complete_file(shop.id, sha256(PICTURE))
        assert path.read_bytes() == PICTURE


def test_a_bad_entry_stops_the_loading_and_nothing_of_the_logs_stays(empty_app, shop_folder):
    log = shop_folder / "logs" / "one.jsonl"
    log.write_text(log.read_text() + lines([Phone(None).entry(body={})]))
    with empty_app.app_context():
        with pytest.raises(Trouble, match=r"one\.jsonl, line 3, text"):
            demo.load(shop_folder)
        assert db.session.query(Entry).count() == db.session.query(SetAside).count() == 0


def test_two_entries_with_one_id_are_found(empty_app, shop_folder):
    log = shop_folder / "logs" / "one.jsonl"
    first = json.loads(log.read_text().splitlines()[0])
    (shop_folder / "logs" / "two.jsonl").write_text(lines([first | {"n": 9}]))
    with empty_app.app_context():
        with pytest.raises(Trouble, match=first["id"]):
            demo.load(shop_folder)
        assert db.session.query(Entry).count() == db.session.query(SetAside).count() == 0


def test_an_unfit_picture_is_named(empty_app, shop_folder):
    (shop_folder / "photos" / "two.jpg").write_bytes(b"no picture")
    with empty_app.app_context(), pytest.raises(Trouble, match=r"two\.jpg"):
        demo.load(shop_folder)


def test_a_real_shop_is_never_mixed_with_an_invented_one(app, shop_folder):
    with app.app_context():
        with pytest.raises(Trouble, match="Driveway Motors"):
            demo.load(shop_folder)
        assert db.session.query(Entry).count() == 0


def test_a_folder_without_a_shop_is_named(empty_app, tmp_path):
    with empty_app.app_context(), pytest.raises(Trouble, match=r"shop\.json"):
        demo.load(tmp_path)
