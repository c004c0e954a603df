"""The server is killed again and again while phones exchange with it over a bad link: nothing is lost or doubled."""

import io
import random
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import islice

from PIL import Image

from coiltrail.store import inspection, people
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db
from coiltrail.store.models import Entry, Person
from tests.browser.serving import Shop
from tests.phone import sha256

from .rough_link import RoughLink, opened
from .warm_server import WarmShop
from .wire_phone import WirePhone, keep_exchanging

KILLS = 100
CAUGHT_UP_EVERY = 10  # kills; else a slow machine would leave most of the work for the end
ENTRIES = 1000
PHOTOS = 60
PHONES = 3
SEED = 20251125
FINISHED_WITHIN_S = 300  # not measured against: only so that a server that never takes the rest ends the test


def test_nothing_is_lost_or_doubled_by_a_killed_server(tmp_path):
    chance = random.Random(SEED)
    with ended_at_last(WarmShop(tmp_path / "shop")) as shop, opened(RoughLink(shop.port, SEED)) as link:
        phones = [signed_in(shop, link.port) for _ in range(PHONES)]
        kill_while_working(shop, link, phones, chance)
        assert [phone.wrong for phone in phones] == [[]] * PHONES
        # Whoever comes new gets everything once.
        newcomer = signed_in(shop, link.port)
        newcomer.exchange()
    assert {fate for fate, count in link.fates.items() if count >= 20} >= {
        "request cut",
        "answer cut",
        "slow",
        "refused",
    }

    recorded = {id_: entry for phone in phones for id_, entry in phone.entries.items()}
    photos = {name: content for phone in phones for name, content in phone.photos.items()}
    assert (len(recorded), len(photos)) == (ENTRIES, PHOTOS)
    for phone in (*phones, newcomer):
        assert phone.entries == recorded
    app = shop.app()
    with app.app_context():
        rows = db.session.query(Entry).order_by(Entry.number).all()
        assert [row.number for row in rows] == list(range(1, ENTRIES + 1))
        assert {row.id for row in rows} == recorded.keys()
        for phone in phones:
            assert [row.n for row in rows if row.device == phone.maker.device] == list(range(1, phone.maker.n + 1))
        seen = inspection.inspect_shop()
        assert seen.whole, seen.findings
        assert (seen.entries, seen.photos, seen.awaited) == (ENTRIES, PHOTOS, 0)
        db.session.remove()
        db.engine.dispose()
    for name in photos:
        assert sha256((shop.data / "photos" / name[:2] / name).read_bytes()) == name


class Fuse:
    """Burns piece by piece of what passes the link while a phone has something that only it has; once it has burnt
    down, nothing of the server reaches a phone until it is lit again. Without a piece to burn it lets all pass."""

    def __init__(self, link: RoughLink, phones: list[WirePhone]):
        self.link = link
        self.phones = phones
        self.left = 0
        link.passes = self._burn

    def light(self, pieces: int) -> None:
        self.left = pieces
        self.link.held = False

    def _burn(self) -> None:
        if self.left and any_left(self.phones):
            self.left -= 1
            self.link.held = not self.left


def kill_while_working(shop: WarmShop, link: RoughLink, phones: list[WirePhone], chance: random.Random) -> None:
    """People record while the server comes and goes; at the end all of it goes through."""
    last_round = threading.Event()
    failures: list[BaseException] = []
    pauses = [random.Random(SEED + number) for number in range(len(phones))]
    threads = [
        threading.Thread(
            target=keep_exchanging,
            args=(phone, last_round, failures, lambda pause=pause: time.sleep(pause.uniform(0, 0.02))),
        )
        for phone, pause in zip(phones, pauses, strict=True)
    ]
    fuse = Fuse(link, phones)
    work = all_work(chance)
    for thread in threads:
        thread.start()
    try:
        for number in range(KILLS):
            shop.start()
            if number % CAUGHT_UP_EVERY == 0:
                fuse.light(0)
                wait_until(lambda: all(phone.settled >= all_recorded(phones) for phone in phones), failures)
            *bursts, last = in_bursts(list(islice(work, ENTRIES // KILLS)), chance)
            # At least two pieces pass for a burst before it is settled, one each way.
            fuse.light(chance.randint(1, 2 * len(bursts)))
            for burst in bursts:
                record(phones, burst)
                wait_until(lambda: not fuse.left or not any_left(phones), failures)
            assert not fuse.left
            record(phones, last)  # it may reach the server, but no phone hears of it before the kill
            time.sleep(chance.uniform(0, 0.03))
            assert any_left(phones)
            shop.kill()
        shop.start()
    except BaseException as failure:
        failures.append(failure)
        raise
    finally:
        last_round.set()
        link.held, link.smooth = False, True
        for thread in threads:
            thread.join(FINISHED_WITHIN_S)
    assert failures == [] and not any(thread.is_alive() for thread in threads)
    for phone in phones:
        phone.exchange()  # what the others brought last


def in_bursts(work: list, chance: random.Random) -> list[list]:
    """At least two, of up to three entries each."""
    bursts = []
    while work:
        size = chance.randint(1, 3)
        bursts.append(work[:size])
        work = work[size:]
    return bursts


def record(phones: list[WirePhone], burst: list) -> None:
    for phone, case, photo in burst:
        phones[phone].record(case, photo)


def all_recorded(phones: list[WirePhone]) -> set[str]:
    return {id_ for phone in phones for id_ in list(phone.entries)}


def any_left(phones: list[WirePhone]) -> bool:
    return any(phone.left() for phone in phones)


def wait_until(holds: Callable[[], bool], failures: list) -> None:
    while not holds():
        assert failures == []
        time.sleep(0.002)


def all_work(chance: random.Random):
    """Who records what: (phone, case, photo or None), ENTRIES in all, PHOTOS of them with one."""
    cases = [uuid7() for _ in range(5)]
    with_photo = set(chance.sample(range(ENTRIES), PHOTOS))
    for number in range(ENTRIES):
        photo = picture(chance) if number in with_photo else None
        yield chance.randrange(PHONES), chance.choice(cases), photo


def picture(chance: random.Random) -> bytes:
    """A photo of some 20 KB that no other is like."""
    return noise(chance, 160, 120)


def noise(chance: random.Random, width: int, height: int) -> bytes:
    file = io.BytesIO()
    Image.frombytes("L", (width, height), chance.randbytes(width * height)).save(file, "JPEG", quality=90)
    return file.getvalue()


def signed_in(shop: Shop, port: int) -> WirePhone:
    app = shop.app()
    with app.app_context():
        person = db.session.query(Person).one()
        person_id, device = person.id, uuid7()
        _, token = people.sign_in(person, device, "A phone")
        db.session.remove()
        db.engine.dispose()
    return WirePhone(port, device, token, person_id)


@contextmanager
def ended_at_last(shop: WarmShop) -> Iterator[WarmShop]:
    try:
        yield shop
    finally:
        shop.end()
