"""What each finding says about each fault. Data only; ``readings.py`` takes a log and makes evidence of it.

Two forms of evidence: on *how a cylinder runs* in a stretch (its level, 0 to 3), and on *a sign* that a
component in some state gives with some chance (a circuit code, a visible track, no spark). Both are the
largest of what every component contributes, plus a leak, and so have the product form that
``posterior.py`` needs. A look at one component is simply a likelihood of its states.

Origin of every number here: estimate, from memory, held honest on purpose (a bad coil often measures well,
a connector that looks good can be open), unless a line names another.
"""

# How a cylinder runs (level 0, 1, 2, 3) -> chance of the finding. Rows of one check add up to one.
RUNNING = {
    "drop": {
        "none": (0.01, 0.06, 0.25, 0.95),
        "small": (0.07, 0.30, 0.65, 0.04),
        "full": (0.92, 0.64, 0.10, 0.01),
    },
    "misfire_counts": {
        "none": (0.93, 0.15, 0.10, 0.02),
        "some": (0.06, 0.55, 0.30, 0.08),
        "many": (0.01, 0.30, 0.60, 0.90),
    },
}

# A misfire code of one cylinder is there, by the largest level over the stretches that the code spans; who says after
# a drive where it missed mostly has it from such codes or from counters, and is taken at their word.
MISFIRE_CODE = (0.01, 0.60, 0.85, 0.85)
FALSE_CODE = 0.40  # chance that a false crank signal marks a given cylinder

# How many cylinders miss in a stretch (none, one, several) -> chance of the finding.
COUNTED = {
    "complaint": (0.03, 0.95, 0.95),
    "not_then": (0.80, 0.25, 0.25),  # the customer names the opposite condition only
    "random_code": (0.02, 0.12, 0.65),
    "felt_none": (0.93, 0.10, 0.10),
    "felt_sometimes": (0.05, 0.50, 0.50),
    "felt_always": (0.02, 0.40, 0.40),
    "smooth": (0.90, 0.20, 0.20),
    "same": (0.08, 0.60, 0.60),
    "worse": (0.02, 0.20, 0.20),
}

# A look at one component: finding -> chance of it by the component's state.
LOOKS = {
    ("connector_look", "coil_connector"): {
        "good": {"good": 0.925, "intermittent": 0.42, "open": 0.28},
        "latch_broken": {"good": 0.030, "intermittent": 0.19, "open": 0.16},
        "loose": {"good": 0.010, "intermittent": 0.14, "open": 0.19},
        "corroded": {"good": 0.010, "intermittent": 0.10, "open": 0.14},
        "pin_back": {"good": 0.002, "intermittent": 0.07, "open": 0.15},
        "spread": {"good": 0.005, "intermittent": 0.05, "open": 0.05},
        "oily": {"good": 0.018, "intermittent": 0.03, "open": 0.03},
    },
    ("connector_look", "coil_wiring"): {
        "chafed": {"good": 0.005, "intermittent": 0.25, "open": 0.25},
    },
    ("injector_connector", "injector_circuit"): {
        "good": {"good": 0.950, "intermittent": 0.55, "open": 0.50},
        "latch_broken": {"good": 0.020, "intermittent": 0.12, "open": 0.08},
        "loose": {"good": 0.010, "intermittent": 0.13, "open": 0.14},
        "corroded": {"good": 0.010, "intermittent": 0.10, "open": 0.10},
        "pin_back": {"good": 0.003, "intermittent": 0.05, "open": 0.10},
        "chafed": {"good": 0.007, "intermittent": 0.05, "open": 0.08},
    },
    # Fuel and oil on a plug come of other things as well: they are signs, below.
    ("plug_look", "plug"): {
        "good": {"good": 0.90, "bad": 0.24, "dead": 0.33},
        "worn": {"good": 0.05, "bad": 0.48, "dead": 0.17},
        "sooty": {"good": 0.03, "bad": 0.10, "dead": 0.22},
        "ash": {"good": 0.015, "bad": 0.08, "dead": 0.06},
        "cracked": {"good": 0.005, "bad": 0.10, "dead": 0.22},
    },
    # Held low: worn electrodes show in the look at the plug too, and would count twice.
    ("plug_gap", "plug"): {
        "in_range": {"good": 0.90, "bad": 0.60, "dead": 0.75},
        "wide": {"good": 0.08, "bad": 0.33, "dead": 0.10},
        "narrow": {"good": 0.02, "bad": 0.07, "dead": 0.15},
    },
    # A boot that leaks to ground may have a good resistor; a broken one may touch while it is measured.
    ("boot_resistance", "boot"): {
        "in_range": {"good": 0.955, "leaking": 0.79, "open": 0.06},
        "out_of_range": {"good": 0.042, "leaking": 0.18, "open": 0.14},
        "open": {"good": 0.003, "leaking": 0.03, "open": 0.80},
    },
}

# What a removed part does on the bench: kind -> result -> chance of it by the part's state. A bench is cool and kind:
# a part that breaks down when it is hot or under pressure often passes. An unclear result says nothing.
BENCH = {
    "coil": {
        "good": {"good": 0.95, "weak": 0.45, "dead": 0.08},
        "bad": {"good": 0.05, "weak": 0.55, "dead": 0.92},
    },
    "boot": {
        "good": {"good": 0.95, "leaking": 0.35, "open": 0.12},
        "bad": {"good": 0.05, "leaking": 0.65, "open": 0.88},
    },
    "plug": {
        "good": {"good": 0.95, "bad": 0.45, "dead": 0.10},
        "bad": {"good": 0.05, "bad": 0.55, "dead": 0.90},
    },
    "injector": {
        "good": {"good": 0.95, "weak": 0.30, "dead": 0.06},
        "bad": {"good": 0.05, "weak": 0.70, "dead": 0.94},
    },
}


def _sign(levels, leak, *sources):
    return {"levels": levels, "leak": leak, "sources": {(kind, state): shares for kind, state, shares in sources}}


# Signs: the largest of what each component in each state gives. Shares are of levels 0, 1, ...
SIGNS = {
    "circuit_code": _sign(
        2,
        (0.996, 0.004),
        ("coil", "dead", (0.45, 0.55)),
        ("coil", "weak", (0.92, 0.08)),
        ("coil_connector", "open", (0.15, 0.85)),
        ("coil_connector", "intermittent", (0.60, 0.40)),
        ("coil_wiring", "open", (0.15, 0.85)),
        ("coil_wiring", "intermittent", (0.60, 0.40)),
        ("coil_supply", "open", (0.40, 0.60)),
        ("coil_supply", "intermittent", (0.70, 0.30)),
    ),
    "injector_code": _sign(
        2,
        (0.997, 0.003),
        ("injector", "dead", (0.60, 0.40)),
        ("injector_circuit", "open", (0.15, 0.85)),
        ("injector_circuit", "intermittent", (0.60, 0.40)),
    ),
    # On the scale of levels, so that it stands beside how the cylinder runs: a false mark looks like a dead one.
    "false_code": _sign(4, (1.0, 0.0, 0.0, 0.0), ("crank_signal", "bad", (1.0 - FALSE_CODE, 0.0, 0.0, FALSE_CODE))),
    "wiggle": _sign(
        2,
        (0.98, 0.02),
        ("coil_connector", "intermittent", (0.20, 0.80)),
        ("coil_connector", "open", (0.60, 0.40)),
        ("coil_wiring", "intermittent", (0.25, 0.75)),
        ("coil_wiring", "open", (0.70, 0.30)),
    ),
    "coil_look": _sign(
        2,
        (0.96, 0.04),
        ("boot", "leaking", (0.70, 0.30)),
        ("coil", "weak", (0.80, 0.20)),
        ("coil", "dead", (0.77, 0.23)),
    ),
    # A track is flash-over along the boot; it harms the coil only at times.
    "track": _sign(
        2,
        (0.99, 0.01),
        ("boot", "leaking", (0.65, 0.35)),
        ("coil", "weak", (0.98, 0.02)),
        ("coil", "dead", (0.98, 0.02)),
    ),
    # Water on what leads the spark, at idle. Some leak only under more voltage than idle asks for.
    "spray": _sign(
        2,
        (0.97, 0.03),
        ("boot", "leaking", (0.25, 0.75)),
        ("coil", "weak", (0.75, 0.25)),
        ("coil_connector", "intermittent", (0.75, 0.25)),
        ("coil_wiring", "intermittent", (0.85, 0.15)),
        ("plug", "bad", (0.93, 0.07)),
    ),
    # Oil softens the boot in time; many wells are oily and their boots still good.
    "oily_well": _sign(2, (0.93, 0.07), ("boot", "leaking", (0.82, 0.18)), ("coil", "weak", (0.92, 0.08))),
    # Fuel that arrives and does not burn. A cylinder whose injector is dead has a dry plug.
    "wet_plug": _sign(
        2,
        (0.97, 0.03),
        ("coil", "dead", (0.45, 0.55)),
        ("coil", "weak", (0.88, 0.12)),
        ("boot", "leaking", (0.85, 0.15)),
        ("boot", "open", (0.88, 0.12)),
        ("plug", "dead", (0.50, 0.50)),
        ("plug", "bad", (0.88, 0.12)),
        ("coil_connector", "open", (0.45, 0.55)),
        ("coil_connector", "intermittent", (0.88, 0.12)),
        ("coil_wiring", "open", (0.45, 0.55)),
        ("coil_wiring", "intermittent", (0.88, 0.12)),
        ("coil_supply", "open", (0.50, 0.50)),
        ("coil_supply", "intermittent", (0.90, 0.10)),
        ("compression", "low", (0.85, 0.15)),
    ),
    # A track down the outside of the porcelain: what the boot does not hold in.
    "tracked_plug": _sign(
        2,
        (0.99, 0.01),
        ("boot", "leaking", (0.75, 0.25)),
        ("plug", "bad", (0.92, 0.08)),
        ("plug", "dead", (0.92, 0.08)),
    ),
    "oily_plug": _sign(
        2,
        (0.985, 0.015),
        ("plug", "bad", (0.88, 0.12)),
        ("plug", "dead", (0.78, 0.22)),
        ("compression", "low", (0.75, 0.25)),
    ),
    "spark": _sign(
        3,
        (0.94, 0.04, 0.02),
        ("coil", "weak", (0.35, 0.55, 0.10)),
        ("coil", "dead", (0.03, 0.07, 0.90)),
        ("coil_connector", "intermittent", (0.60, 0.15, 0.25)),
        ("coil_connector", "open", (0.03, 0.02, 0.95)),
        ("coil_wiring", "intermittent", (0.60, 0.15, 0.25)),
        ("coil_wiring", "open", (0.03, 0.02, 0.95)),
        ("coil_supply", "intermittent", (0.60, 0.20, 0.20)),
        ("coil_supply", "open", (0.01, 0.02, 0.97)),
    ),
    "coil_supply": _sign(
        2,
        (0.97, 0.03),
        ("coil_supply", "open", (0.05, 0.95)),
        ("coil_supply", "intermittent", (0.75, 0.25)),
        ("coil_wiring", "open", (0.65, 0.35)),
        ("coil_wiring", "intermittent", (0.85, 0.15)),
    ),
    "coil_pulse": _sign(
        # No pulse at a connector whose supply is good is hardly ever the coil.
        2,
        (0.99, 0.01),
        ("coil_wiring", "open", (0.25, 0.75)),
        ("coil_wiring", "intermittent", (0.80, 0.20)),
    ),
    "coil_primary": _sign(2, (0.97, 0.03), ("coil", "dead", (0.72, 0.28)), ("coil", "weak", (0.90, 0.10))),
    "coil_secondary": _sign(2, (0.96, 0.04), ("coil", "dead", (0.65, 0.35)), ("coil", "weak", (0.85, 0.15))),
    # An injector can click and deliver nothing, and a good one can be hard to hear.
    "injector_sound": _sign(
        3,
        (0.90, 0.075, 0.025),
        ("injector", "weak", (0.65, 0.30, 0.05)),
        ("injector", "dead", (0.30, 0.15, 0.55)),
        ("injector_circuit", "intermittent", (0.60, 0.10, 0.30)),
        ("injector_circuit", "open", (0.03, 0.02, 0.95)),
    ),
    "injector_pulse": _sign(
        2,
        (0.97, 0.03),
        ("injector_circuit", "intermittent", (0.70, 0.30)),
        ("injector_circuit", "open", (0.06, 0.94)),
    ),
    "injector_resistance": _sign(
        2, (0.97, 0.03), ("injector", "dead", (0.55, 0.45)), ("injector", "weak", (0.92, 0.08))
    ),
    # Levels: like the others, more, less.
    "injector_balance": _sign(
        3, (0.95, 0.02, 0.03), ("injector", "weak", (0.30, 0.25, 0.45)), ("injector", "dead", (0.08, 0.02, 0.90))
    ),
    # A slip of the gauge reads low; next to nothing is no slip.
    "compression": _sign(
        3,
        (0.96, 0.035, 0.005),
        ("compression", "low", (0.08, 0.67, 0.25)),
        ("gasket", "leaking", (0.06, 0.84, 0.10)),
    ),
    # Levels: it rises, it hardly does. Oil seals rings and no valve: low compression is either, about as often, and
    # neither speaks against it; a dry reading that was a slip rises about as often when it is taken again. Past a
    # gasket it stays as it is.
    "wet_same": _sign(2, (0.45, 0.55), ("gasket", "leaking", (0.06, 0.94))),
    # Levels: little, some, much.
    "leak_down": _sign(
        3,
        (0.87, 0.10, 0.03),
        ("compression", "low", (0.05, 0.19, 0.76)),
        ("gasket", "leaking", (0.06, 0.16, 0.78)),
    ),
    "leak_across": _sign(2, (0.99, 0.01), ("gasket", "leaking", (0.30, 0.70))),
    "runner_leak": _sign(2, (0.97, 0.03), ("runner", "leaking", (0.15, 0.85))),
    # Gas at idle finds less than smoke.
    "runner_gas": _sign(2, (0.95, 0.05), ("runner", "leaking", (0.30, 0.70))),
    "intake_gas": _sign(2, (0.94, 0.06), ("unmetered_air", "bad", (0.28, 0.72)), ("runner", "leaking", (0.55, 0.45))),
    "air_leak": _sign(2, (0.95, 0.05), ("unmetered_air", "bad", (0.12, 0.88)), ("runner", "leaking", (0.40, 0.60))),
    "fuel_pressure": _sign(2, (0.96, 0.04), ("fuel_delivery", "bad", (0.25, 0.75))),
    "voltage": _sign(2, (0.98, 0.02), ("system_voltage", "bad", (0.10, 0.90))),
    # Air at one runner of several leans what the whole bank is trimmed by, less than a leak that all share.
    "lean_idle": _sign(
        2,
        (0.97, 0.03),
        ("unmetered_air", "bad", (0.20, 0.80)),
        ("recirculation", "bad", (0.80, 0.20)),
        ("runner", "leaking", (0.55, 0.45)),
    ),
    "lean_load": _sign(2, (0.97, 0.03), ("fuel_delivery", "bad", (0.35, 0.65)), ("exhaust", "bad", (0.90, 0.10))),
    "lean_both": _sign(2, (0.97, 0.03), ("fuel_delivery", "bad", (0.80, 0.20)), ("unmetered_air", "bad", (0.88, 0.12))),
    "rich": _sign(2, (0.96, 0.04), ("recirculation", "bad", (0.65, 0.35)), ("bad_fuel", "bad", (0.85, 0.15))),
    # A distributor's cap from inside: some moisture and burnt contacts are on many that fire well.
    "cap_look": _sign(2, (0.97, 0.03), ("cap", "bad", (0.40, 0.60))),
    "damp_cap": _sign(2, (0.93, 0.07), ("cap", "bad", (0.72, 0.28)), ("rotor", "bad", (0.86, 0.14))),
    "burnt_rotor": _sign(2, (0.90, 0.10), ("rotor", "bad", (0.45, 0.55)), ("cap", "bad", (0.80, 0.20))),
    "lean_code": _sign(
        2,
        (0.93, 0.07),
        ("unmetered_air", "bad", (0.25, 0.75)),
        ("fuel_delivery", "bad", (0.40, 0.60)),
        ("recirculation", "bad", (0.85, 0.15)),
    ),
    "rich_code": _sign(2, (0.96, 0.04), ("recirculation", "bad", (0.70, 0.30)), ("bad_fuel", "bad", (0.85, 0.15))),
    "low_fuel_code": _sign(2, (0.997, 0.003), ("fuel_delivery", "bad", (0.85, 0.15))),
    "low_fuel": _sign(2, (0.93, 0.07), ("fuel_delivery", "bad", (0.70, 0.30))),
    "cam_code": _sign(2, (0.985, 0.015), ("cam_timing", "bad", (0.40, 0.60))),
    "fuel_code": _sign(2, (0.985, 0.015), ("fuel_delivery", "bad", (0.45, 0.55))),
    "air_code": _sign(2, (0.99, 0.01), ("unmetered_air", "bad", (0.70, 0.30))),
    "recirculation_code": _sign(2, (0.98, 0.02), ("recirculation", "bad", (0.50, 0.50))),
    "voltage_code": _sign(2, (0.985, 0.015), ("system_voltage", "bad", (0.45, 0.55))),
    "crank_code": _sign(2, (0.99, 0.01), ("crank_signal", "bad", (0.50, 0.50))),
}

# Which sign a check reads, and the level that each finding shows. A pressure or voltage that is high is not low.
CHECK_SIGNS = {
    "wiggle": ("wiggle", {"steady": 0, "misses": 1, "runs": 1}),  # a miss that comes, or goes, with the moving
    "spray": ("spray", {"steady": 0, "misses": 1}),
    "coil_look": ("coil_look", {"good": 0, "cracked": 1, "swollen": 1}),
    "spark": ("spark", {"strong": 0, "weak": 1, "none": 2}),
    "coil_supply": ("coil_supply", {"good": 0, "low": 1, "none": 1}),
    "coil_pulse": ("coil_pulse", {"present": 0, "absent": 1}),
    "coil_primary": ("coil_primary", {"in_range": 0, "out_of_range": 1, "open": 1}),
    "coil_secondary": ("coil_secondary", {"in_range": 0, "out_of_range": 1, "open": 1}),
    "injector_sound": ("injector_sound", {"clicks": 0, "faint": 1, "silent": 2}),
    "injector_pulse": ("injector_pulse", {"present": 0, "absent": 1}),
    "injector_resistance": ("injector_resistance", {"in_range": 0, "out_of_range": 1, "open": 1}),
    "injector_balance": ("injector_balance", {"even": 0, "more": 1, "less": 2}),
    "compression": ("compression", {"good": 0, "low": 1, "none": 2}),
    "compression_wet": ("wet_same", {"rises": 0, "same": 1}),
    "leak_down": (
        "leak_down",
        {"good": 0, "worn": 1, "high": 2, "intake": 2, "exhaust": 2, "crankcase": 2, "across": 2},
    ),
    "runner_leak": ("runner_leak", {"tight": 0, "leaks": 1}),
    "runner_gas": ("runner_gas", {"steady": 0, "rises": 1}),
    "air_leak": ("air_leak", {"tight": 0, "leaks": 1}),
    "intake_gas": ("intake_gas", {"steady": 0, "rises": 1}),
    "fuel_pressure": ("fuel_pressure", {"in_range": 0, "high": 0, "low": 1}),
    "fuel_level": ("low_fuel", {"enough": 0, "low": 1}),
    "cap_look": ("cap_look", {"good": 0, "tracked": 1, "cracked": 1}),
    "voltage": ("voltage", {"good": 0, "too_high": 0, "low": 1}),
}

# Signs that a check shows besides: (check, sign, level by finding).
MORE_SIGNS = (
    ("coil_look", "track", {"good": 0, "tracked": 1}),
    ("coil_look", "oily_well", {"good": 0, "oil_in_well": 1}),
    ("plug_look", "wet_plug", {"good": 0, "worn": 0, "oiled": 0, "sooty": 0, "ash": 0, "cracked": 0, "wet": 1}),
    ("plug_look", "oily_plug", {"good": 0, "worn": 0, "sooty": 0, "ash": 0, "cracked": 0, "oiled": 1}),
    (
        "plug_look",
        "tracked_plug",
        {"good": 0, "worn": 0, "wet": 0, "oiled": 0, "sooty": 0, "ash": 0, "cracked": 0, "tracked": 1},
    ),
    ("cap_look", "damp_cap", {"good": 0, "wet": 1}),
    ("cap_look", "burnt_rotor", {"good": 0, "burnt": 1}),
    ("leak_down", "leak_across", {"intake": 0, "exhaust": 0, "crankcase": 0, "across": 1}),
    ("fuel_trim", "lean_idle", {"normal": 0, "lean_idle": 1, "lean_both": 0, "lean_load": 0, "rich": 0}),
    ("fuel_trim", "lean_both", {"normal": 0, "lean_idle": 0, "lean_both": 1, "lean_load": 0, "rich": 0}),
    ("fuel_trim", "lean_load", {"normal": 0, "lean_idle": 0, "lean_both": 0, "lean_load": 1, "rich": 0}),
    ("fuel_trim", "rich", {"normal": 0, "lean_idle": 0, "lean_both": 0, "lean_load": 0, "rich": 1}),
)


def signs_of(check):
    """(sign, level by finding) of every sign that a check reads."""
    first = [CHECK_SIGNS[check]] if check in CHECK_SIGNS else []
    return first + [(sign, levels) for told, sign, levels in MORE_SIGNS if told == check]


# Codes of the engine as a whole: sign -> kinds of code (codes.KINDS) that show it.
ENGINE_CODES = (
    ("lean_code", ("lean",)),
    ("rich_code", ("rich",)),
    ("low_fuel_code", ("fuel_level",)),
    ("cam_code", ("cam_timing", "cam_signal")),
    ("crank_code", ("crank_signal",)),
    ("fuel_code", ("fuel_pressure", "fuel_pump")),
    ("air_code", ("intake_leak",)),
    ("recirculation_code", ("recirculation", "purge")),
    ("voltage_code", ("supply_voltage", "charging")),
)

SYMPTOMS_OF_MISSING = ("shakes", "no_power", "jerks", "stalls")

# Signs read at a cylinder; the others at a coil position, or on the engine as a whole.
CYLINDER_SIGNS = (
    "spray",
    "tracked_plug",
    "injector_code",
    "false_code",
    "injector_sound",
    "injector_pulse",
    "injector_resistance",
    "injector_balance",
    "wet_plug",
    "oily_plug",
    "compression",
    "wet_same",
    "leak_down",
    "leak_across",
    "runner_leak",
    "runner_gas",
)
