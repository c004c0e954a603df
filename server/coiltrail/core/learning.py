"""What a shop's closed cases teach: how often each kind of component is at fault, and how long parts last.

Priors: the default is a Beta distribution that weighs as much as ``STRENGTH`` components looked after; each closed
case adds its confirmed causes and, as the other count, all components of the kind that were at risk in it.

Lifetimes: right-censored, with late entry (``lifetimes``). A car comes because a part failed, so that the part which
brought it says nothing of how often parts fail and is left out (the proband, after Weinberg; from memory); its
siblings, and every part that is met again in a later case, are lives. Only parts whose age was noted count.

The table that comes out is written into a case when it is opened (``case_opened.table``), so that everybody who
folds the case judges it by the same numbers, whatever was learned since.
"""

from . import canonical, faults, replacement, shelf
from .lifetimes import Weibull, updated
from .tongue import phrase

STRENGTH = 400.0  # components; about a hundred cars of four cylinders. Estimate
LIFE_STRENGTH = 8.0  # failures that the usual lifetime weighs as much as. Estimate
FIT_FROM = 12  # failures from which the shape is fitted too. Estimate
MONTH_MS = 2629746000.0  # mean Gregorian month in milliseconds


def learned(cases):
    """The learned table of closed cases, with its counts: ``{"cases", "priors", "lives", "table"}``.

    ``cases``: folded cases; open ones are left out. ``priors``: rows of ``{"kind", "label", "default", "faults",
    "at_risk", "blend"}``; ``lives``: rows of ``{"kind", "origin", "default", "failures", "parts", "blend"}``, a law
    being [shape, scale in months]; ``table``: what a case keeps.
    """
    closed = [case for case in cases if case.status == "closed"]
    closed.sort(key=lambda case: (case.log[0]["at"], case.case))
    priors = [_prior_row(kind, closed) for kind in faults.KINDS]
    lives = _life_rows(_lives(closed))
    table = {
        "priors": {row["kind"]: row["blend"] for row in priors if row["at_risk"]},
        "lives": {"%s/%s" % (row["kind"], row["origin"]): row["blend"] for row in lives if row["parts"]},
    }
    table["version"] = _version(table)
    return {"cases": len(closed), "priors": priors, "lives": lives, "table": table}


def confirmed(case):
    """Kinds of component that a closed case names as its cause: a list, one for each component.

    A part that the bench found good afterwards was not the cause.
    """
    closed = case.last("case_closed")
    names = (closed["body"].get("components") or []) if closed and case.status == "closed" else []
    innocent = shelf.cleared(case)
    good = [name for part, name in case.trails.with_names() if part.id in innocent]
    names = [name for name in names if name.partition("/mended")[0] not in good]
    kinds = [name.partition("/")[0].partition("@")[0] for name in names]
    return [kind for kind in kinds if kind in faults.BY_KIND]


def at_risk(case, kind):
    """How many components of a kind an engine like this has."""
    engine, belongs = case.engine, faults.BY_KIND[kind]["belongs"]
    if belongs == "part":
        return engine.positions(kind)
    return {
        "coil_place": len(engine.coils),
        "cylinder": engine.cylinders,
        "neighbours": len(engine.neighbours()),
        "bank": len(engine.banks),
        "engine": 1,
        "distributor": 1 if engine.ignition == "distributor" else 0,
    }[belongs]


def blend(default, faults_seen, seen):
    """Mean of the Beta posterior: the default, and ``faults_seen`` of ``seen`` components."""
    return (STRENGTH * default + faults_seen) / (STRENGTH + seen)


def _prior_row(kind, closed):
    name = kind["kind"]
    told = [case for case in closed if (case.last("case_closed")["body"].get("components"))]
    default = sum([state["prior"] for state in kind["states"][1:]])
    seen = sum([at_risk(case, name) for case in told])
    found = sum([min(confirmed(case).count(name), at_risk(case, name)) for case in told])
    return {
        "kind": name,
        "label": phrase(faults.name(kind["kind"])),
        "default": default,
        "faults": found,
        "at_risk": seen,
        "blend": blend(default, found, seen),
    }


# Lifetimes


def _lives(closed):
    """Lives by (kind, origin): lists of (age, failed, entered) in months."""
    found = {key: [] for key in replacement.LIVES}
    watched = {}  # part id -> (when it was seen last, its age then)
    for case in closed:
        now = case.log[0]["at"][0]
        failed = _failed_parts(case)
        proband = {}
        for part in case.trails.in_order():
            before = watched.get(part.id)
            age = _age(part, before, now)
            if age is None:
                continue
            failing = part.id in failed
            if failing and before is None and part.kind not in proband:
                proband[part.kind] = part.id
            elif part.came_at and (part.kind, part.noted.get("origin")) in found:
                entered = before[1] if before else 0.0
                if age > entered:
                    found[(part.kind, part.noted["origin"])].append((age, failing, entered))
            if not failing:
                watched[part.id] = (now, age)
    return found


def _age(part, before, now):
    """Age of a part in months: as noted, as it follows from an earlier case, or nothing for one just fitted."""
    if part.noted.get("age_months") is not None:
        return float(part.noted["age_months"])
    if before:
        return before[1] + (now - before[0]) / MONTH_MS
    return 0.0 if part.fitted_by else None


def _failed_parts(case):
    """Ids of the parts that a closed case names as its cause and no bench found good."""
    innocent = shelf.cleared(case)
    return [part_id for part_id in shelf.blamed(case) if part_id not in innocent]


def _life_rows(lives):
    rows = []
    for kind, origin in sorted(replacement.LIVES):
        usual = Weibull(*replacement.LIVES[(kind, origin)])
        own = lives[(kind, origin)]
        law = updated(usual, own, LIFE_STRENGTH, FIT_FROM)
        rows.append(
            {
                "kind": kind,
                "origin": origin,
                "default": [usual.shape, usual.scale],
                "failures": len([1 for _, failed, _ in own if failed]),
                "parts": len(own),
                "blend": [law.shape, law.scale],
            }
        )
    return rows


def _version(table):
    """A short name of the table that follows from its numbers alone (FNV-1a, 32 bits)."""
    if not table["priors"] and not table["lives"]:
        return "default"
    value = 2166136261
    for byte in canonical.dumps(table).encode():
        value = ((value ^ byte) * 16777619) & 0xFFFFFFFF
    return "%08x" % value
