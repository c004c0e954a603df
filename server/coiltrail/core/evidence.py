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

# A misfire code of one cylinder is there, by the largest level over the stretches that the code spans.
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
        "good": {"good": 0.930, "intermittent": 0.45, "open": 0.30},
        "latch_broken": {"good": 0.030, "intermittent": 0.20, "open": 0.17},
        "loose": {"good": 0.010, "intermittent": 0.15, "open": 0.20},
        "corroded": {"good": 0.010, "intermittent": 0.10, "open": 0.14},
        "pin_back": {"good": 0.002, "intermittent": 0.07, "open": 0.16},
        "oily": {"good": 0.018, "intermittent": 0.03, "open": 0.03},
    },
    ("connector_look", "coil_wiring"): {
        "chafed": {"good": 0.005, "intermittent": 0.25, "open": 0.25},
    },
    ("plug_look", "plug"): {
        "good": {"good": 0.90, "bad": 0.20},
        "worn": {"good": 0.06, "bad": 0.38},
        "wet": {"good": 0.02, "bad": 0.14},
        "oiled": {"good": 0.015, "bad": 0.16},
        "cracked": {"good": 0.005, "bad": 0.12},
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
        (0.95, 0.05),
        ("boot", "leaking", (0.45, 0.55)),
        ("coil", "weak", (0.78, 0.22)),
        ("coil", "dead", (0.75, 0.25)),
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
    # A slip of the gauge reads low; next to nothing is no slip.
    "compression": _sign(
        3,
        (0.96, 0.035, 0.005),
        ("compression", "low", (0.08, 0.67, 0.25)),
        ("gasket", "leaking", (0.06, 0.84, 0.10)),
    ),
    "leak_down": _sign(2, (0.95, 0.05), ("compression", "low", (0.06, 0.94)), ("gasket", "leaking", (0.06, 0.94))),
    "runner_leak": _sign(2, (0.97, 0.03), ("runner", "leaking", (0.15, 0.85))),
    "air_leak": _sign(2, (0.95, 0.05), ("unmetered_air", "bad", (0.12, 0.88)), ("runner", "leaking", (0.40, 0.60))),
    "fuel_pressure": _sign(2, (0.96, 0.04), ("fuel_delivery", "bad", (0.25, 0.75))),
    "voltage": _sign(2, (0.98, 0.02), ("system_voltage", "bad", (0.10, 0.90))),
    "lean_idle": _sign(2, (0.97, 0.03), ("unmetered_air", "bad", (0.20, 0.80)), ("recirculation", "bad", (0.80, 0.20))),
    "lean_load": _sign(2, (0.97, 0.03), ("fuel_delivery", "bad", (0.35, 0.65)), ("exhaust", "bad", (0.90, 0.10))),
    "rich": _sign(2, (0.96, 0.04), ("recirculation", "bad", (0.65, 0.35)), ("bad_fuel", "bad", (0.85, 0.15))),
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

# Which sign a check reads, and the level that each finding shows.
CHECK_SIGNS = {
    "wiggle": ("wiggle", {"steady": 0, "misses": 1}),
    "coil_look": ("coil_look", {"good": 0, "tracked": 1, "cracked": 1, "swollen": 1}),
    "spark": ("spark", {"strong": 0, "weak": 1, "none": 2}),
    "coil_supply": ("coil_supply", {"good": 0, "low": 1, "none": 1}),
    "coil_pulse": ("coil_pulse", {"present": 0, "absent": 1}),
    "coil_primary": ("coil_primary", {"in_range": 0, "out_of_range": 1, "open": 1}),
    "injector_sound": ("injector_sound", {"clicks": 0, "faint": 1, "silent": 2}),
    "injector_pulse": ("injector_pulse", {"present": 0, "absent": 1}),
    "injector_resistance": ("injector_resistance", {"in_range": 0, "out_of_range": 1, "open": 1}),
    "compression": ("compression", {"good": 0, "low": 1, "none": 2}),
    "leak_down": ("leak_down", {"good": 0, "high": 1}),
    "runner_leak": ("runner_leak", {"tight": 0, "leaks": 1}),
    "air_leak": ("air_leak", {"tight": 0, "leaks": 1}),
    "fuel_pressure": ("fuel_pressure", {"in_range": 0, "low": 1}),
    "fuel_level": ("low_fuel", {"enough": 0, "low": 1}),
    "voltage": ("voltage", {"good": 0, "low": 1}),
}
TRIM_SIGNS = (("lean_idle", "lean_idle"), ("lean_load", "lean_load"), ("rich", "rich"))

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

# A drop graded from engine speed before and during, as a share of the speed before. Estimate, from memory:
# at idle one cylinder of four carries about 8 %, of eight about 4 %, before the idle control answers.
DROP_NONE_BELOW = 0.015
DROP_FULL_SHARE = 0.15  # of the even share 1/n

SYMPTOMS_OF_MISSING = ("shakes", "no_power", "jerks", "stalls")

# Signs read at a cylinder; the others at a coil position, or on the engine as a whole.
CYLINDER_SIGNS = (
    "injector_code",
    "false_code",
    "injector_sound",
    "injector_pulse",
    "injector_resistance",
    "compression",
    "leak_down",
    "runner_leak",
)
