"""Whatever is damaged is found and told with the cases it touches, and nothing whole is called damaged."""

import json
import os
import random
import re
import sqlite3

import pytest

from coiltrail.store import inspection, leftovers, log, people, photos
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db, writing
from coiltrail.store.models import PhotoFile
from coiltrail.trouble import Trouble
from tests.conftest import config_in, running
from tests.phone import Phone, jpeg, sha256

from .shop_at_work import do_work


@pytest.fixture
def work(phone):
    return do_work(phone)


@pytest.fixture
def look(app, work):
    """Inspects; connections that still hold the old file are closed first."""

    def look():
        with app.app_context():
            db.engine.dispose()
            return inspection.inspect_shop()

    return look


@pytest.fixture
def change(app, folder, work):
    """Changes rows behind the application's back, as damage or a careless hand would."""

    def change(statement, *values):
        with app.app_context():
            db.session.remove()
            db.engine.dispose()
        connection = sqlite3.connect(folder / "coiltrail.sqlite3")
        with connection:
            changed = connection.execute(statement, values).rowcount
        connection.close()
        assert changed > 0

    return change


def number_of(work, entry):
    return work.entries.index(entry) + 1


def touched(seen):
    return set().union(*(finding.cases for finding in seen.findings))


def test_a_whole_shop(look, work):
    seen = look()
    assert seen.whole, seen.findings
    assert (len(seen.cases), seen.entries, seen.photos, seen.awaited) == (2, len(work.entries), 4, 1)


@pytest.mark.parametrize("replaced", ["seen", "What", "Zo"])
def test_a_changed_word_is_found_with_its_case(look, change, work, replaced):
    entry = next(e for e in work.entries if replaced in json.dumps(e))
    change("UPDATE entry SET content = replace(content, ?, 'XX') WHERE id = ?", replaced, entry["id"])
    seen = look()
    assert touched(seen) == {entry["case"]}
    (finding,) = seen.findings
    assert f"number {number_of(work, entry)} does not fit its hash" in finding.text
    assert seen.summary() == f"Not whole: 1 of 2 cases are affected: {entry['case']}."


@pytest.mark.parametrize(
    ("column", "value"), [("case_id", "other"), ("n", 77), ("at_ms", 1), ("kind", "struck"), ("chain", "0" * 32)]
)
def test_a_changed_column_is_found(look, change, work, column, value):
    change(f"UPDATE entry SET {column} = ? WHERE id = ?", value, work.entries[4]["id"])
    seen = look()
    (finding,) = [finding for finding in seen.findings if "does not fit" in finding.text]
    assert "number 5" in finding.text


def test_a_missing_entry_is_found_and_any_case_may_be_touched(look, change, work):
    change("DELETE FROM entry WHERE id = ?", work.entries[9]["id"])
    seen = look()
    texts = " ".join(finding.text for finding in seen.findings)
    assert "Number 10 of the log cannot be found." in texts
    assert f"counted {len(work.entries) + 1} entries and 1 are not here, the first number 10" in texts
    assert "cannot be told" in seen.summary() and "keep every phone" in seen.summary()


def test_a_missing_end_is_found(look, change, work):
    change("DELETE FROM set_aside")
    change("DELETE FROM entry WHERE number > 12")
    assert f"Numbers 13 to {len(work.entries) + 1} of the log cannot be found." in look().findings[0].text


def test_entries_past_the_count_are_found(look, change):
    change("UPDATE shop SET next_number = 5")
    assert "goes on past its last number, 4" in look().findings[0].text


def test_what_is_set_aside_is_looked_at_too(look, change, work):
    change("UPDATE set_aside SET content = replace(content, 'note', 'mote')")
    assert touched(look()) == {work.cases[0]}


def test_a_device_that_has_more_to_say(look, work):
    work.phone.entry()  # recorded, and still only there
    late = work.phone.entry()
    work.phone.sync(late)
    (finding,) = look().findings
    assert f"and 1 are not here, the first number {late['n'] - 1}: let it sync" in finding.text
    assert "A phone" in finding.text and late["case"] in finding.cases


def test_a_number_given_twice(look, work):
    twin = work.phone.entry(n=3)
    work.phone.sync(twin)
    (finding,) = [finding for finding in look().findings if "to two entries" in finding.text]
    assert "number 3" in finding.text


@pytest.mark.parametrize(("how", "says"), [("missing", "missing from the disk"), ("flipped", "damaged on the disk")])
def test_a_lost_photo_is_told_with_its_case_and_asked_for_again(app, look, folder, work, how, says):
    name = sha256(work.photos[1])
    path = folder / "photos" / name[:2] / name
    content = path.read_bytes()
    path.unlink() if how == "missing" else path.write_bytes(content[:50] + bytes([content[50] ^ 1]) + content[51:])
    seen = look()
    assert [finding.text for finding in seen.findings] == [f"Photo {name} is {says}."]
    assert touched(seen) == {work.cases[1]}
    with app.app_context():
        photos.ask_again(seen.lost_photos)
        assert name in photos.wanted(db.session.query(PhotoFile.shop_id).first()[0], 10)
    assert work.phone.upload(work.photos[1]).status_code == 204
    assert look().whole


def test_files_and_rows_that_belong_to_nothing(app, look, folder, work, shop_id):
    stray = folder / "photos" / "ab" / ("ab" * 32)
    stray.parent.mkdir(exist_ok=True)
    stray.write_bytes(b"x")
    assert work.phone.upload(jpeg(33, 33)).status_code == 204
    seen = look()
    texts = [finding.text for finding in seen.findings]
    assert any("named by no entry" in text for text in texts) and any("no photo that the database" in t for t in texts)
    assert seen.summary().startswith("Not whole, but no case is affected")


def test_a_photo_that_was_never_asked_for(look, change, work):
    change("DELETE FROM photo_file WHERE sha256 = ?", sha256(work.awaited))
    assert touched(look()) == {work.cases[1]}


def test_a_tag_that_leads_nowhere(look, change, work):
    change("DELETE FROM tag")
    seen = look()
    assert touched(seen) == {work.cases[0]} and "list of tags" in seen.findings[0].text


def test_leftovers_of_a_stop_are_told_and_swept(look, folder):
    left = folder / "uploads" / f"{uuid7()}-{'0' * 64}.{'1' * 16}.whole"
    left.write_bytes(b"x")
    assert look().whole  # somebody may be at it just now
    os.utime(left, (1, 1))
    (finding,) = look().findings
    assert str(left) in finding.text and not finding.cases
    assert leftovers.sweep(folder) == 1
    assert look().whole


def test_two_shops_in_one_database(app, look, shop_id):
    with app.app_context(), writing() as session:
        other = people.add_shop(session, "Kerbside Engines", "555-0144")
        log.take_in(session, log.lock(session, other.id), None, log.check([Phone(None).entry()]))
    seen = look()
    assert seen.whole and len(seen.cases) == 3


def test_a_directory_without_a_shop(tmp_path):
    for app in running(config_in(tmp_path / "nothing")):
        with app.app_context(), pytest.raises(Trouble, match="COILTRAIL_DATA"):
            inspection.inspect_shop()


@pytest.mark.parametrize("what", [b"no database" * 10, b""])
def test_a_file_that_is_no_database_at_all(app, folder, look, what):
    look()
    path = folder / "coiltrail.sqlite3"
    path.write_bytes(what + path.read_bytes()[len(what) :] if what else b"x" * 3000)
    seen = look()
    assert "cannot be read" in seen.findings[0].text and "cannot be told" in seen.summary()


def test_bytes_flipped_anywhere_end_in_a_report(look, folder, work):
    """Random bytes of the file, one at a time. Where entries read as before, nothing need be found."""
    look()
    path = folder / "coiltrail.sqlite3"
    whole = path.read_bytes()
    chance = random.Random(8)
    cases, found = {entry["case"] for entry in work.entries}, 0
    for _ in range(60):
        offset = chance.randrange(len(whole))
        path.write_bytes(whole[:offset] + bytes([whole[offset] ^ 1 << chance.randrange(8)]) + whole[offset + 1 :])
        seen = look()
        assert seen.summary().count("\n") == 0
        assert touched(seen) <= cases | seen.cases
        found += not seen.whole
        if seen.whole:
            assert seen.entries == len(work.entries)
    assert found


def test_a_torn_page_of_entries_names_its_cases(look, folder, work):
    """A page of the table overwritten: the indexes still know which cases its entries belong to."""
    look()
    path = folder / "coiltrail.sqlite3"
    content = path.read_bytes()
    page = int.from_bytes(content[16:18], "big")
    at = next(found.start() for found in re.finditer(b"What was seen", content)) // page * page
    path.write_bytes(content[:at] + b"\xff" * page + content[at + page :])
    seen = look()
    assert not seen.whole
    assert touched(seen) and touched(seen) <= set(work.cases)
    assert any("cannot be read" in finding.text for finding in seen.findings)
