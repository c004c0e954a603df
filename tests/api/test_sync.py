"""The exchange, as the phone relies on it."""

import json
import threading
from pathlib import Path

import pytest

from coiltrail.store import log
from coiltrail.store.clock import now_ms, uuid7
from coiltrail.store.database import db, writing
from coiltrail.store.entry_check import DAY_MS
from coiltrail.store.models import Device, SetAside, Shop
from tests.conftest import new_phone
from tests.phone import jpeg, sha256

from .error_shape import assert_error


def test_the_answer_has_the_documented_parts(phone):
    answer = phone.sync(phone.entry())
    assert set(answer) == {
        "epoch",
        "cursor",
        "head",
        "accepted",
        "set_aside",
        "entries",
        "apart",
        "blanked",
        "more",
        "photos_wanted",
        "server_ms",
    }
    assert abs(answer["server_ms"] - now_ms()) < 60_000


def test_what_one_phone_records_the_other_gets_once(app, phone):
    other = new_phone(app)
    entries = [phone.entry() for _ in range(3)]
    answer = phone.sync(*entries)
    assert answer["accepted"] == [entry["id"] for entry in entries]
    assert answer["entries"] == []
    assert other.sync()["entries"] == entries
    assert other.sync()["entries"] == []
    assert phone.sync()["entries"] == []


def test_a_lost_answer_costs_nothing(app, phone):
    entries = [phone.entry() for _ in range(3)]
    for _ in range(3):
        response = phone.send(entries)  # the answer is lost: the phone keeps its cursor and sends again
        assert response.json["accepted"] == [entry["id"] for entry in entries]
        assert response.json["entries"] == []
    assert new_phone(app).fetch_all() == entries


def test_a_phone_that_lost_its_store_gets_its_own_entries_back(app, phone):
    entries = [phone.entry() for _ in range(3)]
    phone.sync(*entries)
    phone.forget()
    assert phone.sync()["entries"] == entries


def test_values_come_back_untouched(app, phone):
    entry = phone.entry("from_the_future", {"a": 2**80, "b": 1e-300, "c": "\ud800\0é\u2028", "d": [{}, [], None, -0.0]})
    entry["unknown"] = {"x": [1, 2.50, True]}
    phone.sync(entry)
    (back,) = new_phone(app).sync()["entries"]
    assert json.dumps(back) == json.dumps(entry)


def test_bad_entries_are_set_aside_with_reason_and_hold_up_none(app, phone):
    good, bad = phone.entry(), phone.entry(body={"text": "x" * 100_000})
    answer = phone.sync(bad, good, 7, {"id": 5})
    assert answer["accepted"] == [good["id"]]
    assert [one["id"] for one in answer["set_aside"]] == [bad["id"], None, None]
    assert answer["set_aside"][0] == {
        "id": bad["id"],
        "field": "text",
        "message": "Text: at most 4000 characters; this has 100000. Shorten it or add a second entry.",
    }
    with app.app_context():
        rows = db.session.query(SetAside).all()
        assert {row.device_id for row in rows} == {phone.device}
        assert bad in [json.loads(row.content) for row in rows]


def test_the_same_id_with_other_content_never_overwrites(app, phone):
    first = phone.entry()
    phone.sync(first)
    answer = phone.sync(first | {"body": {"text": "other"}})
    assert [(one["id"], one["field"]) for one in answer["set_aside"]] == [(first["id"], "id")]
    assert new_phone(app).sync()["entries"] == [first]


def test_future_dates_are_set_aside_but_a_wrong_clock_is_not(phone):
    far = now_ms() + 10**11
    answer = phone.sync(
        phone.entry(at=[far, 0]),
        phone.entry(when={"ms": far}),
        phone.entry("complaint", {"since": "2999-01-01"}),
    )
    assert [one["field"] for one in answer["set_aside"]] == ["when", "since"]
    assert len(answer["accepted"]) == 1


def test_pages_are_bounded_in_bytes(app, phone):
    entries = [phone.entry(body={"text": "x" * 4000}) for _ in range(200)]
    phone.sync(*entries)
    other = new_phone(app)
    found, pages = [], 0
    while True:
        response = other.send([])
        assert len(response.data) < 300_000
        other.epoch, other.cursor = response.json["epoch"], response.json["cursor"]
        found += response.json["entries"]
        pages += 1
        if not response.json["more"]:
            break
    assert found == entries
    assert pages == 4


def test_a_new_epoch_begins_from_the_start(app, phone):
    entries = [phone.entry() for _ in range(3)]
    phone.sync(*entries)
    with app.app_context():
        log.begin_epochs()
    before = phone.epoch
    answer = phone.sync()
    assert answer["epoch"] != before
    assert answer["entries"] == entries
    assert phone.sync(*entries)["accepted"] == [entry["id"] for entry in entries]


def test_a_restore_that_nobody_told_of_is_noticed(app, phone):
    """The phone's cursor is beyond the log: the database has forgotten entries, so everyone offers again."""
    entries = [phone.entry() for _ in range(3)]
    phone.sync(*entries)
    before = phone.epoch
    with app.app_context(), writing() as session:  # as an older backup has it
        session.execute(db.text("DELETE FROM entry WHERE number > 1"))
        session.query(Shop).one().next_number = 2
    other_epoch = phone.sync()["epoch"]
    assert other_epoch != before
    assert phone.sync(*entries)["accepted"] == [entry["id"] for entry in entries]
    assert phone.epoch == other_epoch


def as_it_was(app):
    """A copy of the database as it is now; calling it puts that copy back."""
    with app.app_context():
        raw = db.engine.raw_connection()
        copy = raw.driver_connection.serialize()
        raw.close()

    def put_back():
        with app.app_context():
            path = db.engine.url.database
            db.engine.dispose()
        for more in ("-wal", "-shm"):
            Path(path + more).unlink(missing_ok=True)
        Path(path).write_bytes(copy)

    return put_back


def test_a_restored_log_that_has_grown_again_is_noticed(app, phone):
    """Others fill the numbers anew before the phone comes back: its cursor is no longer beyond the log."""
    first = phone.entry()
    phone.sync(first)
    restore = as_it_was(app)
    forgotten = [phone.entry() for _ in range(3)]
    phone.sync(*forgotten)
    before = phone.epoch
    restore()
    other = new_phone(app)
    theirs = [other.entry() for _ in range(5)]
    other.sync(*theirs)
    answer = phone.sync()
    assert answer["epoch"] != before
    assert answer["entries"] == [first, *theirs]
    assert phone.sync(first, *forgotten)["accepted"] == [entry["id"] for entry in (first, *forgotten)]
    assert other.sync()["entries"] == [first, *theirs, *forgotten]  # a new epoch for it too, from the start


def test_a_phone_that_was_told_only_that_its_entries_are_in_the_shop_notices_too(app, phone):
    """Its cursor is old, since more was to come; but it was told of entries that are forgotten now."""
    other = new_phone(app)
    other.sync(*(other.entry(body={"text": "x" * 4000}) for _ in range(200)))
    restore = as_it_was(app)
    mine = phone.entry()
    answer = phone.sync(mine)
    assert answer["accepted"] and answer["more"]
    before = phone.epoch
    restore()
    assert phone.sync()["epoch"] != before


def test_the_head_follows_the_log_and_is_the_same_for_all(app, phone):
    assert phone.sync()["head"] == [0, ""]
    heads = [phone.sync(phone.entry())["head"] for _ in range(3)]
    assert [number for number, _ in heads] == [1, 2, 3]
    assert len({link for _, link in heads}) == 3
    assert new_phone(app).sync()["head"] == heads[-1] == phone.sync()["head"]


def test_what_was_set_aside_reaches_the_other_phones_with_the_reason(app, phone):
    other = new_phone(app)
    bad = phone.entry(body={"text": ""})
    (refused,) = phone.sync(bad, "not an entry", {"id": bad["id"]})["set_aside"][:1]
    answer = other.sync()
    assert answer["entries"] == []
    assert answer["apart"] == [{**refused, "entry": bad}]
    assert other.sync()["apart"] == []
    # The one that sent it knows already, and gets it again only when it has lost its store.
    assert phone.sync()["apart"] == []
    phone.forget()
    assert phone.sync()["apart"] == [{**refused, "entry": bad}]


def test_what_was_set_aside_and_is_taken_later_is_apart_no_more(app, phone, monkeypatch):
    tomorrow = {"ms": now_ms() + 2 * DAY_MS}
    bad = phone.entry(when=tomorrow)
    assert phone.sync(bad)["set_aside"]
    other = new_phone(app)
    (apart,) = other.sync()["apart"]
    monkeypatch.setattr("coiltrail.store.entry_check.now_ms", lambda: tomorrow["ms"])
    # Any phone may offer it again, as its own runtime writes it.
    assert other.sync(json.loads(json.dumps(apart["entry"], sort_keys=True)))["accepted"] == [bad["id"]]
    assert phone.sync()["entries"] == [bad]
    newcomer = new_phone(app).sync()
    assert (newcomer["entries"], newcomer["apart"]) == ([bad], [])
    with app.app_context():
        assert db.session.query(SetAside).one().settled_ms is not None


def test_what_is_in_the_log_stays_accepted_whatever_the_check_says_today(phone, monkeypatch):
    entry = phone.entry(when={"ms": now_ms()})
    phone.sync(entry)
    monkeypatch.setattr("coiltrail.store.entry_check.now_ms", lambda: 0)  # the server's clock was put right
    answer = phone.sync(entry)
    assert (answer["accepted"], answer["set_aside"]) == ([entry["id"]], [])


def test_photos_that_entries_name_are_wanted_until_they_are_here(phone):
    picture = jpeg()
    name = sha256(picture)
    assert phone.sync(phone.entry("photo", {"sha256": name, "bytes": len(picture)}))["photos_wanted"] == [name]
    assert phone.upload(picture).status_code == 204
    assert phone.sync()["photos_wanted"] == []


def test_photos_wanted_is_a_bounded_list(phone):
    names = [f"{k:064x}" for k in range(250)]
    answer = phone.sync(*(phone.entry("photo", {"sha256": name, "bytes": 10}) for name in names))
    assert len(answer["photos_wanted"]) == 200
    assert set(answer["photos_wanted"]) <= set(names)


def test_the_shop_knows_what_is_only_on_the_phone(app, phone):
    report = {"entries": 4, "photos": 2, "since_ms": 5}
    phone.send([], unsynced=report)
    assert phone.client.get("/api/devices").json["devices"][0]["unsynced"] == report


@pytest.mark.parametrize("report", [None, 3, {}, {"entries": "many"}, {"entries": -1, "photos": 2**70}])
def test_a_report_that_cannot_be_read_holds_up_nothing(app, phone, report):
    entry = phone.entry()
    assert phone.send([entry], unsynced=report).json["accepted"] == [entry["id"]]
    with app.app_context():
        assert db.session.get(Device, phone.device).unsynced is None


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"cursor": -1}, "cursor"),
        ({"cursor": "0"}, "cursor"),
        ({"cursor": 2**64}, "cursor"),
        ({"cursor": None}, "cursor"),
        ({"epoch": 5}, "epoch"),
        ({"head": 5}, "head"),
        ({"head": [1]}, "head"),
        ({"head": [-1, "a"]}, "head"),
        ({"head": [1, None]}, "head"),
        ({"device": "phone"}, "device"),
    ],
)
def test_a_request_that_makes_no_sense_is_named(phone, given, field):
    assert_error(phone.send([], **given), 422, "invalid", field)


@pytest.mark.parametrize("entries", [{}, None, "all", 3])
def test_entries_that_are_no_list_are_named(phone, entries):
    assert_error(phone.send(entries), 422, "invalid", "entries")


def test_hostile_text_passes_or_is_set_aside_but_never_breaks(phone):
    hostile = ["\0", "\ud800", "\udfff\ud800", "'; DROP TABLE entry; --", "<script>", "\u202e", "%s%n", "x" * 100_000]
    entries = [phone.entry(body={"text": text}) for text in hostile]
    entries += [phone.entry() | {"id": text} for text in hostile]
    entries += [phone.entry() | {"kind": text} for text in hostile]
    entries += [phone.entry(body={text: text}) for text in hostile]
    answer = phone.sync(*entries)
    assert len(answer["accepted"]) + len(answer["set_aside"]) == len(entries)
    assert len(answer["accepted"]) == 4  # only the visible texts


def test_an_epoch_of_any_text_is_just_another_epoch(phone):
    phone.sync(phone.entry())
    assert len(phone.send([], epoch="\ud800\0", cursor=1).json["entries"]) == 1


def test_phones_that_sync_at_once_miss_nothing(app):
    phones = [new_phone(app) for _ in range(6)]
    sent = [[phone.entry() for _ in range(5)] for phone in phones]
    got = [[] for _ in phones]
    failures = []

    def work(phone, entries, found):
        try:
            for entry in entries:
                found += phone.sync(entry)["entries"]
        except Exception as failure:
            failures.append(failure)

    threads = [threading.Thread(target=work, args=each) for each in zip(phones, sent, got, strict=True)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    everything = sorted(entry["id"] for entries in sent for entry in entries)
    for phone, own, found in zip(phones, sent, got, strict=True):
        found += phone.fetch_all()
        assert sorted(entry["id"] for entry in found + own) == everything


def test_entries_of_other_devices_may_be_handed_in(phone):
    """A file backup of a lost phone comes in through another one."""
    entry = phone.entry(device=uuid7())
    assert phone.sync(entry)["accepted"] == [entry["id"]]
