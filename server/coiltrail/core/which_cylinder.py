"""Which cylinder it is: the rounds that show it, and what is looked at where codes or a drop test have pointed."""

from . import candidates, codes, costs, evidence, grading, how_it_shows, provoking, steps
from .tongue import phrase

COMPRESSION_CHECKS = ("compression", "leak_down")  # the plug comes out for them
BETWEEN_NEIGHBOURS = 0.15  # posterior of a gasket from which compression is measured first. Common practice, no source

# Findings at one place that by themselves name the cylinder that does no work. Common practice, no source.
DEAD_HERE = (
    ("spark", "none"),
    ("spark", "weak"),
    ("coil_pulse", "absent"),
    ("coil_supply", "none"),
    ("coil_primary", "open"),
    ("coil_secondary", "open"),
    ("boot_resistance", "open"),
    ("injector_resistance", "open"),
    ("injector_sound", "silent"),
    ("injector_pulse", "absent"),
    ("compression", "low"),
    ("compression", "none"),
    ("plug_look", "wet"),
    ("plug_look", "cracked"),
)


def rounds(case, spent):
    """Rounds that show which cylinder misses. A fault that comes and goes is looked for on the road."""
    comes_and_goes = how_it_shows.comes_and_goes(case)
    counts = candidates.has_round(case, "misfire_counts") or _counted_on_the_road(case)
    drop = candidates.has_round(case, "drop")
    if counts or (drop and not comes_and_goes):
        return []
    if how_it_shows.water_tells(case) and not candidates.has_round(case, "spray"):
        why = phrase("It misses in the wet: water on one cylinder after the other shows which, without rain.")
        wetted = steps.round_of("spray", case.engine.cylinders, why)
        why = phrase("If it misses now, as it stands: shows which cylinder does not work.")
        dropped = [] if drop or not _shakes(case) else [steps.round_of("drop", case.engine.cylinders, why)]
        return [wetted] + dropped
    if comes_and_goes and spent.feasible("misfire_counts"):
        why = phrase("It comes and goes: the counters show which cylinder misses when it does.")
        counted = steps.round_of("misfire_counts", case.engine.cylinders, why)
        when = provoking.provoking(case)
        if when:
            # Counted otherwise they would be those of an engine that runs.
            counted["body"]["conditions"] = when
            counted["how"] = provoking.drive_so(case) + counted["how"]
            counted["minutes"] += costs.MINUTES_ROAD
            counted["caution"] = "%s %s" % (phrase(steps.CAUTION_LAMP), counted["caution"])
        return [counted]
    if drop:
        return []
    return [steps.round_of("drop", case.engine.cylinders, phrase("Shows which cylinder does not work."))]


def _shakes(case):
    """Whether it is said to shake, so that it may miss while it stands here."""
    return any("shakes" in (entry["body"].get("symptoms") or ()) for _, entry in case.of_kind("complaint"))


def named(case):
    """Whether a finding names a cylinder that misses, or a coil or an injector: a code, a test, counters."""
    if case.engine.cylinders == 1:
        return True
    for _, entry in case.counted:
        kind, body = entry["kind"], entry["body"]
        if kind == "codes_read" and any(codes.cylinder_of(row["code"]) for row in body["codes"]):
            return True
        if kind == "road_test" and (any(row["count"] for row in body.get("counts") or ()) or provoking.named(body)):
            return True
        if kind == "check" and (body["check"], grading.finding_of(case, entry)) in provoking.SHOWS_A_MISS + DEAD_HERE:
            return True
    return False


def waits_for_the_round(step):
    """Whether a step pulls or buys what serves one cylinder, or looks at one as the round will at every."""
    if step["act"] == "check":
        return step["body"].get("check") in evidence.RUNNING
    return step["act"] == "swap" or (step["act"] == "repair" and step["body"].get("work") == "replaced")


def compression_of_neighbours(diagnosis, spent):
    """Of two neighbours that are both weak the compression comes first: what lies between them explains both."""
    case = diagnosis.case
    measured = {e["body"].get("cylinder") for _, e in case.of_kind("check") if e["body"]["check"] in COMPRESSION_CHECKS}
    for one, other in case.engine.neighbours():
        [gasket] = [i for i, c in enumerate(diagnosis.model.components) if c.name == "gasket@%d-%d" % (one, other)]
        still_open = diagnosis.model.stands(gasket) and not {one, other} & measured
        if still_open and spent.feasible("compression") and diagnosis.fault(gasket) >= BETWEEN_NEIGHBOURS:
            why = phrase("A gasket between the two explains both at once; two parts that fail together are rarer.")
            return [steps.round_on("compression", [one, other], why)]
    return []


def only_told(case):
    """Whether codes alone name a cylinder of an engine that misses at idle: what it does now can be seen at once."""
    now = any(when in ("always", "idle") for when in how_it_shows.circumstances(case))
    looked = [1 for _, entry in case.of_kind("check") if entry["body"].get("place") or entry["body"].get("cylinder")]
    read = [row["code"] for _, entry in case.of_kind("codes_read") for row in entry["body"]["codes"]]
    return now and not looked and any(codes.kind_of(code) == "misfire" for code in read)


def _counted_on_the_road(case):
    drives = [entry["body"] for _, entry in case.of_kind("road_test")]
    return any(body.get("counts") or provoking.named(body) for body in drives)


def look_at_connectors(case):
    """The round over the coil connectors, where it was not made."""
    if case.engine.ignition == "distributor" or candidates.has_round(case, "connector_look"):
        return []
    return [
        steps.round_of(
            "connector_look", case.engine.cylinders, phrase("Costs minutes and finds a good part of the faults.")
        )
    ]


def looked_at_by(again, step):
    """Whether a step looks at how a cylinder runs that the steps of ``again`` look at anyway."""
    cylinders = [cylinder for one in again for cylinder in one["body"].get("cylinders", ())]
    return step["body"].get("check") in evidence.RUNNING and step["body"].get("cylinder") in cylinders
