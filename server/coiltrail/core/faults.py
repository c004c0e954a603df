"""The fault table: what can fail, how often, and how a cylinder runs with it. Data in one place.

How a cylinder runs is a level: 0 full, 1 misses now and then, 2 weak at every stroke, 3 dead.

Origin of every number here, unless a line says otherwise: estimate, from memory, of how often a car that a
mobile mechanic is called to has the fault, and of how the cylinder then runs with this fault alone. The
shares follow common practice (no published source): coils fail far more often than plugs, plugs and boots
about alike, wiring and compression seldom.
"""

LEVELS = 4

# How a cylinder runs with one fault alone: condition -> share of levels 0, 1, 2, 3. A profile is shared by
# faults that act alike, which also lets the inference count them instead of telling them apart.
PROFILES = {
    "dead": {"idle": (0.01, 0.02, 0.03, 0.94), "load": (0.01, 0.02, 0.03, 0.94)},
    "breaks_down": {
        "idle": (0.45, 0.35, 0.15, 0.05),
        "load": (0.10, 0.50, 0.30, 0.10),
        "wet": (0.10, 0.40, 0.30, 0.20),
    },
    "worn": {"idle": (0.40, 0.35, 0.17, 0.08), "load": (0.15, 0.45, 0.27, 0.13)},
    "contact": {"idle": (0.35, 0.45, 0.05, 0.15), "load": (0.25, 0.50, 0.10, 0.15)},
    "meters_badly": {"idle": (0.20, 0.30, 0.42, 0.08), "load": (0.25, 0.35, 0.35, 0.05)},
    "leaks_by": {"idle": (0.10, 0.25, 0.45, 0.20), "load": (0.30, 0.35, 0.30, 0.05)},
    "air_here": {"idle": (0.15, 0.35, 0.40, 0.10), "load": (0.65, 0.27, 0.07, 0.01)},
    "unlisted": {"idle": (0.15, 0.30, 0.30, 0.25), "load": (0.15, 0.30, 0.30, 0.25)},
    "air_everywhere": {"idle": (0.10, 0.30, 0.55, 0.05), "load": (0.80, 0.15, 0.04, 0.01)},
    "starved": {"idle": (0.45, 0.30, 0.22, 0.03), "load": (0.12, 0.40, 0.40, 0.08)},
    "rough": {"idle": (0.30, 0.40, 0.25, 0.05), "load": (0.30, 0.40, 0.25, 0.05)},
    "flashes_over": {
        "idle": (0.80, 0.13, 0.05, 0.02),
        "load": (0.60, 0.25, 0.10, 0.05),
        "wet": (0.05, 0.25, 0.40, 0.30),
    },
}


def _states(*rows):
    return [{"state": s, "label": label, "prior": prior, "profile": profile} for s, label, prior, profile in rows]


def _kind(kind, label, belongs, states, minutes, money, mend="", workshop=False):
    good = 1.0 - sum(state["prior"] for state in states)
    first = {"state": "good", "label": "good", "prior": good, "profile": None}
    return {
        "kind": kind,
        "label": label,
        "belongs": belongs,  # "part", "coil_place", "cylinder", "neighbours", "bank", "engine", "distributor"
        "states": [first] + states,
        "minutes": minutes,  # to put it right, once it is known; estimate
        "money": money,  # parts, in units of an hour's labour / 60, so that minutes and money add up; estimate
        "mend": mend,  # what puts it right; empty where nothing can be named
        "workshop": workshop,  # no work for a driveway: the car is handed on with the cause named
    }


KINDS = (
    _kind(
        "coil",
        "coil",
        "part",
        _states(("weak", "breaks down", 0.025, "breaks_down"), ("dead", "dead", 0.025, "dead")),
        8,
        45,
        "Replace",
    ),
    # A lead whose core, or a boot whose spring, is broken: the spark jumps inside it too, as across a plug worn wide.
    _kind(
        "boot",
        "boot",
        "part",
        _states(("leaking", "leaks to ground", 0.010, "breaks_down"), ("open", "broken inside", 0.002, "worn")),
        8,
        12,
        "Replace",
    ),
    # A worn plug misses now and then; one that is shorted, drowned or broken is dead in whichever cylinder it sits.
    _kind(
        "plug",
        "spark plug",
        "part",
        _states(("bad", "worn or fouled", 0.011, "worn"), ("dead", "does not fire", 0.004, "dead")),
        10,
        10,
        "Replace",
    ),
    _kind(
        "injector",
        "injector",
        "part",
        _states(("weak", "meters badly", 0.006, "meters_badly"), ("dead", "dead", 0.006, "dead")),
        40,
        70,
        "Replace",
    ),
    _kind(
        "coil_connector",
        "coil connector",
        "coil_place",
        _states(("intermittent", "makes poor contact", 0.010, "contact"), ("open", "open", 0.004, "dead")),
        15,
        8,
        "Mend",
    ),
    _kind(
        "coil_wiring",
        "coil wiring or driver",
        "coil_place",
        _states(("intermittent", "breaks now and then", 0.002, "contact"), ("open", "open", 0.003, "dead")),
        60,
        15,
        "Mend",
    ),
    _kind(
        "injector_circuit",
        "injector connector, wiring or driver",
        "cylinder",
        _states(("intermittent", "breaks now and then", 0.002, "contact"), ("open", "open", 0.002, "dead")),
        45,
        12,
        "Mend",
    ),
    _kind(
        "compression",
        "compression",
        "cylinder",
        _states(("low", "low", 0.006, "leaks_by")),
        600,
        300,
        "Overhaul",
        workshop=True,
    ),
    _kind(
        "gasket",
        "head gasket between",
        "neighbours",
        _states(("leaking", "leaks across", 0.0008, "leaks_by")),
        480,
        200,
        "Replace",
        workshop=True,
    ),
    _kind("runner", "intake runner", "cylinder", _states(("leaking", "draws air", 0.003, "air_here")), 60, 20, "Seal"),
    _kind(
        "unlisted",
        "something not listed at",
        "cylinder",
        _states(("present", "", 0.002, "unlisted")),
        180,
        100,
    ),
    _kind(
        "coil_supply",
        "coil supply, fuse or ground",
        "bank",
        _states(("intermittent", "breaks now and then", 0.0015, "contact"), ("open", "open", 0.001, "dead")),
        40,
        10,
        "Mend",
    ),
    _kind(
        "fuel_delivery",
        "fuel delivery",
        "engine",
        _states(("bad", "starves the engine", 0.010, "starved")),
        60,
        90,
        "Mend",
    ),
    _kind(
        "unmetered_air",
        "unmetered air",
        "engine",
        _states(("bad", "leaks in", 0.015, "air_everywhere")),
        40,
        20,
        "Seal",
    ),
    _kind(
        "recirculation",
        "recirculation or purge valve",
        "engine",
        _states(("bad", "stuck open", 0.005, "air_everywhere")),
        40,
        60,
        "Mend",
    ),
    _kind("bad_fuel", "fuel", "engine", _states(("bad", "bad fuel", 0.004, "rough")), 40, 50, "Change"),
    _kind(
        "cam_timing",
        "cam timing",
        "engine",
        _states(("bad", "off", 0.003, "rough")),
        240,
        120,
        "Mend",
        workshop=True,
    ),
    _kind("exhaust", "exhaust", "engine", _states(("bad", "restricted", 0.003, "starved")), 90, 200, "Repair"),
    _kind("system_voltage", "system voltage", "engine", _states(("bad", "low", 0.003, "rough")), 40, 80, "Repair"),
    # Does not make a cylinder miss: makes the controller report misses that are none (evidence.FALSE_CODE).
    _kind("crank_signal", "crank signal", "engine", _states(("bad", "false", 0.003, None)), 40, 60, "Repair"),
    _kind(
        "crossed",
        "leads or connectors",
        "engine",
        _states(("bad", "crossed by an earlier repair", 0.001, "rough")),
        10,
        0,
        "Sort out",
    ),
    _kind(
        "cap",
        "distributor cap",
        "distributor",
        _states(("bad", "tracked or cracked", 0.02, "flashes_over")),
        15,
        20,
        "Replace",
    ),
    _kind(
        "rotor", "rotor", "distributor", _states(("bad", "worn or tracked", 0.015, "flashes_over")), 10, 10, "Replace"
    ),
)

BY_KIND = {kind["kind"]: kind for kind in KINDS}

# What a new part or a mended place is like from then on. Estimate, from memory: a new part is bad one time
# in eighty, mending fails one time in twenty.
NEW_PART_BAD = 0.0125
MENDED_BAD = 0.05

# A connector taken off and pressed on again may have become good. Estimate, from memory.
RESEAT_MENDS = {"intermittent": 0.35, "open": 0.25}


def name(kind):
    """What a kind is called where no place follows: "head gasket", not "head gasket between"."""
    label = BY_KIND[kind]["label"]
    for ending in (" at", " between"):
        if label.endswith(ending):
            return label[: -len(ending)]
    return label


def prior(kind, fresh=None, learned=None):
    """Prior of each state of a component of ``kind``, good first. ``fresh``: None, "new" or "mended".

    ``learned``: {kind: probability of being at fault}, where a shop's own cases say something (``learning``).
    """
    usual = [state["prior"] for state in BY_KIND[kind]["states"]]
    if fresh is not None:
        bad = NEW_PART_BAD if fresh == "new" else MENDED_BAD
    elif learned and kind in learned:
        bad = learned[kind]
    else:
        return usual
    return [1.0 - bad] + [bad * p / sum(usual[1:]) for p in usual[1:]]


def learned_priors(opened):
    """{kind: probability of being at fault} that a case was opened with; empty where it keeps the defaults.

    ``opened``: the body of ``case_opened``, whose ``table`` is as ``learning`` gives it.
    """
    told = (opened.get("table") or {}).get("priors") or {}
    return {kind: told[kind] for kind in BY_KIND if isinstance(told.get(kind), (int, float)) and 0.0 < told[kind] < 1.0}


def cumulative(profile, condition):
    """P(level <= m), m = 0, 1, 2, 3, with one fault of this profile under ``condition``.

    Conditions: "idle", "load", and "drive" (idle and load both occurred: the worse of the two at each
    level), each with "+wet" after it in wet weather.
    """
    rows = PROFILES[profile]
    base, _, weather = condition.partition("+")
    if weather == "wet" and "wet" in rows:
        return running_sum(rows["wet"])
    if base == "drive":
        return tuple(min(a, b) for a, b in zip(running_sum(rows["idle"]), running_sum(rows["load"])))
    return running_sum(rows[base])


def running_sum(shares):
    """P(level <= m) for each level m from the shares of the levels."""
    total = 0.0
    sums = []
    for share in shares[:-1]:
        total += share
        sums.append(total)
    return tuple(sums + [1.0])
