"""Plans: what happens in a case, apart from how its cylinders are numbered, and the logs they make.

A plan is a list of acts, each ``(name, arguments)``, drawn by Hypothesis. ``write`` records it in a log; with
``mirrored`` the same engine is numbered from its other end.
"""

from hypothesis import strategies as st

from coiltrail.core import checks, evidence
from coiltrail.core.engine import Engine
from demo_fixtures.logbook import Logbook

ENGINES = (
    (2, "inline", "coil_on_plug"),
    (3, "inline", "coil_on_plug"),
    (4, "vee", "coil_on_plug"),
    (4, "inline", "waste_spark"),
    (4, "vee", "waste_spark"),
    (3, "inline", "distributor"),
    (4, "flat", "coil_near_plug"),
)
CONDITIONS = (None, ["idle"], ["load"], ["wet"])
RUNNING = sorted(evidence.RUNNING)
OTHER_CHECKS = [check for check in checks.CHECKS if check["key"] not in evidence.RUNNING]

MOST_ACTS = 6


def findings(engine: Engine):
    """Acts that find something and move nothing."""
    running = st.sampled_from(RUNNING).flatmap(
        lambda check: st.tuples(
            st.just("running"),
            st.tuples(
                st.just(check),
                st.sampled_from(sorted(evidence.RUNNING[check])),
                st.sampled_from(engine.numbers),
                st.sampled_from(CONDITIONS),
            ),
        )
    )
    other = st.sampled_from(OTHER_CHECKS).flatmap(
        lambda check: st.tuples(
            st.just("check"),
            st.tuples(
                st.just(check["key"]),
                st.sampled_from([finding["value"] for finding in check["findings"]]),
                st.just(check["about"]),
                st.sampled_from(range(1, engine.positions(check["about"]) + 1)),
            ),
        )
    )
    code = st.one_of(
        st.sampled_from([("P0300", 0), ("P0171", 0), ("P0340", 0)]),
        st.sampled_from([(kind, c) for kind in ("P030", "P020") for c in engine.numbers]),
        st.sampled_from([("P035", k) for k in range(1, len(engine.coils) + 1)]),
    )
    codes = st.tuples(st.just("codes"), st.tuples(st.lists(code, max_size=3, unique=True), st.booleans()))
    drive = st.tuples(
        st.just("drive"), st.tuples(st.sampled_from(("none", "sometimes", "always")), st.sampled_from((None, ["wet"])))
    )
    complaint = st.tuples(
        st.just("complaint"), st.tuples(st.lists(st.sampled_from(("idle", "load", "wet", "always")), max_size=2))
    )
    return st.one_of(running, running, other, other, codes, drive, complaint)


def changes(engine: Engine):
    """Acts that move or mend something, or clear the codes."""
    kinds = ["plug", "injector"] + (["coil"] if len(engine.coils) > 1 else [])
    swap = st.sampled_from(kinds).flatmap(
        lambda kind: st.tuples(
            st.just("swap"), st.tuples(st.just(kind), st.permutations(range(1, engine.positions(kind) + 1)))
        )
    )
    replace = st.sampled_from(("coil", "plug")).flatmap(
        lambda kind: st.tuples(
            st.just("replace"), st.tuples(st.just(kind), st.sampled_from(range(1, engine.positions(kind) + 1)))
        )
    )
    mend = st.tuples(
        st.just("mend"),
        st.sampled_from(
            [("coil_connector", k) for k in range(1, len(engine.coils) + 1)]
            + [("runner", c) for c in engine.numbers]
            + [("fuel_delivery", 0)]
        ),
    )
    return st.one_of(swap, swap, replace, mend, st.tuples(st.just("clear"), st.just(())))


@st.composite
def plans(draw):
    """(engine as a tuple of ENGINES, list of acts)."""
    laid_out = draw(st.sampled_from(ENGINES))
    engine = Engine(*laid_out)
    return laid_out, draw(st.lists(st.one_of(findings(engine), findings(engine), changes(engine)), max_size=MOST_ACTS))


class Numbering:
    """How an engine is numbered: as it is, or ``mirrored``, counted from the other end."""

    def __init__(self, laid_out: tuple, mirrored: bool):
        self.plain = Engine(*laid_out)
        self.mirrored = mirrored
        order = [self.cylinder(c) for c in self.plain.firing_order]
        self.engine = Engine(*laid_out, None, order)

    def cylinder(self, cylinder: int) -> int:
        return self.plain.cylinders + 1 - cylinder if self.mirrored else cylinder

    def position(self, kind: str, position: int) -> int:
        """Where a place of ``kind`` is: a coil position by whom it fires."""
        if not kind.startswith("coil") or not position:
            return self.cylinder(position) if position else 0
        fired = {self.cylinder(c) for c in self.plain.coils[position - 1]}
        return [set(coil) == fired for coil in self.engine.coils].index(True) + 1

    def where(self, kind: str, where: str) -> str:
        """The place of a component that is no part, as its name has it."""
        if kind == "gasket":
            return "-".join(str(self.cylinder(int(c))) for c in reversed(where.split("-"))) if self.mirrored else where
        if kind == "coil_supply":
            first = self.plain.supplies[int(where) - 1][0]
            return str(self.engine.supply_of(self.cylinder(first)))
        return str(self.position(kind, int(where))) if where else ""


def write(laid_out: tuple, acts: list, mirrored: bool = False) -> tuple[Logbook, list[list[dict]]]:
    """The log of a plan, and the entries of each act."""
    numbering = Numbering(laid_out, mirrored)
    log = Logbook("plan", *laid_out, firing_order=list(numbering.engine.firing_order))
    written = []
    for name, arguments in acts:
        start = len(log.entries)
        _ACTS[name](log, numbering, *arguments)
        written.append(log.entries[start:])
    return log, written


def _running(log, numbering, check, finding, cylinder, conditions):
    more = {"disabled": "tool"} if check == "drop" else {}
    log.check(check, finding, cylinder=numbering.cylinder(cylinder), conditions=conditions, **more)


def _check(log, numbering, check, finding, about, position):
    if about == "engine":
        log.check(check, finding)
    elif about == "cylinder":
        log.check(check, finding, cylinder=numbering.cylinder(position))
    else:
        log.check(check, finding, place=f"{about}.{numbering.position(about, position)}")


def _codes(log, numbering, codes, complete):
    kinds = {"P030": "cylinder", "P020": "cylinder", "P035": "coil"}
    read = [f"{head}{numbering.position(kinds[head], n)}" if n else head for head, n in codes]
    log.codes(*read, complete=complete)


def _swap(log, numbering, kind, order):
    first, second = (f"{kind}.{numbering.position(kind, p)}" for p in order[:2])
    log.move((first, second), (second, first), named=False)


def _replace(log, numbering, kind, position):
    log.add("repair", work="replaced", place=f"{kind}.{numbering.position(kind, position)}", use="new")


def _mend(log, numbering, kind, where):
    log.mend(f"{kind}@{numbering.position(kind, where)}" if where else kind)


_ACTS = {
    "running": _running,
    "check": _check,
    "codes": _codes,
    "swap": _swap,
    "replace": _replace,
    "mend": _mend,
    "clear": lambda log, numbering: log.clear(),
    "drive": lambda log, numbering, felt, conditions: log.drive(10, felt, conditions=conditions),
    "complaint": lambda log, numbering, when: log.complaint("shakes", circumstances=when),
}
