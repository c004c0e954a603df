"""The head that a phone was told proves what the log held."""

import pytest

from coiltrail.store import chain, log
from coiltrail.store.database import writing
from tests.phone import Phone


@pytest.fixture
def session(app):
    with app.app_context(), writing() as session:
        yield session


def test_every_head_that_the_log_ever_had_is_known_and_no_other(session, shop_id):
    shop = log.lock(session, shop_id)
    phone = Phone(None)
    heads = [chain.head_of(session, shop)]
    for body in ({"text": "one"}, {"text": ""}, {"text": "three"}):  # the second is set aside and counts all the same
        log.take_in(session, shop, None, log.check([phone.entry(body=body)]))
        session.flush()
        heads.append(chain.head_of(session, shop))
    assert [number for number, _ in heads] == [0, 1, 2, 3]
    assert not any(chain.contradicts(session, shop, head) for head in heads)
    for number, link in heads[1:]:
        assert chain.contradicts(session, shop, (number, link[::-1]))
    assert chain.contradicts(session, shop, (4, heads[3][1]))


def test_two_logs_of_the_same_entries_in_another_order_have_no_head_in_common():
    one, two = chain.link("", "a"), chain.link("", "b")
    assert chain.link(one, "b") != chain.link(two, "a")
    # An entry that differs early shows in every later link.
    assert chain.link(chain.link(one, "c"), "d") != chain.link(chain.link(two, "c"), "d")
