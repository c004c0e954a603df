"""A phone whose store was put back to an older state, and a shop that was: nothing is lost or numbered twice."""

from playwright.sync_api import Page

from coiltrail.store import log
from coiltrail.store.database import db, writing
from coiltrail.store.models import PhotoFile

from .cases import CASE_OPENED
from .conftest import open_bench, run, sign_in
from .pictures import noise_jpeg
from .test_field_log import OPEN_CASE
from .test_field_photos import as_file
from .test_field_sync import PHOTO_ENTRY, RECORD_NOTES, ids, log_in_shop, set_aside_in, sync

RECORD = "log.record({case: arg[0], kind: 'note', body: {text: arg[1]}})"
# Every store but the pictures, as a copy of the browser's profile would hold it.
COPY = """database.read(['entries', 'cases', 'settings', 'uploads', 'setaside'], async (tx) => {
    window.copy = {};
    for (const name of tx.objectStoreNames) {
        const store = tx.objectStore(name);
        window.copy[name] = [await store.getAllKeys(), await store.getAll()];
    }
})"""
PUT_BACK = """database.write(['entries', 'cases', 'settings', 'uploads', 'setaside'], async (tx) => {
    for (const [name, [keys, values]] of Object.entries(window.copy)) {
        const store = tx.objectStore(name);
        await store.clear();
        for (const [i, value] of values.entries()) await store.put(value, store.keyPath ? undefined : keys[i]);
    }
})"""


def record(page: Page, case: str, text: str) -> dict:
    return run(page, RECORD, [case, text])


def numbers(entries: list[dict]) -> list[tuple[str, int]]:
    return [(entry["device"], entry["n"]) for entry in entries]


def test_a_phone_put_back_to_an_older_copy_goes_on_under_a_new_id(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    sync(signed_in)
    run(signed_in, COPY)
    forgotten = [record(signed_in, case, "before the copy came back") for _ in range(2)]
    sync(signed_in)
    run(signed_in, PUT_BACK)
    assert [entry["n"] for entry in run(signed_in, "log.entriesOf(arg)", case)] == [1]
    assert sync(signed_in)[0] is True
    later = [record(signed_in, case, "after") for _ in range(2)]
    assert sync(signed_in)[0] is True
    assert {entry["device"] for entry in later}.isdisjoint({entry["device"] for entry in forgotten})
    assert [entry["n"] for entry in later] == [1, 2]
    in_shop = log_in_shop(signed_in, case)
    assert ids(in_shop) == ids(run(signed_in, "log.entriesOf(arg)", case))
    assert set(ids(forgotten)) < set(ids(in_shop))
    assert len(set(numbers(in_shop))) == len(in_shop) == 5


def test_a_backup_file_with_later_entries_of_this_phone_gives_it_a_new_id(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    run(signed_in, COPY)
    record(signed_in, case, "in the file alone")
    run(signed_in, "storage.backup().then(({blob}) => { window.file = blob; })")
    run(signed_in, PUT_BACK)
    assert run(signed_in, "storage.restore(window.file)")["entries"] == 1
    record(signed_in, case, "after")
    entries = run(signed_in, "log.entriesOf(arg)", case)
    assert sorted(entry["n"] for entry in entries) == [1, 1, 2]
    assert len(set(numbers(entries))) == 3


def test_the_same_file_on_the_phone_that_made_it_changes_nothing(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    run(signed_in, "storage.backup().then(({blob}) => { window.file = blob; })")
    assert run(signed_in, "storage.restore(window.file)")["entries"] == 0
    assert record(signed_in, case, "after")["n"] == 2


def test_entries_are_offered_in_the_order_of_the_counter_whatever_the_clock_says(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    back_a_week = """(async () => {
        const now = Date.now;
        Date.now = () => now() - 7 * 24 * 3600 * 1000;
        try { return await log.record({case: arg, kind: 'note', body: {text: 'clock set back'}}); }
        finally { Date.now = now; }
    })()"""
    later = run(signed_in, back_a_week, case)
    first = run(signed_in, "log.entriesOf(arg)", case)[0]
    assert later["id"] < first["id"] and later["n"] > first["n"]
    sync(signed_in)
    assert [entry["n"] for entry in log_in_shop(signed_in, case)] == [1, 2]


def test_what_one_phone_cannot_hand_in_all_phones_show_and_any_may_offer_again(signed_in, new_phone):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    empty = run(signed_in, "log.record({case: arg, kind: 'check', body: {check: 'voltage'}})", case)
    (apart,) = set_aside_in(case, sync(signed_in)[1])
    other = open_bench(new_phone())
    sign_in(other)
    assert set_aside_in(case, sync(other)[1]) == [apart]
    assert run(other, "log.entriesOf(arg)", case) == run(signed_in, "log.entriesOf(arg)", case)
    run(other, "sync.offerAgain(arg)", empty["id"])
    assert set_aside_in(case, sync(other)[1]) == [apart]


def test_a_restored_shop_is_offered_the_photos_that_it_says_it_has(own_shop, new_phone):
    """Its database does not ask for this one: it forgot that the entry names it."""
    page = open_bench(new_phone(own_shop))
    sign_in(page)
    case = run(page, OPEN_CASE, CASE_OPENED)
    photo = run(page, PHOTO_ENTRY, [*as_file(noise_jpeg(300, 300)), case])["body"]["sha256"]
    assert sync(page)[0] is True
    app = own_shop.app()
    with app.app_context():
        with writing() as session:
            session.query(PhotoFile).delete()
        (kept,) = own_shop.data.glob(f"photos/*/{photo}")
        kept.unlink()
        log.begin_epochs()
        db.engine.dispose()
    whole, state = sync(page)
    assert (whole, state["unsyncedPhotos"]) == (True, 0)
    assert kept.exists()


def test_a_photo_that_waits_for_the_shop_again_is_not_let_go(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    photo = run(signed_in, PHOTO_ENTRY, [*as_file(noise_jpeg(300, 300)), case])["body"]["sha256"]
    sync(signed_in)
    queue = "database.write(['uploads'], (tx) => tx.objectStore('uploads').put({sha256: arg, size: 1, since: 1}))"
    run(signed_in, queue, photo)
    assert run(signed_in, "photos.letGo(1)") == 0
    sync(signed_in)
    assert run(signed_in, "photos.letGo(1)") > 0


def test_a_record_begun_before_the_phone_got_a_new_id_is_numbered_under_the_new_one(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    other = "01890000-0000-7000-8000-00000000000a"
    change = "database.write(['settings'], (tx) => tx.objectStore('settings').put(arg[1], 'device'))"
    _, entry = run(
        signed_in, f"Promise.all([{change}, {RECORD.replace('arg[1]', 'arg[2]')}])", [case, other, "meanwhile"]
    )
    assert (entry["device"], entry["n"]) == (other, 1)
    run(signed_in, RECORD_NOTES, [case, 1])
    assert sorted(entry["n"] for entry in run(signed_in, "log.entriesOf(arg)", case)) == [1, 1, 2]
