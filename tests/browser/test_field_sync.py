"""The exchange with the shop over links that fail in every way, against the real server."""

import hashlib
import json
import shutil

import pytest
from playwright.sync_api import Error, Page, expect

from coiltrail.core import entries as core_entries

from .cases import CASE_OPENED
from .conftest import open_bench, run, sign_in
from .pictures import noise_jpeg
from .test_field_log import OPEN_CASE
from .test_field_photos import FILE, as_file

RECORD_NOTES = """Promise.all(Array.from({length: arg[1]}, (_, i) =>
    log.record({case: arg[0], kind: 'note', body: {text: `note ${i} ${'x'.repeat(arg[2] ?? 0)}`}})))"""
PHOTO_ENTRY = f"""(async () => {{
    const {{mime, ...about}} = await photos.takeIn({FILE});
    return await log.record({{case: arg[3], kind: 'photo', body: {{...about, shows: 'coil'}}}});
}})()"""


def state_of(page: Page) -> dict:
    return run(page, "syncState.countAgain().then(() => syncState.syncState.value)")


def sync(page: Page) -> tuple[bool, dict]:
    whole = run(page, "sync.syncNow()")
    return whole, state_of(page)


def set_aside_in(case: str, state: dict) -> list[dict]:
    """What is set aside of this case: of others too, since all phones of the shop show it."""
    return [one for one in state["setAside"] if one["entry"]["case"] == case]


def log_in_shop(page: Page, case: str) -> list[dict]:
    """The case's log as the shop exports it."""
    text = page.evaluate("(id) => fetch(`/api/cases/${id}/log.jsonl`).then((answer) => answer.text())", case)
    return [json.loads(line) for line in text.splitlines()]


def ids(entries: list[dict]) -> list[str]:
    return sorted(entry["id"] for entry in entries)


def test_entries_reach_the_shop_and_another_phone(signed_in, new_phone):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    run(signed_in, RECORD_NOTES, [case, 5])
    before = state_of(signed_in)
    assert before["unsyncedEntries"] == 6 and before["since"]
    whole, after = sync(signed_in)
    assert whole is True
    assert (after["unsyncedEntries"], after["since"], after["error"], after["online"]) == (0, None, None, True)
    assert after["lastSync"] and abs(after["clockSkewMs"]) < 60_000
    recorded = run(signed_in, "log.entriesOf(arg)", case)
    assert sorted(log_in_shop(signed_in, case), key=lambda entry: entry["n"]) == recorded
    other = open_bench(new_phone())
    sign_in(other)
    sync(other)
    assert run(other, "log.entriesOf(arg)", case) == recorded
    assert case in [line["case"] for line in run(other, "log.caseList()")]
    # What came from others is not offered again, and the clock moves past it.
    assert state_of(other)["unsyncedEntries"] == 0
    answer = run(other, "log.record({case: arg, kind: 'note', body: {text: 'seen'}})", case)
    assert answer["n"] == 1 and answer["at"] > recorded[-1]["at"]


def test_more_than_a_batch_goes_in_several_requests(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    run(signed_in, RECORD_NOTES, [case, 60, 3000])
    sizes = []
    signed_in.on("request", lambda request: request.url.endswith("/api/sync") and sizes.append(len(request.post_data)))
    assert sync(signed_in)[0] is True
    assert len(sizes) > 2 and max(sizes) < 80_000
    assert len(log_in_shop(signed_in, case)) == 61


def test_every_failure_of_the_link_leaves_everything_here_and_the_end_is_whole(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    run(signed_in, RECORD_NOTES, [case, 3])
    html = {"status": 200, "content_type": "text/html", "body": "<h1>Welcome to this network. Sign in!</h1>"}
    signed_out = {"error": {"code": "signed_out", "message": "Sign in again on this device."}}

    def accepted_but_unheard(route):
        route.fetch()
        route.abort("connectionreset")

    failures = [
        (lambda route: route.abort("connectionrefused"), "no_connection", False),
        (lambda route: route.fulfill(**html), "no_connection", False),
        (lambda route: route.fulfill(status=302, headers={"location": "http://localhost:1/"}), "no_connection", False),
        (lambda route: route.fulfill(json={"welcome": True}), "no_connection", False),
        (
            lambda route: route.fulfill(status=200, content_type="application/json", body='{"acc'),
            "no_connection",
            False,
        ),
        (lambda route: route.fulfill(status=500, body="oh"), "shop_trouble", True),
        (lambda route: route.fulfill(status=502, content_type="text/html", body="<h1>"), "shop_trouble", True),
        (lambda route: route.fulfill(status=401, json=signed_out), "sign_in", True),
        (accepted_but_unheard, "no_connection", False),
    ]
    for fail, code, online in failures:
        signed_in.route("**/api/sync", fail)
        whole, state = sync(signed_in)
        signed_in.unroute("**/api/sync")
        assert (whole, state["error"]["code"], state["online"]) == (False, code, online)
        assert state["error"]["message"]
        assert state["unsyncedEntries"] == 4
    # Work goes on all the while.
    run(signed_in, RECORD_NOTES, [case, 1])
    whole, state = sync(signed_in)
    assert (whole, state["error"], state["unsyncedEntries"]) == (True, None, 0)
    in_shop = log_in_shop(signed_in, case)
    assert ids(in_shop) == ids(run(signed_in, "log.entriesOf(arg)", case))
    assert len(set(ids(in_shop))) == len(in_shop) == 5


def test_what_the_shop_does_not_acknowledge_stays_unsynced(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    run(signed_in, RECORD_NOTES, [case, 3])

    def forgetful(route):
        """Acknowledges one entry of the batch and forgets the rest."""
        answer = route.fetch()
        body = answer.json()
        route.fulfill(response=answer, json={**body, "accepted": body["accepted"][:1]})

    def silent(route):
        answer = route.fetch()
        route.fulfill(response=answer, json={**answer.json(), "accepted": []})

    signed_in.route("**/api/sync", silent)
    whole, state = sync(signed_in)
    assert (whole, state["error"]["code"], state["unsyncedEntries"]) == (False, "shop_trouble", 4)
    signed_in.unroute("**/api/sync")
    signed_in.route("**/api/sync", forgetful)
    whole, state = sync(signed_in)
    assert (whole, state["unsyncedEntries"]) == (True, 0)


def test_a_shop_that_promises_more_and_sends_nothing_is_not_asked_for_ever(signed_in):
    asked = []

    def promise(route):
        asked.append(route.request.post_data_json["cursor"])
        answer = route.fetch()
        route.fulfill(response=answer, json={**answer.json(), "more": True, "cursor": 0, "entries": []})

    signed_in.route("**/api/sync", promise)
    whole, state = sync(signed_in)
    assert (whole, state["error"]["code"]) == (False, "shop_trouble")
    assert len(asked) < 4


def test_an_entry_that_the_shop_refuses_is_set_aside_shown_and_kept(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    # The field types allow it; the rule that a check needs a finding is the core's alone.
    empty = run(signed_in, "log.record({case: arg, kind: 'check', body: {check: 'voltage'}})", case)
    good = run(signed_in, "log.record({case: arg, kind: 'note', body: {text: 'behind it'}})", case)
    whole, state = sync(signed_in)
    assert whole is True
    (apart,) = set_aside_in(case, state)
    assert (apart["id"], apart["field"], apart["entry"]) == (empty["id"], "finding", empty)
    assert "Finding" in apart["message"]
    assert good["id"] in ids(log_in_shop(signed_in, case))
    assert empty["id"] in ids(run(signed_in, "log.entriesOf(arg)", case))
    run(signed_in, "sync.offerAgain(arg)", empty["id"])
    assert [one["id"] for one in set_aside_in(case, state_of(signed_in))] == [empty["id"]]


def test_what_is_set_aside_and_struck_waits_for_no_decision(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    wrong = run(signed_in, "log.record({case: arg, kind: 'check', body: {check: 'voltage'}})", case)
    sync(signed_in)
    assert [one["id"] for one in set_aside_in(case, state_of(signed_in))] == [wrong["id"]]
    strike = "log.record({case: arg[0], kind: 'struck', body: {entry: arg[1], why: 'Tapped by mistake'}})"
    first = run(signed_in, strike, [case, wrong["id"]])
    whole, state = sync(signed_in)
    assert whole is True and set_aside_in(case, state) == []
    assert wrong["id"] in ids(run(signed_in, "log.entriesOf(arg)", case))
    run(signed_in, strike, [case, first["id"]])
    assert [one["id"] for one in set_aside_in(case, sync(signed_in)[1])] == [wrong["id"]]


def test_the_phone_strikes_what_the_core_strikes(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    strike = "log.record({case: arg[0], kind: 'struck', body: {entry: arg[1], why: 'Wrong'}})"
    notes = [run(signed_in, "log.record({case: arg, kind: 'note', body: {text: 'n'}})", case)["id"] for _ in range(3)]
    first = run(signed_in, strike, [case, notes[0]])["id"]
    second = run(signed_in, strike, [case, first])["id"]
    run(signed_in, strike, [case, notes[1]])
    run(signed_in, strike, [case, second])
    entries = run(signed_in, "log.entriesOf(arg)", case)
    told = run(signed_in, "Promise.resolve([...struck.struckIn(arg)])", entries)
    assert sorted(told) == sorted(core_entries.struck(entries))
    assert set(told) == {notes[0], notes[1], second}


def test_another_entry_under_an_id_of_ours_is_never_overwritten(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    ours = run(signed_in, "log.record({case: arg, kind: 'note', body: {text: 'ours'}})", case)
    sync(signed_in)

    def forge(route):
        answer = route.fetch()
        theirs = {**ours, "body": {"text": "theirs"}}
        route.fulfill(response=answer, json={**answer.json(), "entries": [theirs]})

    signed_in.route("**/api/sync", forge)
    state = sync(signed_in)[1]
    assert ours in run(signed_in, "log.entriesOf(arg)", case)
    assert [(one["id"], one["entry"]["body"]) for one in set_aside_in(case, state)] == [
        (ours["id"], {"text": "theirs"})
    ]


LATE = """exchange.changesBy(arg.answer, {...arg.known, device: 'a', clock: [0, 0], rows: new Map([['x', arg.row]])})"""


@pytest.mark.parametrize(
    ("unsynced", "epoch", "shown"),
    [(None, "e", []), (1, "e", ["x"]), (None, "after a restore", ["x"])],
    ids=["settled", "still offered", "in a new epoch"],
)
def test_an_answer_that_comes_late_sets_aside_only_what_no_later_one_has_settled(page, unsynced, epoch, shown):
    """The shop put the entry aside for its date and accepted it when it was offered again, and the answers cross."""
    entry = {"id": "x", "case": "c", "kind": "note", "at": [1, 0], "device": "a", "n": 1, "body": {"text": "Late"}}
    refused = {"id": "x", "field": "when", "message": "When it happened lies in the future."}
    lists = {"accepted": [], "entries": [], "apart": [], "blanked": [], "photos_wanted": []}
    answer = {"epoch": epoch, "cursor": 4, "head": [4, "h4"], "set_aside": [refused], "more": False, **lists}
    known = {"asked": {"epoch": "e", "cursor": 2}, "place": {"epoch": "e", "cursor": 5, "head": [5, "h5"]}}
    row = {"entry": entry} | ({"unsynced": unsynced} if unsynced else {})
    changes = run(page, LATE, {"answer": answer, "known": known, "row": row})
    assert [one["id"] for one in changes["aside"]] == shown


def test_a_photo_goes_in_pieces_and_continues_where_the_shop_stands(signed_in, shop):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    entry = run(signed_in, PHOTO_ENTRY, [*as_file(noise_jpeg(1600, 1200)), case])
    name, size = entry["body"]["sha256"], entry["body"]["bytes"]
    assert size > 3 * 64 * 1024
    offsets = []

    def flaky(route):
        offsets.append(int(route.request.headers["upload-offset"]))
        if len(offsets) == 2:
            route.fetch()  # the shop has it, but its answer is lost
            route.abort("connectionreset")
        elif len(offsets) == 4:
            route.fulfill(status=503, body="")
        else:
            route.continue_()

    signed_in.route(
        "**/api/photos/**", lambda route: flaky(route) if route.request.method == "PATCH" else route.continue_()
    )
    outcomes = []
    while not outcomes or not outcomes[-1][0]:
        outcomes.append(sync(signed_in))
        assert len(outcomes) < 5
    assert [state["unsyncedPhotos"] for _, state in outcomes] == [1, 1, 0]
    assert [state["unsyncedEntries"] for _, state in outcomes] == [0, 0, 0]
    piece = 64 * 1024
    assert offsets[:5] == [0, piece, 2 * piece, 3 * piece, 3 * piece]
    (kept,) = [path for path in shop.data.rglob(f"*{name}*") if path.is_file()]
    assert hashlib.sha256(kept.read_bytes()).hexdigest() == name
    assert kept.stat().st_size == size


def test_a_photo_half_sent_goes_on_from_its_byte_when_the_application_starts_again(signed_in, phone):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    entry = run(signed_in, PHOTO_ENTRY, [*as_file(noise_jpeg(1590, 1200)), case])
    offsets = []

    def break_off(route):
        offsets.append(int(route.request.headers.get("upload-offset", "-1")))
        if len(offsets) > 3:
            route.abort("connectionreset")
        else:
            route.continue_()

    phone.route("**/api/photos/**", break_off)
    assert sync(signed_in)[0] is False
    signed_in.close()
    phone.unroute("**/api/photos/**")
    phone.on("request", lambda request: offsets.append(int(request.headers.get("upload-offset", "-1"))))
    before = len(offsets)
    started = open_bench(phone)
    shown = """Promise.resolve(syncState.syncState.subscribe(({unsyncedPhotos, lastSync}) => {
        document.title = lastSync ? `only here: ${unsyncedPhotos}` : '';
    }))"""
    run(started, shown)
    run(started, "Promise.resolve(syncTriggers.startSync())")
    expect(started).to_have_title("only here: 0")
    again = [offset for offset in offsets[before:] if offset >= 0]
    piece = 64 * 1024
    assert offsets[:4] == [-1, 0, piece, 2 * piece]
    assert again == list(range(2 * piece, entry["body"]["bytes"], piece))


def test_another_phone_shows_the_photo_and_keeps_it(signed_in, new_phone):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    entry = run(signed_in, PHOTO_ENTRY, [*as_file(noise_jpeg(800, 600)), case])
    assert sync(signed_in)[0] is True
    phone = new_phone()
    other = open_bench(phone)
    sign_in(other)
    sync(other)
    shown = """new Promise((done) => {
        const image = new Image();
        image.onload = () => done([image.naturalWidth, image.naturalHeight]);
        image.onerror = () => done(null);
        image.src = arg;
    })"""
    size = [entry["body"]["width"], entry["body"]["height"]]
    assert run(other, shown, run(other, "photos.photoUrl(arg)", entry["body"]["sha256"])) == size
    thumb = run(other, shown, run(other, "photos.thumbUrl(arg)", entry["body"]["sha256"]))
    assert max(thumb) == 320
    assert state_of(other)["unsyncedPhotos"] == 0
    requests = []
    other.on("request", lambda request: requests.append(request.url))
    run(other, "photos.photoUrl(arg)", entry["body"]["sha256"])
    assert [url for url in requests if "/api/photos" in url] == []


def test_a_damaged_photo_is_reported_and_holds_up_no_other(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    damaged = run(signed_in, PHOTO_ENTRY, [*as_file(noise_jpeg(300, 300)), case])["body"]["sha256"]
    good = run(signed_in, PHOTO_ENTRY, [*as_file(noise_jpeg(310, 300)), case])["body"]["sha256"]
    spoil = """database.write(['photos'], async (tx) => {
        const row = await tx.objectStore('photos').get(arg);
        new Uint8Array(row.bytes)[1000] ^= 255;
        await tx.objectStore('photos').put(row);
    })"""
    run(signed_in, spoil, damaged)
    whole, state = sync(signed_in)
    assert (whole, state["error"]["code"], state["unsyncedPhotos"]) == (False, "photo_damaged", 1)
    heads = "Promise.all(arg.map((name) => fetch(`/api/photos/${name}`).then((answer) => answer.status)))"
    assert run(signed_in, heads, [damaged, good]) == [404, 200]


def test_a_restored_shop_is_offered_everything_again(own_shop, new_phone, tmp_path):
    page = open_bench(new_phone(own_shop))
    sign_in(page)
    case = run(page, OPEN_CASE, CASE_OPENED)
    assert sync(page)[0] is True
    own_shop.stop()
    backup = tmp_path / "backup"
    shutil.copytree(own_shop.data, backup)
    own_shop.start()
    run(page, RECORD_NOTES, [case, 3])
    run(page, PHOTO_ENTRY, [*as_file(noise_jpeg(300, 300)), case])
    assert sync(page)[0] is True
    own_shop.stop()
    shutil.rmtree(own_shop.data)
    shutil.copytree(backup, own_shop.data)
    own_shop.start()
    noted = "syncState.syncState.subscribe(({epochChanged}) => { window.sawNewEpoch ||= epochChanged; })"
    run(page, f"Promise.resolve({noted})")
    whole, state = sync(page)
    assert whole is True and page.evaluate("() => window.sawNewEpoch") is True
    assert state["epochChanged"] is False
    in_shop = log_in_shop(page, case)
    assert ids(in_shop) == ids(run(page, "log.entriesOf(arg)", case))
    assert len(in_shop) == 5
    sha256 = next(entry for entry in in_shop if entry["kind"] == "photo")["body"]["sha256"]
    assert run(page, "fetch(`/api/photos/${arg}`).then((answer) => answer.status)", sha256) == 200


def test_two_tabs_exchange_one_after_the_other(signed_in, phone):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    other = open_bench(phone)
    at_once = [0]
    most = [0]

    def watch(route):
        at_once[0] += 1
        most[0] = max(most[0], at_once[0])
        answer = route.fetch()
        at_once[0] -= 1
        route.fulfill(response=answer)

    phone.route("**/api/sync", watch)
    begin = "Promise.resolve().then(() => { window.exchange = sync.syncNow(); })"
    for tab in (signed_in, other):
        run(tab, begin)
    for tab in (signed_in, other):
        assert tab.evaluate("() => window.exchange") is True
    assert most[0] == 1
    assert len(log_in_shop(signed_in, case)) == 1
    # The tab that did not record knows too.
    assert run(other, "syncState.syncState.value")["unsyncedEntries"] == 0


@pytest.mark.parametrize(("says_so", "least", "most"), [(True, 1, 4), (False, 8, 30)])
def test_where_the_phone_says_that_it_has_no_network_the_shop_is_seldom_asked_for(
    signed_in, phone, says_so, least, most
):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    signed_in.clock.install()
    run(signed_in, "Promise.resolve(syncTriggers.startSync())")
    asked, failed = [], []
    for event, noted in (("request", asked), ("requestfailed", failed)):
        signed_in.on(event, lambda request, noted=noted: noted.append(1) if "/api/state" in request.url else None)
    state_of(signed_in)  # its modules are at hand
    phone.set_offline(True)
    if not says_so:
        signed_in.evaluate("() => Object.defineProperty(navigator, 'onLine', {value: true})")
    run(signed_in, RECORD_NOTES, [case, 1])
    while (state_of(signed_in)["error"] or {}).get("code") != "no_connection":  # until it is found out
        signed_in.clock.run_for(1_000)
    asked.clear()
    failed.clear()
    for _ in range(13):  # two minutes
        signed_in.clock.run_for(10_000)
        answered = False
        while not answered:  # the phone asks again some time after the answer, or after there was none
            answered = len(failed) >= len(asked)
            signed_in.evaluate("() => fetch('/api/none').catch(() => null)")
    assert least <= len(asked) <= most


def test_of_itself_after_a_record_when_the_connection_returns(signed_in, phone):
    shown = """Promise.resolve(syncState.syncState.subscribe(({unsyncedEntries, lastSync}) => {
        document.title = lastSync ? `only here: ${unsyncedEntries}` : '';
    }))"""
    run(signed_in, shown)
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    run(signed_in, "Promise.resolve(syncTriggers.startSync())")
    expect(signed_in).to_have_title("only here: 0")
    phone.set_offline(True)
    run(signed_in, RECORD_NOTES, [case, 1])
    expect(signed_in).to_have_title("only here: 1")
    with pytest.raises(Error, match="Failed to fetch"):
        signed_in.evaluate("() => fetch('/api/state')")
    phone.set_offline(False)
    expect(signed_in).to_have_title("only here: 0")
    run(signed_in, RECORD_NOTES, [case, 1])
    expect(signed_in).to_have_title("only here: 1")
    expect(signed_in).to_have_title("only here: 0")
    assert len(log_in_shop(signed_in, case)) == 3


TROUBLE_AS_TITLE = """Promise.resolve(syncState.syncState.subscribe(({unsyncedEntries, error}) => {
    document.title = `${error?.code ?? 'no error'}, only here: ${unsyncedEntries}`;
}))"""


def test_after_a_failure_it_is_tried_again_without_being_told(signed_in):
    run(signed_in, OPEN_CASE, CASE_OPENED)
    signed_in.route("**/api/sync", lambda route: route.abort(), times=1)
    run(signed_in, TROUBLE_AS_TITLE)
    run(signed_in, "Promise.resolve(syncTriggers.startSync())")
    expect(signed_in).to_have_title("no_connection, only here: 1")
    expect(signed_in).to_have_title("no error, only here: 0")


def test_a_page_that_is_seen_finds_the_shop_again_though_nothing_tells_it_of_the_connection(signed_in):
    failed = []
    signed_in.on("requestfailed", lambda request: failed.append(request.url))
    signed_in.route("**/api/**", lambda route: route.abort())
    run(signed_in, OPEN_CASE, CASE_OPENED)
    signed_in.clock.install()
    run(signed_in, TROUBLE_AS_TITLE)
    run(signed_in, "Promise.resolve(syncTriggers.startSync())")
    expect(signed_in).to_have_title("no_connection, only here: 1")
    while len(failed) < 9:  # a long time without a signal
        signed_in.clock.run_for(600_000)
    signed_in.unroute("**/api/**")
    run(signed_in, "syncState.countAgain()")
    signed_in.clock.run_for(11_000)
    expect(signed_in).to_have_title("no error, only here: 0")


def test_nobody_signed_in_exchanges_nothing(page):
    requests = []
    page.on("request", lambda request: requests.append(request.url))
    assert sync(page)[0] is False
    assert [url for url in requests if "/api/" in url] == []


def test_the_icon_tells_how_much_only_this_phone_has(signed_in):
    signed_in.evaluate("""() => {
        window.badges = [];
        navigator.setAppBadge = async (count) => { window.badges.push(count); };
        navigator.clearAppBadge = async () => { window.badges.push(0); };
    }""")
    run(signed_in, OPEN_CASE, CASE_OPENED)
    run(signed_in, "syncState.countAgain()")
    assert signed_in.evaluate("() => window.badges.at(-1)") == 1
    assert run(signed_in, "sync.syncNow()")
    assert signed_in.evaluate("() => window.badges.at(-1)") == 0
