"""Photos that do not reach the shop by themselves: shown, decided upon, and never asked about for ever."""

import json

from playwright.sync_api import Page, expect

from .cases import CASE_OPENED
from .conftest import run
from .pictures import noise_jpeg
from .test_field_log import OPEN_CASE
from .test_field_photos import as_file, take_in
from .test_field_sync import PHOTO_ENTRY, sync

UNFIT = {"error": {"code": "unfit", "message": "This picture is cut off or damaged. Take it again."}}
TWO_DAYS_MS = 2 * 24 * 3600 * 1000
DATE_BACK = """database.write(['photos'], async (tx) => {
    const row = await tx.objectStore('photos').get(arg[0]);
    await tx.objectStore('photos').put({...row, taken: row.taken - arg[1]});
})"""
BACKUP = "storage.backup().then(async ({blob}) => blob.text())"


def photo_of_a_case(page: Page, width: int) -> tuple[str, str]:
    """Case and photo; ``width`` is this test's own, so that the shop does not have the photo yet."""
    case = run(page, OPEN_CASE, CASE_OPENED)
    return case, run(page, PHOTO_ENTRY, [*as_file(noise_jpeg(width, 240)), case])["body"]["sha256"]


def refuse_for_good(page: Page) -> list[str]:
    """Let the shop refuse every piece; gives what was tried."""
    tried = []

    def refuse(route):
        if route.request.method != "PATCH":
            return route.continue_()
        tried.append(route.request.url)
        route.fulfill(status=422, json=UNFIT)

    page.route("**/api/photos/**", refuse)
    return tried


def test_a_photo_the_shop_refuses_is_shown_until_somebody_decides_and_then_kept_in_peace(signed_in):
    case, photo = photo_of_a_case(signed_in, 321)
    tried = refuse_for_good(signed_in)
    for _ in range(3):
        whole, state = sync(signed_in)
        assert (whole, state["unsyncedPhotos"], state["untakenPhotos"]) == (False, 1, 1)
        assert UNFIT["error"]["message"] in state["error"]["message"]
    assert len(tried) == 1  # to send it again would change nothing
    (shown,) = run(signed_in, "strayPhotos.untaken()")
    assert (shown["sha256"], shown["kept"], shown["case"]) == (photo, False, case)

    run(signed_in, "strayPhotos.keepHere(arg)", photo)
    whole, state = sync(signed_in)
    assert (whole, state["error"]) == (True, None)
    assert (state["unsyncedPhotos"], state["untakenPhotos"], state["keptPhotos"]) == (0, 0, 1)
    # Kept is kept: never let go, and in every backup file.
    run(signed_in, "photos.letGo(Infinity)")
    assert photo in [json.loads(line).get("photo", {}).get("sha256") for line in run(signed_in, BACKUP).splitlines()]

    signed_in.unroute("**/api/photos/**")
    run(signed_in, "strayPhotos.tryAgain(arg)", photo)
    whole, state = sync(signed_in)
    assert (whole, state["keptPhotos"]) == (True, 0)
    assert run(signed_in, "fetch(`/api/photos/${arg}`).then((answer) => answer.status)", photo) == 200


def test_a_photo_that_no_entry_names_is_found_after_a_day_and_deleted_or_recorded(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    lost, saved = (take_in(signed_in, noise_jpeg(300 + i, 200))["sha256"] for i in range(2))
    assert run(signed_in, "strayPhotos.nameless()") == []  # a form may still be open
    for photo in (lost, saved):
        run(signed_in, DATE_BACK, [photo, TWO_DAYS_MS])
    assert {one["sha256"] for one in run(signed_in, "strayPhotos.nameless()")} == {lost, saved}

    body = {"sha256": saved, "bytes": 1000, "shows": "other"}
    run(signed_in, "log.record({case: arg[0], kind: 'photo', body: arg[1]})", [case, body])
    assert run(signed_in, "strayPhotos.discard(arg)", saved) is False
    assert run(signed_in, "strayPhotos.discard(arg)", lost) is True
    assert run(signed_in, "strayPhotos.nameless()") == []
    assert sync(signed_in)[0] is True
    heads = "Promise.all(arg.map((name) => fetch(`/api/photos/${name}`).then((answer) => answer.status)))"
    assert run(signed_in, heads, [lost, saved]) == [404, 200]


def test_the_screen_offers_both_and_says_what_is_kept(signed_in):
    _, photo = photo_of_a_case(signed_in, 322)
    refuse_for_good(signed_in)
    sync(signed_in)
    alone = take_in(signed_in, noise_jpeg(310, 200))["sha256"]
    run(signed_in, DATE_BACK, [alone, TWO_DAYS_MS])
    signed_in.goto("/#/stray-photos")
    expect(signed_in.get_by_text(UNFIT["error"]["message"])).to_be_visible()
    signed_in.get_by_role("button", name="Keep it on this device only").click()
    expect(signed_in.get_by_role("heading", name="Kept on this device only")).to_be_visible()
    expect(signed_in.get_by_role("heading", name="Not taken by the shop")).to_be_hidden()

    signed_in.get_by_label("Case it belongs to").select_option(index=1)
    signed_in.get_by_role("button", name="Add it to the case").click()
    expect(signed_in.get_by_role("heading", name="Without an entry")).to_be_hidden()
    signed_in.goto("/#/sync")
    expect(signed_in.get_by_role("link", name="Kept on this device only: 1 photo")).to_be_visible()
    named = "log.caseList().then(async (cases) => (await log.entriesOf(cases[0].case)).map(({body}) => body.sha256))"
    assert {photo, alone} <= set(run(signed_in, named))


def test_a_shop_that_takes_a_photo_and_asks_for_it_for_ever_is_given_up_and_shown(signed_in):
    _, photo = photo_of_a_case(signed_in, 323)
    finished = []

    def takes_and_forgets(route):
        if route.request.method == "HEAD":
            return route.fulfill(status=200, headers={"Upload-Offset": "0", "Upload-Complete": "?0"})
        length = route.request.headers["upload-length"]
        finished.append(length)
        route.fulfill(status=204, headers={"Upload-Offset": length, "Upload-Complete": "?1"})

    def asks_again(route):
        answer = route.fetch()
        route.fulfill(response=answer, json={**answer.json(), "photos_wanted": [photo]})

    signed_in.route("**/api/photos/**", takes_and_forgets)
    signed_in.route("**/api/sync", asks_again)
    states = [sync(signed_in)[1] for _ in range(9)]
    assert len(finished) == 5
    assert (states[-1]["untakenPhotos"], states[-1]["error"]["code"]) == (1, "photo_damaged")
    assert "does not keep it" in states[-1]["error"]["message"]


def test_a_shop_that_begins_anew_with_every_answer_is_not_offered_everything_for_ever(signed_in):
    run(signed_in, OPEN_CASE, CASE_OPENED)
    sync(signed_in)
    asked = []

    def begins_anew(route):
        answer = route.fetch()
        asked.append(route.request.post_data_json["epoch"])
        epoch = f"01890000-0000-7000-8000-{len(asked):012}"
        route.fulfill(response=answer, json={**answer.json(), "epoch": epoch, "accepted": [], "entries": []})

    signed_in.route("**/api/sync", begins_anew)
    whole, state = sync(signed_in)
    assert (whole, state["error"]["code"], len(asked)) == (False, "shop_trouble", 4)
    assert "forgets" in state["error"]["message"]
    signed_in.unroute("**/api/sync")
    assert sync(signed_in)[0] is True
