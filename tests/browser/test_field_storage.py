"""Room on the phone, and unsynced work as a file that another phone takes back."""

import base64
import json

import pytest
from playwright.sync_api import Page

from .cases import CASE_OPENED
from .conftest import open_bench, run, sign_in
from .pictures import noise_jpeg
from .test_field_log import OPEN_CASE
from .test_field_photos import FILE, as_file, bytes_of
from .test_field_sync import PHOTO_ENTRY, log_in_shop, state_of, sync

BACKUP = "storage.backup().then(async ({blob, ...about}) => ({...about, text: await blob.text()}))"
RESTORE = f"storage.restore({FILE})"


@pytest.mark.parametrize(
    ("quota", "usage", "free", "low"),
    [
        (10_000_000_000, 1_000_000_000, 9_000_000_000, False),
        (10_000_000_000, 9_500_000_000, 500_000_000, True),
        (1_000_000_000, 850_000_000, 150_000_000, True),
        (1_000_000_000, 1_100_000_000, 0, True),
    ],
)
def test_a_warning_comes_while_there_is_still_room(page, quota, usage, free, low):
    run(page, "Promise.resolve(navigator.storage.estimate = async () => arg)", {"quota": quota, "usage": usage})
    room = run(page, "storage.room()")
    assert (room["used"], room["free"], room["low"]) == (usage, free, low)


def test_a_browser_that_does_not_say_how_much_room_there_is_is_no_trouble(page):
    run(page, "Promise.resolve(navigator.storage.estimate = async () => ({}))")
    assert run(page, "storage.room()") | {"lasting": None} == {
        "used": None,
        "free": None,
        "low": False,
        "lasting": None,
    }


def test_lasting_storage_is_asked_for_once_and_its_answer_shown(page):
    run(
        page,
        """Promise.resolve(Object.assign(navigator.storage, {
            persisted: async () => false,
            persist: async () => { window.asked = (window.asked ?? 0) + 1; return true; },
        }))""",
    )
    assert run(page, "storage.room()")["lasting"] is True
    run(page, "storage.room()")
    assert page.evaluate("() => window.asked") == 1


def backed_up(page: Page) -> tuple[str, dict, dict]:
    """A case with a photo that only this phone has, and its backup: (case, photo's entry, backup)."""
    case = run(page, OPEN_CASE, CASE_OPENED)
    photo = run(page, PHOTO_ENTRY, [*as_file(noise_jpeg(400, 300)), case])
    return case, photo, run(page, BACKUP)


def test_unsynced_work_moves_to_another_phone_by_a_file_and_into_the_shop(signed_in, new_phone):
    case, photo, backup = backed_up(signed_in)
    assert (backup["entries"], backup["photos"]) == (2, 1)
    other = open_bench(new_phone())
    outcome = run(other, RESTORE, as_file(backup["text"].encode(), backup["name"]))
    assert outcome == {"entries": 2, "photos": 1, "refused": []}
    assert run(other, RESTORE, as_file(backup["text"].encode())) == {"entries": 0, "photos": 0, "refused": []}
    recorded = run(signed_in, "log.entriesOf(arg)", case)
    assert run(other, "log.entriesOf(arg)", case) == recorded
    assert bytes_of(other, photo["body"]["sha256"]) == bytes_of(signed_in, photo["body"]["sha256"])
    sign_in(other)
    assert sync(other)[0] is True
    assert log_in_shop(other, case) == recorded
    # The first phone finds its work acknowledged when it gets there at last.
    assert sync(signed_in)[0] is True
    assert log_in_shop(signed_in, case) == recorded
    assert run(signed_in, BACKUP)["entries"] == 0


def test_a_damaged_backup_gives_what_is_whole_and_names_the_rest(signed_in, new_phone):
    *_, backup = backed_up(signed_in)
    lines = backup["text"].splitlines()
    damaged = json.loads(lines[3])
    picture = bytearray(base64.b64decode(damaged["photo"]["base64"]))
    picture[500] ^= 255
    damaged["photo"]["base64"] = base64.b64encode(picture).decode()
    spoilt = "\n".join([lines[0], lines[1], json.dumps(damaged), '{"entry": {"id": 7}}', lines[2][:40]])
    other = open_bench(new_phone())
    outcome = run(other, RESTORE, as_file(spoilt.encode()))
    assert (outcome["entries"], outcome["photos"]) == (1, 0)
    assert [text.partition(":")[0] for text in outcome["refused"]] == ["Line 3", "Line 4", "Line 5"]
    assert state_of(other)["unsyncedEntries"] == 1


@pytest.mark.parametrize("content", [b"", b"\xff\xd8\xff\xe0", b"[]", b'{"file": "another thing"}\n{}'])
def test_another_file_is_refused_in_clear_words(page, content):
    outcome = run(page, RESTORE, as_file(content))
    assert (outcome["entries"], outcome["photos"]) == (0, 0)
    assert "not a backup" in outcome["refused"][0]
