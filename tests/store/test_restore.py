"""A restored shop is the shop that was backed up; what was there before is kept; phones hand in the rest."""

import pytest

from coiltrail.store import backup, in_use, inspection, migrations, restore, rows
from coiltrail.store.database import db
from coiltrail.trouble import Trouble
from tests.conftest import config_in, running
from tests.phone import Phone, sha256

from .shop_at_work import do_work


@pytest.fixture
def work(phone):
    return do_work(phone)


@pytest.fixture
def made(app, work, tmp_path):
    """A backup of the shop at work."""
    with app.app_context():
        return backup.make(tmp_path / "backup")


@pytest.fixture
def other(tmp_path):
    """The application on a directory with nothing in it, not even tables."""
    yield from running(config_in(tmp_path / "other"))


def put_back(app, made, over=False):
    with app.app_context():
        done = restore.restore(made.folder, over=over)
        return done, inspection.inspect_shop()


def content(app):
    with app.app_context(), backup.snapshot() as connection:
        return {
            table.name: connection.execute(table.select().order_by(*table.primary_key.columns)).all()
            for table in db.metadata.sorted_tables
        }


def but_for_the_restore(tables):
    """The tables without the epoch, which begins anew, and without what is written down of the restore itself."""
    audit = [row for row in tables["audit"] if row.deed != "restored"]
    return tables | {"shop": [row[:3] + row[4:] for row in tables["shop"]], "audit": audit}


def test_an_empty_directory_becomes_the_shop(app, made, other, work):
    done, seen = put_back(other, made)
    assert (done.asked, done.replaced) == ([], None)
    assert seen.whole, seen.findings
    assert (
        seen.summary() == f"All is whole: 2 cases, {len(work.entries)} entries, 4 photos; 1 more are still on phones."
    )
    assert but_for_the_restore(content(other)) == but_for_the_restore(content(app))
    assert [row.about for row in content(other)["audit"] if row.deed == "restored"] == ["backup"]
    assert content(other)["shop"][0].epoch != content(app)["shop"][0].epoch


def test_a_phone_hands_in_what_came_after_the_backup(app, made, work):
    phone = work.phone
    later = phone.entry()
    phone.sync(later)
    put_back(app, made, over=True)
    epoch = phone.epoch
    answer = phone.sync()
    assert answer["epoch"] != epoch
    assert later["id"] not in {entry["id"] for entry in answer["entries"]}
    answer = phone.sync(*work.entries, later)  # as phones do at a new epoch
    assert set(answer["accepted"]) == {entry["id"] for entry in [*work.entries, later]}
    assert later["id"] in {entry["id"] for entry in Phone(phone.client, phone.device).fetch_all()}


def test_a_shop_that_is_there_is_replaced_only_on_demand_and_kept(app, made, work, folder):
    later = work.phone.entry()
    work.phone.sync(later)
    before = content(app)
    with pytest.raises(Trouble, match=r"The shop Driveway Motors is there.*--over"):
        put_back(app, made)
    assert content(app) == before
    done, seen = put_back(app, made, over=True)
    assert seen.whole
    for was in running(config_in(done.replaced)):
        assert content(was) == before
        with was.app_context():
            assert inspection.inspect_shop().whole  # it can be served as it is


def test_a_database_that_cannot_be_read_is_replaced(made, other, tmp_path):
    (tmp_path / "other" / "coiltrail.sqlite3").write_bytes(b"not a database at all" * 500)
    with pytest.raises(Trouble, match="cannot be read is there"):
        put_back(other, made)
    done, seen = put_back(other, made, over=True)
    assert seen.whole
    assert (done.replaced / "coiltrail.sqlite3").read_bytes().startswith(b"not a database")


def test_photos_lost_from_the_backup_are_asked_of_the_phones(made, other, work):
    lost = sorted(made.photos)[0]
    (made.folder / lost).write_bytes(b"x")
    done, seen = put_back(other, made)
    name = lost.rsplit("/", 1)[1]
    assert done.asked == [name]
    assert seen.whole and (seen.photos, seen.awaited) == (3, 2)


@pytest.mark.parametrize("how", ["changed", "missing"])
def test_damaged_rows_stop_it_before_anything_is_changed(app, made, work, how):
    path = made.folder / "rows" / "entry.jsonl"
    path.unlink() if how == "missing" else path.write_text(path.read_text().replace("seen", "sewn"))
    before = content(app)
    with pytest.raises(Trouble, match=r"rows/entry.jsonl .* is damaged; nothing was changed"):
        put_back(app, made, over=True)
    assert content(app) == before


def test_a_served_directory_is_left_alone(app, made, folder):
    with in_use.serving(folder), in_use.serving(folder), pytest.raises(Trouble, match="stop it first"):
        put_back(app, made, over=True)
    with in_use.alone(folder), pytest.raises(Trouble, match="being restored"), in_use.serving(folder):
        pass


def test_a_backup_of_a_newer_release_changes_nothing(app, made, monkeypatch):
    monkeypatch.setattr(migrations, "knows", lambda _: False)
    before = content(app)
    with pytest.raises(Trouble, match="newer release"):
        put_back(app, made, over=True)
    assert content(app) == before


def test_what_this_release_knows(app, made):
    with app.app_context():
        assert migrations.knows(made.revision) and migrations.newest() == made.revision
        assert not migrations.knows("9999")


def test_a_backup_of_an_older_release_is_brought_up_to_date(other, made, tmp_path, phone):
    """A backup in the first shape of the tables: the rows come in as they were and are then migrated."""
    old = tmp_path / "old"
    for app in running(config_in(old)):
        with app.app_context():
            restore.upgrade(revision="0001")
            with db.engine.begin() as connection:
                connection.exec_driver_sql("INSERT INTO shop VALUES ('s', 'Driveway Motors', '555-0134', 'e', 1)")
            first = backup.make(tmp_path / "first")
    assert first.revision == "0001"
    _, seen = put_back(other, first)
    assert seen.whole
    with other.app_context(), db.engine.connect() as connection:
        assert rows.revision(connection) == migrations.newest()


def test_a_restore_that_broke_off_is_done_again(made, other, monkeypatch):
    real = rows.read

    def breaks(connection, folder):
        real(connection, folder)
        raise KeyboardInterrupt

    monkeypatch.setattr(rows, "read", breaks)
    with pytest.raises(KeyboardInterrupt):
        put_back(other, made)
    monkeypatch.setattr(rows, "read", real)
    assert content(other)["shop"] == []  # plainly nothing, not half of it
    _, seen = put_back(other, made, over=True)
    assert seen.whole and seen.photos == 4


def test_the_photos_come_back_byte_for_byte(made, other, work, tmp_path):
    put_back(other, made)
    for photo in work.photos:
        name = sha256(photo)
        assert (tmp_path / "other" / "photos" / name[:2] / name).read_bytes() == photo
