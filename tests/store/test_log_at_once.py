"""Many write to the log at once, on either database: no cursor steps over an entry that commits late."""

import random
import threading

from coiltrail.store import log
from coiltrail.store.database import db, writing
from coiltrail.store.models import Entry, Shop
from tests.phone import Phone


def test_concurrent_writers_and_readers_miss_nothing(on_each):
    """Eight threads write while four follow the cursor; every reader sees every entry once, in one order."""
    writers, batches = 8, 6
    with on_each.app_context():
        shop_id = db.session.query(Shop).one().id
    done = threading.Event()
    written, seen, failures = [], [[] for _ in range(4)], []

    def guarded(work, *arguments):
        try:
            with on_each.app_context():
                work(*arguments)
        except Exception as failure:
            failures.append(failure)

    def write(seed):
        pause, own = random.Random(seed), Phone(None)
        for _ in range(batches):
            batch = [own.entry() for _ in range(pause.randint(1, 5))]
            with writing() as session:
                log.take_in(session, log.lock(session, shop_id), None, log.check(batch))
            written.extend(entry["id"] for entry in batch)

    def follow(found):
        cursor = 0
        while True:
            last_round = done.is_set()
            page = log.page_after(shop_id, cursor, 2000, set())
            db.session.rollback()  # a request ends here
            cursor = page.cursor
            found.extend(entry["id"] for entry in page.entries)
            if last_round and not page.more:
                return

    readers = [threading.Thread(target=guarded, args=(follow, found)) for found in seen]
    threads = [threading.Thread(target=guarded, args=(write, seed)) for seed in range(writers)]
    for thread in (*readers, *threads):
        thread.start()
    for thread in threads:
        thread.join()
    done.set()
    for thread in readers:
        thread.join()
    assert failures == []
    assert len(written) >= writers * batches
    for found in seen:
        assert sorted(found) == sorted(written)
        assert found == seen[0]
    with on_each.app_context():
        numbers = [row.number for row in db.session.query(Entry).order_by(Entry.number)]
        assert numbers == list(range(1, len(written) + 1))
