"""Backup, restore and check on a real PostgreSQL, and from one database to the other."""

import dataclasses

import pytest
from sqlalchemy import text

from coiltrail.store import backup, inspection, migrations, people, restore
from coiltrail.store.database import db, writing
from coiltrail.trouble import Trouble
from tests.conftest import PASSWORD, config_in, new_phone, running

from .shop_at_work import do_work


@pytest.fixture
def server(tmp_path, emptied):
    """The application on an empty PostgreSQL."""
    yield from running(dataclasses.replace(config_in(tmp_path / "server"), database_url=emptied))


@pytest.fixture
def served(server):
    """The same, with a shop at work."""
    migrations.apply(server)
    with server.app_context():
        with writing() as session:
            shop_id = people.add_shop(session, "Driveway Motors", "555-0134").id
        people.add_person(shop_id, "Ada", "owner", PASSWORD)
    do_work(new_phone(server))
    return server


def test_a_shop_comes_back(served, tmp_path):
    with served.app_context():
        assert inspection.inspect_shop().whole
        made = backup.make(tmp_path / "kept")
    new_phone(served).sync()
    with served.app_context():
        with pytest.raises(Trouble, match="--over"):
            restore.restore(made.folder, over=False)
        done = restore.restore(made.folder, over=True)
        seen = inspection.inspect_shop()
        # What was there is a backup of its own.
        assert backup.read_manifest(done.replaced / "backup").rows["entry"] == made.rows["entry"]
    assert seen.whole and (len(seen.cases), seen.photos) == (2, 4)


def test_a_shop_moves_from_sqlite_to_postgresql_and_back(app, phone, server, tmp_path):
    work = do_work(phone)
    with app.app_context():
        there = backup.make(tmp_path / "there")
    with server.app_context():
        restore.restore(there.folder, over=False)
        seen = inspection.inspect_shop()
        back = backup.make(tmp_path / "back")
    assert seen.whole and seen.entries == len(work.entries)
    assert back.rows == there.rows | {"audit": there.rows["audit"] + 1}  # that it was restored
    same = {"rows/entry.jsonl", "rows/person.jsonl", "rows/set_aside.jsonl", "rows/tag.jsonl"}
    assert {name: back.files[name] for name in same} == {name: there.files[name] for name in same}
    for other in running(config_in(tmp_path / "third")):
        with other.app_context():
            restore.restore(back.folder, over=False)
            assert inspection.inspect_shop().whole


def test_a_backup_sees_one_moment_and_holds_up_nobody(served, tmp_path):
    phone = new_phone(served)
    with served.app_context(), backup.snapshot() as connection:
        count = text("SELECT count(*) FROM entry")
        before = connection.execute(count).scalar()
        phone.sync(phone.entry())
        assert connection.execute(count).scalar() == before
    with served.app_context():
        assert db.session.execute(count).scalar() == before + 1


def test_damage_is_told_with_its_case(served):
    with served.app_context():
        with writing() as session:
            case = session.execute(
                text("UPDATE entry SET content = replace(content, 'seen', 'sewn') WHERE number = 10 RETURNING case_id")
            ).scalar()
        seen = inspection.inspect_shop()
    (finding,) = seen.findings
    assert "number 10 does not fit its hash" in finding.text and finding.cases == {case}
