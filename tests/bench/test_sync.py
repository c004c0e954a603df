"""The measurement itself, on a small load: what it says was sent is in the shop."""

import pytest

from coiltrail.bench import day, serving, sync
from coiltrail.bench.link import Link, opened
from coiltrail.store import inspection
from coiltrail.trouble import Trouble
from tests.conftest import config_in, running


@pytest.fixture
def small(monkeypatch):
    for name, value in (("FLOOD_ENTRIES", 60), ("FLOOD_PHOTOS", 2)):
        monkeypatch.setattr(sync, name, value)
    for name, value in (("CASES", 2), ("ENTRIES", 30), ("PHOTOS", 2)):
        monkeypatch.setattr(day, name, value)


def test_what_was_sent_is_in_the_shop_whole(tmp_path):
    with serving.served(tmp_path) as shop, opened(Link(shop.port)) as link:
        work = day.make(shop.device, shop.person, cases=3, entries=400, photos=3)
        sync.Phone(shop, link.port).send(work)
    assert link.passed > 3 * day.PHOTO_BYTES
    for app in running(config_in(tmp_path)):
        with app.app_context():
            seen = inspection.inspect_shop()
    assert seen.whole, seen.findings
    assert (len(seen.cases), seen.entries, seen.photos, seen.awaited) == (3, 400, 3, 0)


def test_each_line_is_measured_or_says_why_not(small, monkeypatch, capsys):
    def missing():
        raise Trouble("npm is not on this machine")

    monkeypatch.setattr(sync.replicating, "install", missing)
    monkeypatch.setattr(sync.postgres, "_programs", lambda: None)
    sync.run(scale=200)
    head, _, table = capsys.readouterr().out.partition("\n\n")
    assert "2 cases with 30 entries" in head and "200 times faster" in head
    ours, postgres, other = table.splitlines()[1:]
    name, entries, photos, wire, seconds, unit = ours.rsplit(maxsplit=5)
    assert (name, unit) == ("Coiltrail on SQLite", "s")
    assert float(entries) > 0 and float(photos) > 0 and float(wire) > 200 and float(seconds) > 0
    assert postgres.split(maxsplit=3)[-1] == "not measured: PostgreSQL's initdb is not on this machine"
    assert other.endswith("not measured: npm is not on this machine")


def test_a_shop_that_refuses_ends_it(tmp_path):
    with serving.served(tmp_path) as shop:
        stranger = serving.Shop(shop.port, shop.device, shop.person, token="nobody")
        with pytest.raises(Trouble, match="answered 401"):
            sync.Phone(stranger, shop.port).send(day.make(shop.device, shop.person, cases=1, entries=2, photos=0))
