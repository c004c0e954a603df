"""A phone whose database was written by any earlier release opens with all that was in it."""

import base64
import json

import pytest

from .conftest import refusal, run, sign_in
from .phone_database import STORED, dump, put
from .test_field_photos import bytes_of
from .test_field_sync import ids, log_in_shop, set_aside_in, state_of, sync

FILES = sorted(STORED.glob("phone-*.json"))


def stored_in(dumped: dict, name: str) -> list:
    (store,) = [store for store in dumped["stores"] if store["name"] == name]
    return store["rows"]


def test_every_version_has_its_file(page):
    run(page, "log.caseList()")
    newest = dump(page)
    assert [json.loads(file.read_text())["version"] for file in FILES] == list(range(1, newest["version"] + 1))
    # The newest file shows the stores as a new phone makes them: what was released has not been changed since.
    of_file = json.loads(FILES[-1].read_text())["stores"]
    assert [(one["name"], one["keyPath"], one["indexes"]) for one in of_file] == [
        (one["name"], one["keyPath"], one["indexes"]) for one in newest["stores"]
    ]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_all_of_an_earlier_version_is_there_and_goes_to_the_shop(page, file):
    before = json.loads(file.read_text())
    assert all(store["rows"] for store in before["stores"])
    put(page, before)

    rows = stored_in(before, "entries")
    case = rows[0]["entry"]["case"]
    recorded = [row["entry"] for row in rows]
    assert ids(run(page, "log.entriesOf(arg)", case)) == ids(recorded)
    assert [one["case"] for one in run(page, "log.caseList()")] == [case]
    for photo in stored_in(before, "photos"):
        assert bytes_of(page, photo["sha256"]) == base64.b64decode(photo["bytes"]["$bytes"])
    assert run(page, "drafts.kept('form/somewhere/note')") == {"text": "half typed"}
    assert run(page, "drafts.expectedPhoto()")["case"] == case
    state = state_of(page)
    assert state["unsyncedEntries"] == len([row for row in rows if row.get("unsynced")]) > 0
    assert state["unsyncedPhotos"] == len(stored_in(before, "uploads"))
    assert [one["id"] for one in state["setAside"]] == [one["id"] for one in stored_in(before, "setaside")]

    sign_in(page)
    new = run(page, "log.record({case: arg, kind: 'note', body: {text: 'after'}})", case)
    assert new["n"] == len(recorded) + 1
    assert new["at"] > max(entry["at"] for entry in recorded)
    whole, state = sync(page)
    assert whole is True
    apart = [one["entry"] for one in set_aside_in(case, state)]
    assert ids([*log_in_shop(page, case), *apart]) == ids([*recorded, new])
    assert ids(apart) == sorted(one["id"] for one in stored_in(before, "setaside"))


def test_a_database_of_a_newer_release_is_left_alone_and_said(page):
    newer = json.loads(FILES[-1].read_text())
    newer["version"] += 1
    put(page, newer)
    assert refusal(page, "log.caseList()")["name"] == "VersionError"
    assert "newer release" in run(page, "Promise.resolve(database.databaseTrouble.value)")["message"]
    assert dump(page) == newer
