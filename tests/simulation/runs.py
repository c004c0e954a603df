"""Plays simulations: the phones in Node, the shop in this process.

Each run follows from its seed alone: ``python -m tests.simulation.runs SEED`` tells one step by step. Many are played
side by side, so that Node and Python wait for each other seldom. A process that has played is good for nothing else:
the server's steps are counted in it, and its clock is the run's.
"""

import argparse
import base64
import io
import json
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from PIL import Image

from .shop import Shops

HERE = Path(__file__).resolve().parent
FIELD = HERE.parents[1] / "pwa" / "field"
PICTURES = 12  # that the phones of one run may take


@dataclass(frozen=True)
class Run:
    """How a run ended: what did not hold, what happened step by step if that was to be told, and how often what did."""

    seed: int
    failures: list[str]
    trace: list[str]
    counts: dict[str, int]


def play(
    seeds: Iterable[int],
    rules: Path = FIELD,
    *,
    faults: Sequence[str] | None = None,
    side_by_side: int = 100,
    trace: bool = False,
) -> Iterator[Run]:
    """Play the runs of ``seeds`` with the phone's decisions taken from ``rules``, and give each when it has ended.

    ``faults``: kinds of faults (see ``world.mjs``) that every run must have; None: as chance has it.
    """
    with tempfile.TemporaryDirectory(dir=_fast_folder()) as folder, _phones(rules) as phones:
        _say(phones, {"pictures": [base64.b64encode(picture).decode() for picture in _pictures()]})
        shops = Shops(Path(folder))
        seeds = iter(seeds)
        while some := list(islice(seeds, side_by_side)):
            _say(phones, {"seeds": some, "faults": faults, "trace": trace})
            while "done" not in (heard := _hear(phones)):
                _say(phones, [shops.answer(seed, call) for seed, call in heard["calls"]])
            yield from (Run(*ended) for ended in heard["done"])
        shops.close()
        phones.stdin.close()


def main() -> int:
    parser = argparse.ArgumentParser(
        prog="python -m tests.simulation.runs", description="Play simulated runs; exit with 1 when one fails."
    )
    parser.add_argument("seed", type=int)
    parser.add_argument("--count", type=int, default=1, help="how many runs, from SEED on (default: %(default)s)")
    parser.add_argument("--counts", action="store_true", help="close with how often what happened, as JSON")
    options = parser.parse_args()
    failed, counts = False, Counter()
    for run in play(range(options.seed, options.seed + options.count), trace=options.count == 1):
        counts.update(run.counts)
        failed = failed or bool(run.failures)
        for line in (*run.trace, *(f"seed {run.seed}: {failure}" for failure in run.failures)):
            print(line)
    if options.counts:
        print(json.dumps(counts))
    return int(failed)


def _phones(rules: Path) -> subprocess.Popen:
    command = ["node", str(HERE / "main.mjs"), str(rules)]
    return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)


def _say(phones: subprocess.Popen, content: object) -> None:
    phones.stdin.write(json.dumps(content).encode() + b"\n")
    phones.stdin.flush()


def _hear(phones: subprocess.Popen) -> dict:
    line = phones.stdout.readline()
    if not line:
        raise RuntimeError("the phones' process has ended; see its error above")
    return json.loads(line)


def _pictures() -> list[bytes]:
    pictures = []
    for number in range(PICTURES):
        file = io.BytesIO()
        Image.new("L", (8, 8)).save(file, "JPEG", quality=1, comment=f"{number}")
        pictures.append(file.getvalue())
    return pictures


def _fast_folder() -> str | None:
    """Memory, where the system offers it as a folder."""
    return "/dev/shm" if Path("/dev/shm").is_dir() and shutil.disk_usage("/dev/shm").free > 200_000_000 else None


if __name__ == "__main__":
    sys.exit(main())
