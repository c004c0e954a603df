"""How fast a part on the shelf is found, letter by letter, in a large shop: on both databases."""

import random
import time
from collections.abc import Iterator

from ..core import tags
from ..store import log, shelf
from ..store.database import db, writing
from . import databases, search

CASES, PARTS = 5_000, 2_000  # some years of a busy shop (estimate)
TARGET_MS = 200  # of a keystroke, above which typing feels held up (common practice, no source)
_BRANDS = ("Wexley", "Tarn", "Harrow", "Quill", "Brackett", "Merrow")
_TYPED = ("", "w", "we", "wex", "wexley", "AX-1", "coil", "larkfield coil", "coil 3 tarn", "nothing of this")
_NEXT = ("warranty", "bench", "spare")


def run() -> None:
    """Print how long the shelf takes to answer what is typed into its search, on each database there is."""
    print(f"{PARTS:,} parts on the shelf of {CASES:,} cases; each {search.TIMES} times; target {TARGET_MS} ms.\n")
    print(f"{'':24}{'typed':>22}{'p50':>8}{'p95':>8}{'most':>8}", flush=True)
    databases.on_both(_measure)


def _measure(name: str, shop_id: str, by: str) -> None:
    fill(shop_id, by, CASES, PARTS)
    for typed in _TYPED:
        times = [_timed(shop_id, typed) for _ in range(search.TIMES)]
        print(f"{name:24}{typed:>22}{search.row(times)}", flush=True)


def fill(shop_id: str, by: str, cases: int, parts: int) -> None:
    """Take invented cases into the log, of which ``parts``, evenly spread, have left a tagged coil on the shelf."""
    desk, chance = search.Desk(by), random.Random(7)
    for start in range(0, cases, search.CASES_AT_ONCE):
        made = []
        for number in range(start, min(start + search.CASES_AT_ONCE, cases)):
            opened, *others = search.case(desk, chance, number)
            left = number * parts // cases != (number + 1) * parts // cases
            made += [opened, *(_coil(desk, chance, opened) if left else ()), *others]
        with writing() as session:
            log.take_in(session, log.lock(session, shop_id), None, log.check(made))


def _coil(desk: search.Desk, chance: random.Random, opened: dict) -> Iterator[dict]:
    case, at, place = opened["case"], opened["at"][0], f"coil.{chance.randint(1, 4)}"
    part, number = f"{case}.{place}", f"{chance.choice('ABCD')}X-{chance.randint(1000, 9999)}"
    told = {"part": part, "kind": "coil", "place": place, "brand": chance.choice(_BRANDS), "part_number": number}
    yield desk.entry(case, "part_noted", told, at + 100)
    yield desk.entry(case, "repair", {"work": "replaced", "place": place}, at + 200)
    yield desk.entry(case, "part_fate", {"part": part, "fate": "shelf", "next": chance.choice(_NEXT)}, at + 300)
    drawn = (tags.new_tag(chance.randbytes(16)) for _ in range(100))
    yield desk.entry(case, "tag_bound", {"code": next(filter(None, drawn)), "part": part}, at + 400)


def _timed(shop_id: str, typed: str) -> float:
    began = time.perf_counter()
    shelf.parts(shop_id, None, typed)
    db.session.rollback()
    return (time.perf_counter() - began) * 1000
