"""How long the diagnosis thinks: on CPython, on the phone's runtime and, for the posterior, in a library beside it.

A figure that was stopped at the limit is shown as ``> 60 s``. Beside a figure that has a target stands whether it is
met; the targets are those of the design's "Speed", for a V8 on an unthrottled desktop core.
"""

import json
import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass
from importlib.util import find_spec

from ..trouble import Trouble
from . import cases, runtimes
from .cases import Shape
from .runtimes import Ask, OnPhone, TooLong

POSTERIOR, FIRST, DEEPER = "posterior", "diagnosis", "deeper_advice"  # questions, as in thinking.py
HEAP_TARGET = 32  # MB, with the largest case
HEAPS = tuple(2**n for n in range(9))  # MB tried, smallest first
MB = 2**20
NAME_WIDTH = 26
COLUMNS = (  # what, where, width
    ("posterior, ms", "CPython", 14),
    ("", "phone", 20),
    ("", "just started", 14),
    ("same network, ms", "library", 18),
    ("", "CPython", 20),
    ("first answer, ms", "CPython", 18),
    ("", "phone", 21),
    ("", "just started", 14),
    ("deeper answer, ms", "CPython", 19),
    ("", "phone", 22),
    ("heap, MB", "phone", 18),
)


@dataclass(frozen=True)
class Figure:
    """``value`` in ms or MB; None where there is none: ``text`` says why. ``target``: the most it may be.

    ``part``: words for what of the case it is, where that is not all.
    """

    value: float | None
    text: str = ""
    target: float | None = None
    part: str = ""

    def __str__(self) -> str:
        said = self.text if self.value is None else f"{self.value:.{0 if self.value >= 10 else 1}f}{self.part}"
        if self.target is None:
            return said
        met = self.value is not None and self.value <= self.target
        return f"{said} {'met' if met else 'not met'} ({self.target:.0f})"


def run(cylinders: list[int], swaps: list[int], quick: bool, as_json: bool, limit_s: float) -> None:
    """Measure and print, one line each as it is known. ``quick``: once, on Node instead of Chromium."""
    times = 1 if quick else runtimes.TIMES
    shapes = [shape for shape in cases.shapes(tuple(cylinders)) if shape.swaps in swaps]
    if not shapes or not set(cylinders) <= set(cases.CYLINDERS) or not set(swaps) <= set(cases.SWAPS):
        raise Trouble("No such case: --cylinders takes 4, 6, 8, 12 and --swaps 0, 1, 2, 3, 5, 8.")
    tell = _silent if as_json else print
    if find_spec("pyagrum") is None:
        print("pyAgrum, the library, is missing: python3 deploy/test.py installs it.", file=sys.stderr)
    tell(_heading(quick, times, limit_s), flush=True)
    lines = []
    warm_times = 1 if quick else runtimes.WARM_TIMES
    with (runtimes.in_node if quick else runtimes.in_chromium)(warm_times, limit_s) as ask:
        for shape in shapes:
            found = measured(shape, ask, times, limit_s)
            lines.append({"case": asdict(shape), "figures": {name: asdict(figure) for name, figure in found.items()}})
            tell(_row(shape.name, list(map(str, found.values()))), flush=True)
        largest = max(shapes, key=lambda shape: (shape.cylinders, shape.swaps))
        heap = smallest_heap(largest, ask)
    tell(f"\nThe smallest heap, a power of two, that is enough for {largest.name}, in MB: {heap}")
    if as_json:
        json.dump({"rows": lines, "smallest_heap": {"case": asdict(largest)} | asdict(heap)}, sys.stdout)
        print()


def measured(shape: Shape, ask: Ask, times: int, limit_s: float) -> dict[str, Figure]:
    """The figures of one case by name, in the order of the columns."""
    entries = shape.entries()
    targets = _targets(shape)
    found = {}
    for what in (POSTERIOR, FIRST, DEEPER):
        here = figure(lambda what=what: runtimes.on_cpython(what, entries, times, limit_s), limit_s)
        found[f"{what} CPython"] = here
        found |= _on_phone(what, entries, ask, limit_s, targets.get(what))
        if what == POSTERIOR:
            found |= _compared(entries, times, limit_s)
    found["heap phone"] = figure(lambda: ask(FIRST, entries, heap=MB, sampling=True).peak / MB, limit_s, HEAP_TARGET)
    return found


def _on_phone(what: str, entries: list[dict], ask: Ask, limit_s: float, target: float | None) -> dict[str, Figure]:
    """The fastest, of a runtime that has answered before, and what the first took after a start."""
    told: list[OnPhone] = []

    def fastest() -> float:
        told.append(ask(what, entries))
        return told[0].ms

    found = {f"{what} phone": figure(fastest, limit_s, target)}
    if what != DEEPER:
        found[f"{what} just started"] = Figure(told[0].first if told else None, "" if told else "-")
    return found


def _compared(entries: list[dict], times: int, limit_s: float) -> dict[str, Figure]:
    """The library and the diagnosis on one network, as large a part of the case's as the library can take."""
    try:
        found = runtimes.in_library(entries, times, limit_s)
    except (TooLong, Trouble) as trouble:
        why = str(trouble) or f"> {limit_s:.0f} s"
        return {"same network library": Figure(None, why), "same network CPython": Figure(None, "-")}
    part = f" of {found.free}" if found.free else ""
    return {
        "same network library": Figure(found.library, "", None, part),
        "same network CPython": Figure(found.ours, "", found.library),
    }


def figure(measure: Callable[[], float], limit_s: float, target: float | None = None) -> Figure:
    """What ``measure`` gives, or why it gives nothing."""
    try:
        return Figure(measure(), "", target)
    except TooLong:
        return Figure(None, f"> {limit_s:.0f} s", target)
    except Trouble as trouble:
        return Figure(None, str(trouble), target)


def smallest_heap(shape: Shape, ask: Ask) -> Figure:
    """The smallest heap in MB that did not have to grow while it answered."""
    for size in HEAPS:
        try:
            if ask(FIRST, shape.entries(), heap=size * MB).heap <= size * MB:
                return Figure(size, "", HEAP_TARGET)
        except TooLong:
            return Figure(None, "not known, it took too long", HEAP_TARGET)
        except Trouble as trouble:
            return Figure(None, str(trouble), HEAP_TARGET)
    return Figure(None, f"more than {HEAPS[-1]}", HEAP_TARGET)


def _targets(shape: Shape) -> dict[str, float]:
    """Milliseconds on the phone's runtime. The design names a V8 with no swap and with three."""
    if shape.cylinders != 8 or shape.swaps > 3:
        return {}
    return {POSTERIOR: 40.0 if shape.swaps else 15.0, FIRST: 300.0, DEEPER: 2000.0}


def _heading(quick: bool, times: int, limit_s: float) -> str:
    where = "Node" if quick else "a module worker of Chromium"
    heads = _row("", [what for what, _, _ in COLUMNS])
    names = _row(f"coil on plug, {cases.ENTRIES} entries", [place for _, place, _ in COLUMNS])
    return (
        f"The phone's runtime is MicroPython (WebAssembly) in {where}; the library is pyAgrum, on one core.\n"
        f"Answers are whole, from entries to JSON; the fastest of {times}, on the phone of "
        f"{1 if quick else runtimes.WARM_TIMES} by a runtime that stays alive, and its first; "
        f"stopped after {limit_s:.0f} s. "
        "The heap is the most it held at the end of a step.\n"
        "Same network: `of 20` where the library can take only so many components free to fail, the others held good; "
        f"CPython is to be no slower.\nTargets in brackets.\n\n{heads}\n{names}"
    )


def _row(name: str, cells: list[str]) -> str:
    return f"{name:{NAME_WIDTH}}" + "".join(
        f"{cell:>{width}}" for cell, (_, _, width) in zip(cells, COLUMNS, strict=True)
    )


def _silent(*_: object, **__: object) -> None:
    pass
