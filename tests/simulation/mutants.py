"""Rules with a fault put in, to show that the simulation finds it.

``python -m tests.simulation.mutants NUMBER`` plays until it is found; exit code 1 when it is not. A mutant replaces a
piece of the source by another. Where that piece is no longer there, applying it fails: the mutant must follow the code.
"""

import importlib
import shutil
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from .runs import FIELD, play

MOST_RUNS = 600
RULES = ("clock.js", "exchange.js", "numbering.js", "pieces.js", "shop.js", "tongue.js")


@dataclass(frozen=True)
class Mutant:
    """``file``: one of ``pwa/field``, or a module of the server by its full name. ``shows_with``: the kinds of faults
    (see ``world.mjs``) with which it shows soon."""

    fault: str
    file: str
    right: str
    wrong: str
    shows_with: tuple[str, ...] = ()

    @property
    def on_the_phone(self) -> bool:
        return self.file.endswith(".js")


MUTANTS = [
    Mutant(
        "the phone takes an entry for safe once it is sent",
        "exchange.js",
        "    const answer = checked(await send(",
        "    const nothing = { set_aside: [], entries: [], apart: [], blanked: [], photos_wanted: [] };\n"
        "    const accepted = batch.map(({ id }) => id);\n"
        "    await keep(asked, { ...asked, head: asked.head ?? [0, ''], ...nothing, accepted });\n"
        "    const answer = checked(await send(",
    ),
    Mutant(
        "the phone's cursor steps over what is still to come",
        "exchange.js",
        "Math.max(place.cursor, cursor)",
        "Math.max(place.cursor, head[0])",
    ),
    Mutant(
        "the phone goes on under its id when the shop knows later entries of it",
        "exchange.js",
        "    anotherDevice ||= entry.device === device;",
        "",
        ("phones put back",),
    ),
    Mutant(
        "the phone goes on under its id when a file knows later entries of it",
        "numbering.js",
        "anotherDevice: added.some((entry) => entry.device === device)",
        "anotherDevice: false",
        ("phones put back", "files"),
    ),
    Mutant(
        "entries are offered in the order of the wall clock",
        "exchange.js",
        "  return [...first, ...left];",
        "  return waiting;",
        ("clocks", "lost phones"),
    ),
    Mutant(
        "the phone does not offer everything again in a new epoch",
        "exchange.js",
        "  const offerAll = isRestored(asked, answer);",
        "  const offerAll = false;",
        ("shop put back",),
    ),
    Mutant(
        "the phone forgets what head it was told",
        "exchange.js",
        "head: place.head && place.head[0] > head[0] ? place.head : head",
        "head: null",
        ("shop put back",),
    ),
    Mutant(
        "a repeated write records an entry a second time",
        "numbering.js",
        "    const before = held.get(entry.id);",
        "    const before = null;",
    ),
    Mutant(
        "the phone's clock runs backwards with the wall clock",
        "clock.js",
        "  return now > last[0] ? [now, 0] : [last[0], last[1] + 1];",
        "  return now !== last[0] ? [now, 0] : [last[0], last[1] + 1];",
        ("clocks",),
    ),
    Mutant(
        "the phone's clock does not move past what others recorded",
        "clock.js",
        "  return compare(seen, last) > 0 ? [seen[0], seen[1]] : last;",
        "  return last;",
        ("clocks",),
    ),
    Mutant(
        "the phone does not keep what the shop set aside of others",
        "exchange.js",
        "  for (const one of answer.apart) {",
        "  for (const one of []) {",
    ),
    Mutant(
        "what is accepted after all stays set aside on the phone",
        "exchange.js",
        "settled: [...aside].filter(([, one]) => one === null).map(([id]) => id)",
        "settled: []",
        ("set aside", "clocks"),
    ),
    Mutant(
        "a photo counts as in the shop before the shop says that it is whole",
        "pieces.js",
        "complete: complete === '?1'",
        "complete: Number(offset) > 0",
    ),
    Mutant(
        "the shop's cursor steps over an entry that did not fit",
        "coiltrail.store.log",
        "                if size and size + len(content) > most_bytes:\n",
        "                if size and size + len(content) > most_bytes:\n                    page.cursor = number\n",
    ),
    Mutant(
        "the shop acknowledges what it sets aside nowhere",
        "coiltrail.store.log",
        "        if self._same_apart(entry) or self.session.execute(_APART_WITH_CONTENT, kept).first():",
        "        if True:",
    ),
    Mutant(
        "the shop passes on what it has since accepted",
        "coiltrail.store.log",
        "            row.settled_ms = now_ms()",
        "            pass",
        ("set aside", "clocks"),
    ),
    Mutant(
        "the shop sets aside again what is in its log",
        "coiltrail.store.log",
        "        if intake.holds(entry):",
        "        if intake.holds(entry) and not problem:",
        ("set aside", "clocks", "shop put back"),
    ),
    Mutant(
        "the shop does not notice that it was put back",
        "coiltrail.store.exchange",
        "        if place.epoch == shop.epoch and _forgotten(session, shop, place):",
        "        if False:",
        ("shop put back",),
    ),
    Mutant(
        "the shop notices that it was put back by the cursor alone",
        "coiltrail.store.exchange",
        "    if place.head and chain.contradicts(session, shop, place.head):",
        "    if False:",
        ("shop put back",),
    ),
    Mutant(
        "the shop answers a phone of another epoch from that phone's cursor on",
        "coiltrail.store.exchange",
        "        place.cursor if place.epoch == epoch else 0,",
        "        place.cursor,",
        ("shop put back",),
    ),
    Mutant(
        "the shop says that it has a photo whose file is gone",
        "coiltrail.store.photos",
        'here = _kept("photos", row.sha256).exists()',
        "here = True",
        ("shop put back",),
    ),
    Mutant(
        "the phone goes on with a shop that takes nothing",
        "exchange.js",
        "  if (batch.length && !batch.some(",
        "  if (false && !batch.some(",
        ("circles",),
    ),
    Mutant(
        "the phone goes on with a shop that promises more and sends nothing",
        "exchange.js",
        "  if (!batch.length && answer.more && answer.cursor === cursor) {",
        "  if (false) {",
        ("circles",),
    ),
    Mutant(
        "the phone goes on with a shop that begins a new epoch each time",
        "exchange.js",
        "    else if (++epochs > MOST_EPOCHS)",
        "    else if (false)",
        ("circles",),
    ),
    Mutant(
        "the phone goes on with a photo that comes no further",
        "pieces.js",
        "    if (stuck > MOST_STUCK)",
        "    if (false)",
        ("circles",),
    ),
    Mutant(
        "the core takes entries in the order in which they came",
        "coiltrail.core.entries",
        "    return sorted(by_id.values(), key=order_key)",
        "    return list(by_id.values())",
    ),
]


def apply(mutant: Mutant, folder: Path) -> Path:
    """Put the fault in, for this process; gives the folder of the phone's rules. Raises ValueError: it does not fit."""
    for name in RULES:
        shutil.copy(FIELD / name, folder / name)
    (folder / "package.json").write_text('{"type": "module"}')
    if mutant.on_the_phone:
        path = folder / mutant.file
        path.write_text(_replaced(path.read_text(encoding="utf-8"), mutant), encoding="utf-8")
    else:
        module = importlib.import_module(mutant.file)
        source = Path(module.__file__)
        exec(compile(_replaced(source.read_text(encoding="utf-8"), mutant), source, "exec"), module.__dict__)
    return folder


def _replaced(source: str, mutant: Mutant) -> str:
    if source.count(mutant.right) != 1:
        raise ValueError(f"{mutant.fault}: {mutant.file} does not hold this once any more: {mutant.right.strip()}")
    return source.replace(mutant.right, mutant.wrong)


def main() -> int:
    mutant = MUTANTS[int(sys.argv[1])]
    with tempfile.TemporaryDirectory() as folder:
        rules = apply(mutant, Path(folder))
        for run in play(range(1, MOST_RUNS + 1), rules, faults=mutant.shows_with, side_by_side=10):
            if run.failures:
                print(f"{mutant.fault}: found by seed {run.seed}, {run.failures[0]}")
                return 0
    print(f"{mutant.fault}: not found in {MOST_RUNS} runs")
    return 1


if __name__ == "__main__":
    sys.exit(main())
