"""Links and codes that are good once are good once, also when they are used at the same moment, on either database."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest

from coiltrail.store import invitations, pairings, people
from coiltrail.store.audit import By
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db
from coiltrail.store.models import Audit, Device, Person, Shop

AT_ONCE = 4


def all_at_once(app, use):
    """What ``use`` gives, or the message it is refused with, for some who use the same token at once."""
    start = Barrier(AT_ONCE)

    def one(_):
        with app.app_context():
            start.wait()
            try:
                return use()
            except people.Refused as refused:
                return str(refused)
            finally:
                db.session.remove()

    with ThreadPoolExecutor(AT_ONCE) as pool:
        return list(pool.map(one, range(AT_ONCE)))


@pytest.fixture
def ada(on_each):
    with on_each.app_context():
        shop_id = db.session.query(Shop).one().id
        return By(shop_id, people.add_person(shop_id, "Ada", "owner", "a long password").id)


def test_an_invitation_makes_one_person(on_each, ada):
    with on_each.app_context():
        _, token = invitations.invite("Bob", "mechanic", ada)
    told = all_at_once(on_each, lambda: invitations.join(token, "a long password", uuid7(), "A phone") and "in")
    assert sorted(one == "in" for one in told) == [False] * (AT_ONCE - 1) + [True]
    assert sum("used already" in one for one in told) == AT_ONCE - 1
    with on_each.app_context():
        assert db.session.query(Person).filter_by(name_key="bob").count() == 1
        assert db.session.query(Device).count() == 1
        assert db.session.query(Audit).filter_by(deed="joined").count() == 1


def test_a_code_pairs_one_phone(on_each, ada):
    with on_each.app_context():
        _, token = pairings.show(ada)
    told = all_at_once(on_each, lambda: pairings.pair(token, uuid7(), "A phone") and "in")
    assert sorted(one == "in" for one in told) == [False] * (AT_ONCE - 1) + [True]
    assert sum("paired a phone already" in one for one in told) == AT_ONCE - 1
    with on_each.app_context():
        assert db.session.query(Device).count() == 1
