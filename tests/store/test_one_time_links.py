"""Links and codes that are good once are good once, also when they are used at the same moment."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest

from coiltrail.store import invitations, pairings, people
from coiltrail.store.audit import By
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db
from coiltrail.store.models import Audit, Device, Person

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
def ada(app, shop_id):
    with app.app_context():
        return By(shop_id, people.find("Ada").id)


def test_an_invitation_makes_one_person(app, ada):
    with app.app_context():
        _, token = invitations.invite("Bob", "mechanic", ada)
    told = all_at_once(app, lambda: invitations.join(token, "a long password", uuid7(), "A phone") and "in")
    assert sorted(one == "in" for one in told) == [False] * (AT_ONCE - 1) + [True]
    assert sum("used already" in one for one in told) == AT_ONCE - 1
    with app.app_context():
        assert db.session.query(Person).filter_by(name_key="bob").count() == 1
        assert db.session.query(Device).count() == 1
        assert db.session.query(Audit).filter_by(deed="joined").count() == 1


def test_a_code_pairs_one_phone(app, ada):
    with app.app_context():
        _, token = pairings.show(ada)
    told = all_at_once(app, lambda: pairings.pair(token, uuid7(), "A phone") and "in")
    assert sorted(one == "in" for one in told) == [False] * (AT_ONCE - 1) + [True]
    assert sum("paired a phone already" in one for one in told) == AT_ONCE - 1
    with app.app_context():
        assert db.session.query(Device).count() == 1
