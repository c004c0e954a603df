"""The checks a mechanic can make: what each needs, how it is done safely, how long it takes, what it can find.

Data only. What a finding says about each fault stands in ``evidence.py``.
Minutes are for one position with easy access. Origin of all minutes: estimate, from memory.
"""

CAUTION_SECONDARY = (
    "Secondary voltage can injure: touch nothing that sparks, keep away with a pacemaker, "
    "and give a coil that fires a path to ground."
)
CAUTION_DROP = (
    "A disabled cylinder sends unburnt fuel to the catalyst: keep each test short, let it cool between, "
    "disable the fuel where you can. Keep hands from fan and belts; parking brake on; open air."
)
CAUTION_HOT = "Let hot parts cool before the hands go in."
CAUTION_FUEL = "Relieve the fuel pressure as the maker says before a line is opened."
CAUTION_CRANK = "Disable ignition and fuel before the engine is cranked with plugs out."
CAUTION_LEAK = "Fuel that leaks is stopped before anything sparks or runs: no flame, no lamp that gets hot."

# What a mechanic may have in the van. A check names what it takes: of each group one is enough.
TOOLS = (
    ("code_reader", "Code reader"),
    ("scan_tool", "Scan tool with live data"),
    ("spark_tester", "Adjustable spark tester"),
    ("test_lamp", "Test lamp"),
    ("meter", "Meter"),
    ("injector_lamp", "Test lamp for injectors"),
    ("stethoscope", "Stethoscope or long screwdriver"),
    ("plug_socket", "Plug socket and gap gauge"),
    ("compression_gauge", "Compression gauge"),
    ("leak_down_tester", "Leak-down tester with compressor"),
    ("smoke_machine", "Smoke machine"),
    ("fuel_gauge", "Fuel pressure gauge"),
)


def _check(
    key,
    label,
    about,
    findings,
    minutes,
    needs="",
    how=(),
    caution="",
    round_=False,
    unit="",
    tools=(),
    reach="",
    sparks=False,
):
    return {
        "key": key,
        "label": label,
        "about": about,  # "coil", "plug", "boot", "injector": a place; "cylinder"; "engine"
        "findings": [{"value": value, "label": text} for value, text in findings],
        "minutes": minutes,
        "needs": needs,
        "tools": [list(group) for group in tools],  # keys of TOOLS; one of each group
        "reach": reach or (about if about in ("coil", "plug", "boot", "injector") else ""),  # the part to be got at
        "sparks": sparks,  # can light fuel vapour
        "how": list(how),
        "caution": caution,
        "round": round_,  # made on every cylinder, one after the other
        "dimension": unit,  # what a reading, if one is taken, measures
    }


CHECKS = (
    _check(
        "connector_look",
        "Coil connector",
        "coil",
        (
            ("good", "Good"),
            ("latch_broken", "Lock tab broken"),
            ("loose", "Loose, not seated"),
            ("corroded", "Green or corroded"),
            ("pin_back", "Pin pushed back"),
            ("oily", "Oil in it"),
            ("chafed", "Wire chafed"),
        ),
        1,
        how=(
            "Engine off.",
            "Press the lock, pull the plug straight off.",
            "Look at tab, seal, pins and the first hand of wire.",
        ),
        caution=CAUTION_HOT,
        round_=True,
    ),
    _check(
        "wiggle",
        "Move the harness",
        "coil",
        (("misses", "Misses when moved"), ("steady", "No change")),
        2,
        how=(
            "Engine idling.",
            "Move the connector and its wire gently with a dry insulated tool.",
            "Listen for a stumble.",
        ),
        caution=CAUTION_SECONDARY,
    ),
    _check(
        "drop",
        "Drop test",
        "cylinder",
        (("none", "No change"), ("small", "Small drop"), ("full", "Full drop")),
        1,
        needs="",
        how=(
            "Read and keep the codes first: this test sets new ones.",
            "Engine at idle, warm. Disable one cylinder for a few seconds.",
            "Watch or hear the engine speed; connect it again.",
        ),
        caution=CAUTION_DROP,
        round_=True,
    ),
    _check(
        "misfire_counts",
        "Misfire counters",
        "cylinder",
        (("none", "None"), ("some", "Some"), ("many", "Many")),
        2,
        needs="scan tool with counters",
        how=("Engine warm.", "Read the counter of each cylinder.", "Compare them with each other."),
        round_=True,
        tools=(("scan_tool",),),
    ),
    _check(
        "coil_look",
        "Coil and boot",
        "coil",
        (
            ("good", "Good"),
            ("tracked", "Carbon track"),
            ("cracked", "Cracked"),
            ("swollen", "Swollen"),
            ("oil_in_well", "Oil in the well"),
        ),
        3,
        how=(
            "Engine off and cool.",
            "Unbolt the coil and twist it out.",
            "Look along boot and body for tracks, cracks, swelling, oil.",
        ),
        caution=CAUTION_HOT,
        round_=True,
    ),
    _check(
        "plug_look",
        "Spark plug",
        "plug",
        (
            ("good", "Good"),
            ("worn", "Gap wide or worn"),
            ("wet", "Wet with fuel"),
            ("oiled", "Oily or fouled"),
            ("cracked", "Insulator cracked"),
        ),
        6,
        needs="plug socket, gap gauge",
        how=(
            "Engine cool; blow the well clean.",
            "Take the plug out, look and measure the gap.",
            "Start it by hand when it goes back.",
        ),
        caution=CAUTION_HOT,
        round_=True,
        tools=(("plug_socket",),),
    ),
    _check(
        "spark",
        "Spark across a gap",
        "coil",
        (("strong", "Strong, steady"), ("weak", "Weak or stray"), ("none", "None")),
        4,
        needs="adjustable spark tester",
        how=(
            "Engine off: put the tester between coil and ground.",
            "Crank or run it briefly.",
            "Watch from a distance.",
        ),
        caution=CAUTION_SECONDARY,
        tools=(("spark_tester",),),
        sparks=True,
    ),
    _check(
        "coil_supply",
        "Supply and ground at the coil connector",
        "coil",
        (("good", "Both good"), ("none", "No supply or no ground"), ("low", "Low")),
        3,
        needs="test lamp or meter",
        how=(
            "Key on, connector off.",
            "Measure supply to battery minus, ground to battery plus, under a small load.",
            "Compare with a good one.",
        ),
        tools=(("test_lamp", "meter"),),
    ),
    _check(
        "coil_pulse",
        "Control pulse at the coil connector",
        "coil",
        (("present", "Present"), ("absent", "Absent")),
        4,
        needs="test lamp, logic probe or meter with duty cycle",
        how=("Back-probe the control wire.", "Crank or idle.", "See whether it pulses."),
        caution=CAUTION_SECONDARY,
        tools=(("test_lamp", "meter"),),
    ),
    _check(
        "injector_sound",
        "Injector sound",
        "injector",
        (("clicks", "Clicks"), ("faint", "Faint"), ("silent", "Silent")),
        3,
        needs="stethoscope or long screwdriver",
        how=("Engine idling.", "Touch the injector body, listen.", "Compare with its neighbours."),
        caution="Keep hands, hair and tool from fan and belts.",
        round_=True,
        tools=(("stethoscope",),),
    ),
    _check(
        "injector_pulse",
        "Injector pulse",
        "injector",
        (("present", "Present"), ("absent", "Absent")),
        3,
        needs="test lamp for injectors",
        how=("Plug the lamp into the injector's connector.", "Crank or idle.", "See whether it flashes."),
        tools=(("injector_lamp",),),
    ),
    _check(
        "injector_resistance",
        "Injector resistance",
        "injector",
        (("in_range", "Within specification"), ("out_of_range", "Outside"), ("open", "Open")),
        3,
        needs="meter",
        how=(
            "Key off, connector off.",
            "Measure across the pins.",
            "Compare with the maker's range at this temperature.",
        ),
        unit="resistance",
        tools=(("meter",),),
    ),
    _check(
        "coil_primary",
        "Coil primary resistance",
        "coil",
        (("in_range", "Within specification"), ("out_of_range", "Outside"), ("open", "Open")),
        3,
        needs="meter",
        how=(
            "Key off, connector off.",
            "Measure across the primary pins.",
            "Compare with the maker's range at this temperature.",
        ),
        unit="resistance",
        tools=(("meter",),),
    ),
    _check(
        "compression",
        "Compression",
        "cylinder",
        (("good", "Like the best"), ("low", "Low"), ("none", "None")),
        8,
        needs="compression gauge",
        how=("Engine warm, all plugs out, throttle open.", "Crank five strokes.", "Compare with the best cylinder."),
        caution=CAUTION_CRANK,
        round_=True,
        unit="pressure",
        tools=(("compression_gauge",), ("plug_socket",)),
        reach="plug",
    ),
    _check(
        "leak_down",
        "Leak-down",
        "cylinder",
        (("good", "Little"), ("high", "Much")),
        12,
        needs="leak-down tester, compressor",
        how=("Piston at the top of compression, engine held.", "Apply air.", "Read the loss; hear where it goes."),
        caution="Air can turn the engine: keep clear of the belts.",
        tools=(("leak_down_tester",), ("plug_socket",)),
        reach="plug",
    ),
    _check(
        "runner_leak",
        "Air leak at the runner",
        "cylinder",
        (("tight", "Tight"), ("leaks", "Leaks")),
        5,
        needs="smoke or enrichment gas",
        how=("Engine cool for smoke.", "Feed smoke into the intake.", "Watch the joint of this runner."),
        caution="Nothing that burns near hot parts.",
        tools=(("smoke_machine",),),
        sparks=True,
    ),
    _check(
        "air_leak",
        "Unmetered air",
        "engine",
        (("tight", "Tight"), ("leaks", "Leaks")),
        8,
        needs="smoke machine",
        how=("Engine off and cool.", "Feed smoke into the intake.", "Watch hoses, joints, booster and valve cover."),
        caution="Nothing that burns near hot parts.",
        tools=(("smoke_machine",),),
        sparks=True,
    ),
    _check(
        "fuel_trim",
        "Fuel trim",
        "engine",
        (
            ("normal", "Near zero"),
            ("lean_idle", "Lean at idle, better at speed"),
            ("lean_load", "Lean, worse under load"),
            ("rich", "Rich"),
        ),
        3,
        needs="scan tool",
        how=("Engine warm at idle.", "Read short and long trim.", "Read again at 2,500 rpm."),
        tools=(("scan_tool",),),
    ),
    _check(
        "fuel_pressure",
        "Fuel pressure",
        "engine",
        (("in_range", "Within specification"), ("low", "Low"), ("high", "High")),
        8,
        needs="fuel pressure gauge",
        how=("Relieve the pressure first.", "Connect, run, read.", "Compare with the maker's value."),
        caution=CAUTION_FUEL,
        unit="pressure",
        tools=(("fuel_gauge",),),
    ),
    _check(
        "fuel_level",
        "Fuel level",
        "engine",
        (("enough", "Enough"), ("low", "Nearly empty")),
        1,
        how=("Read the gauge; ask when it was last filled, and with what.",),
    ),
    # Says nothing of what misses; it is there so that no spark is made over leaking fuel.
    _check(
        "fuel_leak",
        "Leaking fuel",
        "engine",
        (("dry", "Dry"), ("wet", "Fuel leaks")),
        2,
        how=(
            "Engine off.",
            "Look and smell along rail, injectors, lines and tank.",
            "Key on without starting, so that the pump runs; look again.",
        ),
        caution=CAUTION_LEAK,
    ),
    _check(
        "rpm_effect",
        "Runs at 2,500 rpm",
        "engine",
        (("smooth", "Smooth there"), ("same", "Misses the same"), ("worse", "Worse")),
        1,
        how=("Engine warm, parked.", "Hold 2,500 rpm for some seconds.", "Compare with idle."),
        caution=CAUTION_DROP,
    ),
    _check(
        "voltage",
        "System voltage",
        "engine",
        (("good", "Good"), ("low", "Low")),
        2,
        needs="meter",
        how=("Engine idling, lights on.", "Measure across the battery.", "Compare with the maker's range."),
        unit="voltage",
        tools=(("meter",),),
    ),
)

BY_KEY = {check["key"]: check for check in CHECKS}


def findings_of(check):
    """The values a finding of ``check`` may take."""
    return [finding["value"] for finding in BY_KEY[check]["findings"]]


def finding_label(check, finding):
    """The finding in words."""
    for entry in BY_KEY[check]["findings"]:
        if entry["value"] == finding:
            return entry["label"]
    return finding or ""
