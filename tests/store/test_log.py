"""The log takes every entry once, numbers them in the order of commits, and keeps what it cannot take."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coiltrail.store import log
from coiltrail.store.database import db, writing
from coiltrail.store.models import PhotoFile, SetAside, Shop, Tag
from tests.phone import Phone


@pytest.fixture
def take(app, shop_id):
    """Takes entries in, as sync does."""

    def take(*entries):
        checked = log.check(list(entries))
        with app.app_context(), writing() as session:
            return log.take_in(session, log.lock(session, shop_id), None, checked)

    return take


@pytest.fixture
def pages(app, shop_id):
    """Reads pages after a cursor."""

    def pages(cursor, most=10**9, skip=()):
        with app.app_context():
            return log.page_after(shop_id, cursor, most, set(skip))

    return pages


phone = Phone(None)


def test_entries_come_back_as_they_were_in_the_order_they_came(take, pages):
    made = [phone.entry(at=[1000 - k, 0], extra={"π": [1e-7, 2**80, "\ud800\0", None]}) for k in range(5)]
    assert take(*made).accepted == [entry["id"] for entry in made]
    page = pages(0)
    assert page.entries == made
    assert [json.dumps(entry) for entry in page.entries] == [json.dumps(entry) for entry in made]
    assert (page.cursor, page.more) == (5, False)


def test_taking_in_again_is_accepted_and_changes_nothing(take, pages):
    entry = phone.entry()
    assert take(entry, entry).accepted == [entry["id"]] * 2
    assert take(entry).accepted == [entry["id"]]
    assert pages(0).entries == [entry]


def test_the_same_id_with_other_content_is_set_aside_and_kept(app, take, pages):
    first = phone.entry()
    other = first | {"body": {"text": "Something else"}}
    take(first)
    outcome = take(other)
    assert outcome.accepted == []
    assert [(one["id"], one["field"]) for one in outcome.set_aside] == [(first["id"], "id")]
    assert pages(0).entries == [first]
    with app.app_context():
        assert json.loads(db.session.query(SetAside).one().content) == other


def test_one_bad_entry_holds_up_no_other(app, take, pages):
    good = [phone.entry() for _ in range(2)]
    bad = phone.entry(body={"text": ""})
    outcome = take(good[0], bad, "not even an object", None, good[1])
    assert outcome.accepted == [entry["id"] for entry in good]
    assert [one["id"] for one in outcome.set_aside] == [bad["id"], None, None]
    assert pages(0).entries == good
    with app.app_context():
        kept = {row.field: (json.loads(row.content), row.message) for row in db.session.query(SetAside)}
        assert kept["text"] == (bad, "Text: fill this in.")
        assert db.session.query(SetAside).count() == 3


def test_what_is_set_aside_again_is_kept_once(app, take):
    bad = phone.entry(body={})
    for _ in range(3):
        assert len(take(bad, bad).set_aside) == 2
    with app.app_context():
        assert db.session.query(SetAside).count() == 1


def test_pages_are_bounded_and_each_goes_on_where_the_last_ended(take, pages):
    made = [phone.entry(body={"text": "x" * 1000}) for _ in range(20)]
    take(*made)
    found, cursor, sizes = [], 0, []
    while True:
        page = pages(cursor, most=5000)
        found += page.entries
        cursor = page.cursor
        sizes.append(len(json.dumps(page.entries)))
        if not page.more:
            break
    assert found == made
    assert len(sizes) >= 4 and max(sizes) < 6000


def test_an_entry_larger_than_a_page_still_goes(take, pages):
    take(phone.entry(body={"text": "x" * 4000}), phone.entry())
    page = pages(0, most=100)
    assert len(page.entries) == 1 and page.more


def test_skipped_entries_move_the_cursor(take, pages):
    mine, theirs = phone.entry(), phone.entry()
    take(mine, theirs)
    page = pages(0, skip=[mine["id"]])
    assert (page.entries, page.cursor) == ([theirs], 2)


def test_files_that_entries_name_are_expected_once(app, take):
    sha = "ab" * 32
    take(
        phone.entry("photo", {"sha256": sha, "bytes": 10}),
        phone.entry("recording", {"sha256": sha, "bytes": 10, "form": "voice"}),
        phone.entry("agreed", {"what": "x", "how": "signed", "signature": "cd" * 32}),
        phone.entry("agreed", {"what": "x", "how": "said"}),
    )
    with app.app_context():
        assert {row.sha256 for row in db.session.query(PhotoFile)} == {sha, "cd" * 32}


def test_tags_are_found_by_their_code(app, take):
    entry = phone.entry("tag_bound", {"code": "0123456785", "part": phone.entry()["id"]})
    take(entry)
    with app.app_context():
        assert db.session.query(Tag).one().entry_id == entry["id"]


def test_cases_are_found_by_the_beginning_or_end_of_their_id(app, take, shop_id):
    one, two = phone.entry(), phone.entry()
    take(one, two)
    with app.app_context():
        assert log.find_case(one["case"]) == (shop_id, one["case"])
        assert log.find_case(two["case"][-8:]) == (shop_id, two["case"])
        with pytest.raises(LookupError, match="more than one"):
            log.find_case(one["case"][:2])
        with pytest.raises(LookupError, match="no case"):
            log.find_case("%")


def test_a_new_epoch_for_every_shop(app, shop_id):
    with app.app_context():
        before = db.session.get(Shop, shop_id).epoch
        log.begin_epochs()
        assert db.session.get(Shop, shop_id).epoch != before


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=8,
)


@given(VALUES)
def test_a_value_is_itself_after_any_runtime_wrote_it(value):
    assert log.same_value(value, json.loads(json.dumps(value, sort_keys=True)))


@given(VALUES, VALUES)
def test_values_differ_when_their_json_does(a, b):
    if json.dumps(a, sort_keys=True) == json.dumps(b, sort_keys=True):
        assert log.same_value(a, b)
    elif log.same_value(a, b):
        assert a == b  # 1 and 1.0, also inside


@pytest.mark.parametrize(("a", "b"), [(1, True), (0, False), ("1", 1), ([], {}), ([1], [1, 2]), ({"a": 1}, {"b": 1})])
def test_values_that_only_look_alike_differ(a, b):
    assert not log.same_value(a, b)
