"""Damage that somebody saw at a part or place: it says a fault more exactly than the diagnosis can.

"Worn or fouled" is what a plug may be; "insulator cracked" is what was found on it.
"""

from . import checks, entries, faults, grading, parts
from .tongue import phrase

# (check, kind of component): findings that name its damage, in the order of the checks.
NAMED = (
    ("connector_look", "coil_connector", ("latch_broken", "loose", "corroded", "pin_back", "spread", "oily")),
    ("connector_look", "coil_wiring", ("chafed",)),
    ("coil_look", "coil", ("cracked", "swollen")),
    ("coil_look", "boot", ("tracked", "oil_in_well")),
    ("plug_look", "plug", ("worn", "oiled", "sooty", "ash", "cracked", "tracked")),
    ("injector_connector", "injector_circuit", ("latch_broken", "loose", "corroded", "pin_back", "chafed")),
)
# What pressing it on again ends, and what a plug shows of how the engine runs: nothing to be left for later.
PASSING = ("loose", "sooty", "oiled")


def damages(case):
    """What stands as damage, by component: rows ``{"component", "kind", "check", "finding", "moment"}`` in order.

    Of one check at one component the latest look counts; one that went well takes the damage away.
    """
    if case.damages is None:
        case.damages = _damages(case)
    return case.damages


def _damages(case):
    names = {part.id: name for part, name in case.trails.with_names()}
    latest = {}
    for moment, entry in case.of_kind("check"):
        for check, kind, findings in NAMED:
            if check != entry["body"]["check"]:
                continue
            component = _component(case, kind, entry["body"].get("place"), moment, names)
            finding = grading.finding_of(case, entry)
            if component and finding in findings:
                latest[(component, check)] = {
                    "component": component,
                    "kind": kind,
                    "check": check,
                    "finding": finding,
                    "moment": moment,
                }
            elif component and finding and checks.went_well(check, finding):
                latest.pop((component, check), None)
    return [latest[key] for key in sorted(latest)]


def at(case, component):
    """The damage seen at a component, as ``damages`` tells it."""
    component = component.partition("/mended")[0]
    return [row for row in damages(case) if row["component"] == component]


# Where the air of a leak-down goes, which says what lets it out (``checks``: what each finding means).
WAYS_OUT = ("intake", "exhaust", "crankcase", "across")


def way_out(case, component):
    """The latest finding of a leak-down at a cylinder of ``component`` that says where the air goes; None without one.

    Of low compression at one cylinder, or of a gasket beside it ("gasket@2-3").
    """
    kind, _, position = component.partition("/")[0].partition("@")
    cylinders = position.split("-") if kind in ("compression", "gasket") else []
    found = None
    for _, entry in case.of_kind("check"):
        if entry["body"]["check"] == "leak_down" and str(entry["body"].get("cylinder")) in cylinders:
            found = grading.finding_of(case, entry)
    return found if found in WAYS_OUT else None


def words(rows):
    """Damage in a few words, to stand after what it is at: "insulator cracked"; "" where there is none."""
    told = []
    for row in rows:
        label = checks.finding_label(row["check"], row["finding"])
        told.append(label[:1].lower() + label[1:])
    return ", ".join(told)


def not_mended(case):
    """Damage that no repair of this case is about, at what is on the car still."""
    return [row for row in damages(case) if row["finding"] not in PASSING and not _seen_to(case, row)]


def where(row):
    """A row's component in words: "Spark plug 5"."""
    position = row["component"].partition("@")[2].partition("/")[0]
    return "%s %s" % (phrase(faults.BY_KIND[row["kind"]]["label"]), position)


def _component(case, kind, place, moment, names):
    """Name of the component of ``kind`` that a look at ``place`` is about; None where that is not one."""
    at_kind, position = entries.split_place(place)
    if not at_kind or position is None:
        return None
    if faults.BY_KIND[kind]["belongs"] != "part":
        times = len([m for m in case.trails.mended.get("%s@%d" % (kind, position), ()) if m < moment])
        return "%s@%d%s" % (kind, position, "/%d" % (times + 1) if times else "")
    served = case.engine.served_by(at_kind, position)
    if kind != at_kind:
        place = "%s.%d" % (kind, served[0]) if len(served) == 1 else None
    return names.get(case.trails.occupant(place, moment)) if place else None


def _seen_to(case, row):
    name, _, _ = row["component"].partition("/")
    if faults.BY_KIND[row["kind"]]["belongs"] != "part":
        return any(m > row["moment"] for m in case.trails.mended.get(name, ()))
    [part] = [part for part, called in case.trails.with_names() if called == row["component"]]
    if row["finding"] == "oil_in_well":
        return False  # a new coil or boot stops no oil
    return part.place in parts.AWAY or any(m > row["moment"] for m in part.mended)
