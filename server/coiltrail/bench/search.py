"""How fast one case of many is found: searches as people type them, in a shop of invented cases, on both databases."""

import dataclasses
import random
import statistics
import time
from collections.abc import Iterator
from functools import partial

from ..store import log, search
from ..store.clock import uuid7
from ..store.database import db, writing
from . import databases

CASES_AT_ONCE = 500
TIMES = 20  # each search, with other words every time
_MAKES = ("Larkfield", "Osmund", "Tarn", "Wexley", "Brackett", "Fenwick", "Quoin", "Halden", "Merrow", "Stroud")
_MODELS = ("Dunnock", "Plover", "Siskin", "Whinchat", "Linnet", "Pipit", "Dipper", "Knot", "Ruff", "Twite")
_NAMES = (
    "Odile",
    "Cosmo",
    "Petra",
    "Anselm",
    "Bryony",
    "Caspar",
    "Delia",
    "Edwin",
    "Fenella",
    "Gideon",
    "Hester",
    "Ivo",
)
_FAMILIES = [
    first + second for first in ("Ash", "Birch", "Cold", "Dun", "Elm", "Fern") for second in ("by", "ham", "ley")
]
_WORDS = [a + b for a in ("ma", "re", "ti", "so", "lu", "ve", "ka", "no") for b in ("rton", "sk", "ppel", "dine", "mb")]
_START_MS = 1_600_000_000_000
_ENGINE = {"cylinders": 4, "layout": "inline", "ignition": "coil_on_plug", "firing_order": [1, 3, 4, 2]}


@dataclasses.dataclass
class Desk:
    """Who makes the cases: one device with its count."""

    by: str
    device: str = dataclasses.field(default_factory=uuid7)
    n: int = 0

    def entry(self, case: str, kind: str, body: dict, at_ms: int) -> dict:
        self.n += 1
        envelope = {"id": uuid7(), "case": case, "kind": kind, "at": [at_ms, self.n], "when": None}
        return envelope | {"device": self.device, "n": self.n, "by": self.by, "body": body}


def run(count: int) -> None:
    """Measure with ``count`` cases and print, one line each as it is known."""
    print(f"{count:,} invented cases; each search {TIMES} times, with other words; ms for a page of {search.PAGE}.\n")
    print(f"{'':24}{'search':>22}{'p50':>8}{'p95':>8}{'most':>8}", flush=True)
    databases.on_both(partial(_measure, count))


def _measure(count: int, name: str, shop_id: str, by: str) -> None:
    began = time.perf_counter()
    fill(shop_id, by, count)
    taken = time.perf_counter() - began
    everything = []
    for what, typed in _searches(count, by).items():
        times = [_timed(shop_id, sought) for sought in typed]
        everything += times
        print(f"{name:24}{what:>22}{row(times)}", flush=True)
    print(f"{name:24}{'all':>22}{row(everything)}")
    print(f"{name}: taken in within {taken:.0f} s, {count * 5 / taken:.0f} entries a second\n", flush=True)


def fill(shop_id: str, by: str, count: int) -> None:
    """Take ``count`` invented cases into the log, as phones bring them."""
    desk, chance = Desk(by), random.Random(7)
    for start in range(0, count, CASES_AT_ONCE):
        made = [entry for at in range(start, min(start + CASES_AT_ONCE, count)) for entry in case(desk, chance, at)]
        with writing() as session:
            log.take_in(session, log.lock(session, shop_id), None, log.check(made))


def case(desk: Desk, chance: random.Random, number: int) -> Iterator[dict]:
    """The entries of an invented case, the one that opens it first."""
    case, at = uuid7(), _START_MS + number * 1_500_000
    vehicle = {"plate": _plate(number), "make": chance.choice(_MAKES), "model": chance.choice(_MODELS), "year": 2012}
    customer = {"name": f"{chance.choice(_NAMES)} {chance.choice(_FAMILIES)}", "phone": _phone(number)}
    yield desk.entry(case, "case_opened", {"vehicle": vehicle, "engine": _ENGINE, "customer": customer}, at)
    yield desk.entry(case, "complaint", {"symptoms": ["shakes"], "words": _sentence(chance)}, at + 1000)
    codes = [{"code": f"P030{chance.randint(1, 4)}", "status": "stored"}]
    yield desk.entry(case, "codes_read", {"codes": codes}, at + 2000)
    yield desk.entry(case, "note", {"text": _sentence(chance)}, at + 3000)
    if number % 20:
        later = [{"code": "P0420", "text": "Look again"}] if number % 10 == 1 else []
        yield desk.entry(
            case, "case_closed", {"cause": "Coil of 3", "components": ["coil@3"], "later": later}, at + 4000
        )


def _plate(number: int) -> str:
    return f"{chr(65 + number % 26)}{chr(65 + number // 26 % 26)}-{number:05}"


def _phone(number: int) -> str:
    """Of no use to anybody: the area is invented too, as 555-01xx alone would give a hundred numbers."""
    return f"(000) 555-{number:06}"


def _sentence(chance: random.Random) -> str:
    return " ".join(chance.choice(_WORDS) for _ in range(12))


def _searches(count: int, by: str) -> dict[str, list[search.Sought]]:
    """What people type, by what it is; the first letters of a common word find a great part of all cases."""
    chance = random.Random(11)
    some = [chance.randrange(count) for _ in range(TIMES)]
    words = [chance.choice(_WORDS) for _ in some]
    names = [chance.choice(_FAMILIES) for _ in some]
    typed = {
        "plate": [_plate(n) for n in some],
        "telephone": [_phone(n) for n in some],
        "two first letters": [name[:2] for name in names],
        "name and make": [f"{name} {chance.choice(_MAKES)}" for name in names],
        "a code": ["P0303"] * TIMES,
        "two words of notes": [f"{word} {chance.choice(_WORDS)[:3]}" for word in words],
        "nothing that is there": [f"{word}q" for word in words],
    }
    found = {what: [search.Sought(text) for text in texts] for what, texts in typed.items()}
    found["a code, open ones"] = [search.Sought("P0303", closed=False)] * TIMES
    found["a word, of Ada"] = [search.Sought(word, by=by) for word in words]
    month = 30 * 86_400_000
    days = [_START_MS + n * 1_500_000 for n in some]
    found["a name in a month"] = [search.Sought(n, since=d, until=d + month) for n, d in zip(names, days, strict=True)]
    found["open, no word"] = [search.Sought(closed=False)] * TIMES
    return found


def _timed(shop_id: str, sought: search.Sought) -> float:
    began = time.perf_counter()
    search.cases(shop_id, sought)
    db.session.rollback()
    return (time.perf_counter() - began) * 1000


def row(times: list[float]) -> str:
    """Median, 95th of a hundred and most, in columns."""
    return f"{statistics.median(times):8.1f}{statistics.quantiles(times, n=20)[-1]:8.1f}{max(times):8.1f}"
