"""A person's data erased on one phone goes from the other at its next sync, and comes back from neither."""

from .cases import CASE_OPENED
from .conftest import open_bench, run, sign_in
from .pictures import noise_jpeg
from .test_field_log import OPEN_CASE
from .test_field_photos import FILE, as_file
from .test_field_sync import ids, log_in_shop, set_aside_in, state_of, sync

PERSONAL = ("Ada Invented", "555-0187", "Nowhere")
AGREED = f"""(async () => {{
    const {{sha256}} = await photos.takeIn({FILE});
    const body = {{what: 'One coil', how: 'signed', name: 'Ada Invented', signature: sha256}};
    return await log.record({{case: arg[3], kind: 'agreed', body}});
}})()"""
ERASE = "log.record({case: arg[0], kind: 'erased', body: {entries: arg[1], why: 'Asked for'}})"
# Everything that the phone's database holds, pictures by their names.
ALL_OF_IT = """database.read(['entries', 'cases', 'setaside', 'drafts', 'photos', 'thumbs', 'uploads'], async (tx) => {
    const all = [];
    for (const name of ['entries', 'cases', 'setaside', 'drafts']) all.push(await tx.objectStore(name).getAll());
    for (const name of ['photos', 'thumbs', 'uploads']) all.push(await tx.objectStore(name).getAllKeys());
    return JSON.stringify(all);
})"""


def with_customer() -> dict:
    return {**CASE_OPENED, "customer": {"name": "Ada Invented", "phone": "555-0187", "address": "1 Nowhere"}}


def test_it_goes_from_every_phone_and_an_old_one_brings_nothing_back(signed_in, new_phone):
    case = run(signed_in, OPEN_CASE, with_customer())
    agreed = run(signed_in, AGREED, [*as_file(noise_jpeg(200, 100)), case])
    run(signed_in, "drafts.keep('form/' + arg + '/close', {advice: 'Call Ada Invented'})", case)
    assert sync(signed_in)[0] is True
    other = open_bench(new_phone())
    sign_in(other)
    sync(other)
    run(other, "photos.photoUrl(arg)", agreed["body"]["signature"])
    assert all(word in run(other, ALL_OF_IT) for word in [*PERSONAL, agreed["body"]["signature"]])

    named = ids(run(signed_in, "log.entriesOf(arg)", case))
    run(signed_in, ERASE, [case, named])
    assert sync(signed_in)[0] is True
    sync(other)
    for page in (signed_in, other):
        held = run(page, ALL_OF_IT)
        assert [word for word in [*PERSONAL, agreed["body"]["signature"]] if word in held] == []
        assert "One coil" in held
        assert state_of(page)["error"] is None and set_aside_in(case, state_of(page)) == []
    # A phone that has the old entry again, and offers it as if it had never been acknowledged.
    put = """database.write(['entries'], (tx) => tx.objectStore('entries').put({entry: arg, unsynced: 1}))"""
    run(other, put, agreed)
    assert sync(other)[0] is True
    assert "Ada" not in run(other, ALL_OF_IT)
    assert "Ada" not in str(log_in_shop(signed_in, case))
    assert ids(log_in_shop(other, case)) == ids(run(other, "log.entriesOf(arg)", case))


def test_an_erasure_made_without_a_connection_waits_for_it(signed_in):
    case = run(signed_in, OPEN_CASE, with_customer())
    run(signed_in, ERASE, [case, ids(run(signed_in, "log.entriesOf(arg)", case))])
    shown = run(signed_in, "core.ask('view', {entries: await log.entriesOf(arg)})", case)
    assert shown["customer"] == {}
    assert sync(signed_in)[0] is True
    assert "Ada" not in run(signed_in, ALL_OF_IT)
