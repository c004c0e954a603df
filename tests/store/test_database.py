"""SQLite is set up for a shop, and ``writing`` is all or nothing."""

import threading

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from coiltrail.store.database import db, writing
from coiltrail.store.models import Person, Shop


@pytest.mark.parametrize(("pragma", "value"), [("journal_mode", "wal"), ("foreign_keys", 1), ("synchronous", 2)])
def test_sqlite_is_durable_and_keeps_references(app, pragma, value):
    with app.app_context():
        assert db.session.execute(text(f"PRAGMA {pragma}")).scalar() == value


def test_a_person_without_a_shop_cannot_be(app):
    with app.app_context(), pytest.raises(IntegrityError), writing() as session:
        session.add(Person(shop_id="nowhere", name="X", name_key="x", role="desk", password_hash=""))


def test_an_error_leaves_nothing_behind(app):
    with app.app_context():
        with pytest.raises(RuntimeError), writing() as session:
            session.add(Shop(id="second", name="Second", phone=""))
            session.flush()
            raise RuntimeError
        assert db.session.get(Shop, "second") is None


def test_writers_wait_for_each_other(app, shop_id):
    """Each reads and then writes; without the lock from the start, one of them would fail or be overwritten."""

    def count_up():
        with app.app_context():
            for _ in range(20):
                with writing() as session:
                    session.get(Shop, shop_id).next_number += 1

    threads = [threading.Thread(target=count_up) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with app.app_context():
        assert db.session.get(Shop, shop_id).next_number == 81
