"""The checks a mechanic can make: what each needs, how it is done safely, how long it takes, what it can find.

Data only. What a finding says about each fault stands in ``evidence.py`` in numbers, here in a sentence; what a
reading comes to, in ``grading.py``. Minutes are of the work at one position with easy access; ``minutes_of`` adds the
fetching of the tool, and ``costs.py`` the way in. Origin of all minutes: estimate, from memory.
"""

from .tongue import phrase

CAUTION_SECONDARY = (
    "Secondary voltage can injure: touch nothing that sparks, keep away with a pacemaker, "
    "and give a coil that fires a path to ground."
)
# As long as nobody said how the cylinder is disabled; then the one of that way.
CAUTION_DROP = (
    "A disabled cylinder sends unburnt fuel to the catalyst: keep each test short, let it cool between, "
    "disable the fuel where you can. Keep hands from fan and belts; parking brake on; open air. "
    "A coil unplugged or lifted while the engine runs can strike: touch nothing that sparks, "
    "keep away with a pacemaker."
)
CAUTION_DROP_AT_COIL = (
    "The cylinder's fuel goes unburnt to the catalyst: keep each test short, let it cool between. "
    "A coil unplugged or lifted while the engine runs can strike: touch nothing that sparks, "
    "keep away with a pacemaker, give it a path to ground. Keep hands from fan and belts; parking brake on; open air."
)
CAUTION_DROP_AT_INJECTOR = (
    "Take off the injector's connector alone, open no fuel line: so no fuel goes unburnt to the catalyst. Keep each "
    "test short all the same, let it cool between. Keep hands from fan and belts; parking brake on; open air."
)
CAUTION_DROP_BY_TOOL = (
    "Cut the fuel, not the spark, where the tool lets you choose: unburnt fuel harms the catalyst. Keep each test "
    "short, let it cool between. Keep hands from fan and belts; parking brake on; open air."
)
CAUTION_REVVED = (
    "A cylinder that misses sends unburnt fuel to the catalyst: some seconds, no longer. "
    "Keep hands from fan and belts; parking brake on; open air."
)
CAUTION_WATER = (
    "Secondary voltage can strike through water: hand and bottle well away from what fires, "
    "keep away with a pacemaker. Keep clear of fan and belts; parking brake on; open air. "
    "No water on a hot exhaust or into the air intake. What the maker says of water at this engine comes first."
)
CAUTION_HOT = "Let hot parts cool before the hands go in."
CAUTION_FUEL = "Relieve the fuel pressure as the maker says before a line is opened."
CAUTION_CRANK = "Disable ignition and fuel before the engine is cranked with plugs out."
CAUTION_LEAK = "Fuel that leaks is stopped before anything sparks or runs: no flame, no lamp that gets hot."
CAUTION_MOVING = "Keep hands, hair, leads and tool from fan and belts; parking brake on; open air."
CAUTION_SMOKE = "Nothing that burns near hot parts."
CAUTION_GAS = (
    "The gas burns: small flow, never lit, no flame or spark near, hot parts kept clear, an extinguisher at hand, "
    "open air."
)

# What a mechanic may have in the van. A check names what it takes: of each group one is enough.
TOOLS = (
    ("code_reader", "Code reader"),
    ("scan_tool", "Scan tool with live data"),
    ("spark_tester", "Adjustable spark tester"),
    ("test_lamp", "Test lamp"),
    ("meter", "Meter"),
    ("injector_lamp", "Test lamp for injectors"),
    ("injector_pulser", "Injector pulse tool"),
    ("stethoscope", "Stethoscope or long screwdriver"),
    ("plug_socket", "Plug socket and gap gauge"),
    ("compression_gauge", "Compression gauge"),
    ("leak_down_tester", "Leak-down tester with compressor"),
    ("smoke_machine", "Smoke machine"),
    ("enrichment_gas", "Enrichment gas with valve and hose"),
    ("fuel_gauge", "Fuel pressure gauge"),
)

MINUTES_TOOL = 2  # to fetch a tool, set it up and put it away

# Conditions, of those that ``entries`` declares, under which a check may find something else. An engine at idle or
# cranking may be cold or wet; what is looked at with the engine off is the same in any weather.
_STANDING = ("cold", "hot", "wet", "dry")
_DRIVEN = ("idle", "load") + _STANDING

# What is written down of a reading against the maker's range.
_TO_LIMITS = ("reading", "limits", "specification")
# Of a winding, whose resistance rises with its temperature.
_WINDING = ("reading", "temperature", "limits", "specification")


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
    fields=(),
    tools=(),
    reach="",
    sparks=False,
    after=(),
    well=(),
    conditions=(),
    begins="",
    ways=(),
    ignitions=(),
):
    return {
        "key": key,
        "label": label,
        "about": about,  # "coil", "plug", "boot", "injector": a place; "cylinder"; "engine"
        # What it may find: ``means`` says in a sentence what that speaks for, or that it says nothing.
        "findings": [{"value": value, "label": text, "means": means} for value, text, means in findings],
        "ignitions": list(ignitions),  # arrangements that have what it looks at (``engine``); empty: all
        "minutes": minutes,
        "needs": needs,
        "tools": [list(group) for group in tools],  # keys of TOOLS; one of each group
        "reach": reach or (about if about in ("coil", "plug", "boot", "injector") else ""),  # the part to be got at
        "sparks": sparks,  # can light fuel vapour
        "how": list(how),
        "caution": caution,
        "round": round_,  # made on every cylinder, one after the other
        # Of a round: findings with which a cylinder does not stand out; where nothing is said, the first declared.
        "well": list(well or (findings[0][0],)) if round_ else [],
        "dimension": unit,  # what a reading, if one is taken, measures
        "begins": begins,  # the unit that its field begins with, where it is not the usual one of the dimension
        "fields": list(fields),  # fields of the entry that take what was read, in the order of a form
        # Where the caution depends on how the cylinder is disabled (``entries``): the one of each way.
        "ways": [{"value": value, "caution": words} for value, words in ways],
        "conditions": list(conditions),  # to be asked for, since the finding depends on them
        "after": [list(pair) for pair in after],  # (check, finding): one of them is there before this one has a use
    }


CHECKS = (
    _check(
        "connector_look",
        "Coil connector",
        "coil",
        (
            ("good", "Good", "Less suspect, not cleared: one that looks good can be open."),
            ("latch_broken", "Lock tab broken", "It can creep off its pins: poor contact that comes and goes."),
            ("loose", "Loose, not seated", "Poor or no contact at the coil."),
            ("corroded", "Green or corroded", "Water got in: resistance at the pins."),
            ("pin_back", "Pin pushed back", "A pin that does not reach its partner: open, or nearly."),
            ("spread", "Pin does not grip", "A widened terminal: contact that shakes loose."),
            ("oily", "Oil in it", "Oil creeps in and softens the seal; it insulates less often than it soils."),
            ("chafed", "Wire chafed", "The wire itself may be broken or touch ground: wiring, not the coil."),
        ),
        1,
        how=(
            "Engine off.",
            "Press the lock, pull the connector straight off; try each terminal's grip with a loose pin.",
            "Look at tab, seal, pins and the first hand of wire.",
        ),
        caution=CAUTION_HOT,
        round_=True,
    ),
    _check(
        "wiggle",
        "Move the harness",
        "coil",
        (
            ("misses", "Misses when moved", "Contact or wire breaks at that place; a coil does not mind being moved."),
            ("runs", "Runs when moved", "Contact or wire is open at that place, and closes when moved: not the coil."),
            ("steady", "No change", "Contact and wire are less suspect here."),
        ),
        2,
        how=(
            "Engine idling.",
            "Move the connector and its wire gently with a dry insulated tool.",
            "Listen for a stumble, or for a dead cylinder that comes in.",
        ),
        caution=CAUTION_SECONDARY,
        conditions=_STANDING,
    ),
    _check(
        "spray",
        "Water spray",
        "cylinder",
        (
            (
                "misses",
                "Misses or sparks",
                "The spark gets out there: boot or lead first, then a cracked coil, wet contacts, the plug's outside.",
            ),
            ("steady", "No change", "What was wetted keeps the spark in: less suspect here."),
        ),
        2,
        how=(
            "Engine idling, best in the dark.",
            "A fine mist of clean water on coil, boot or lead and plug well of one cylinder; wait half a minute.",
            "Watch for sparks, listen for a stumble. Dry it before the next one.",
        ),
        caution=CAUTION_WATER,
        round_=True,
        well=("steady",),
    ),
    _check(
        "drop",
        "Drop test",
        "cylinder",
        (
            ("none", "No change", "This cylinder did no work at idle: it is dead there."),
            ("small", "Small drop", "It pulls less than the others."),
            ("full", "Full drop", "It pulls its weight at idle; under load it may still miss."),
        ),
        1,
        how=(
            "Read and keep the codes first: this test sets new ones.",
            "Engine at idle, warm. Disable one cylinder for a few seconds.",
            "Watch or hear the engine speed; connect it again.",
        ),
        caution=CAUTION_DROP,
        ways=(
            ("coil", CAUTION_DROP_AT_COIL),
            ("injector", CAUTION_DROP_AT_INJECTOR),
            ("tool", CAUTION_DROP_BY_TOOL),
        ),
        round_=True,
        well=("full",),
        fields=("rpm_before", "rpm_during"),
        conditions=_STANDING,
    ),
    _check(
        "misfire_counts",
        "Misfire counters",
        "cylinder",
        (
            ("none", "None", "Runs clean, or has no more than the strays of its neighbors."),
            ("some", "Some", "Misses now and then."),
            ("many", "Many", "Misses most of the time."),
        ),
        2,
        needs="scan tool with counters",
        how=("Engine warm.", "Read the counter of each cylinder.", "Compare them with each other."),
        caution=CAUTION_MOVING,
        round_=True,
        fields=("count",),
        tools=(("scan_tool",),),
        conditions=_DRIVEN,
    ),
    _check(
        "coil_look",
        "Coil and boot",
        "coil",
        (
            ("good", "Good", "Boot less suspect; a bad coil mostly looks good."),
            (
                "tracked",
                "Carbon track",
                "The spark found a way along the boot to ground: boot, or the plug's insulator.",
            ),
            ("cracked", "Cracked", "The spark can leave through the crack, above all in the wet."),
            ("swollen", "Swollen", "Heat or oil has spoilt it; the winding or the boot leaks."),
            (
                "oil_in_well",
                "Oil in the well",
                "A cover gasket leaks; oil softens the boot, which then leaks to ground.",
            ),
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
        "boot_resistance",
        "Lead or boot resistance",
        "boot",
        (
            ("in_range", "Within specification", "Its resistor is whole; it may still leak to ground."),
            ("out_of_range", "Outside", "Resistor or core is burnt: a weak spark."),
            ("open", "Open", "Spring or core is broken: the spark must jump inside it."),
        ),
        4,
        needs="meter",
        how=(
            "Engine off and cool; take the boot or lead off at both ends, by the boot and never by the wire.",
            "Measure from end to end, bend it while you measure.",
            "Compare with the maker's range, a lead's by its length.",
        ),
        caution=CAUTION_HOT,
        round_=True,
        unit="resistance",
        fields=_TO_LIMITS,
        tools=(("meter",),),
    ),
    _check(
        "plug_look",
        "Spark plug",
        "plug",
        (
            ("good", "Good", "Plug less suspect; it can still break down under pressure."),
            ("worn", "Electrodes worn", "It asks for more voltage: misses under load, and strains the coil."),
            ("wet", "Wet with fuel", "Fuel arrives and does not burn: spark or compression, hardly the injector."),
            ("oiled", "Oily deposits", "Oil passes rings or valve seals and fouls the plug."),
            ("sooty", "Dry soot", "Rich mixture or a weak spark; soot leads the spark away."),
            ("ash", "White or glazed deposits", "Ran hot or lean, or burns oil; glaze conducts when hot."),
            ("cracked", "Insulator cracked", "The spark goes through the crack: this plug is bad."),
            (
                "tracked",
                "Track on the outside",
                "The spark ran down the porcelain to ground: boot and plug go together, or one burns the other.",
            ),
        ),
        6,
        needs="plug socket, gap gauge",
        how=(
            "Engine cool; blow the well clean.",
            "Take the plug out, look at electrodes, insulator and what lies on them.",
            "Start it by hand when it goes back.",
        ),
        caution=CAUTION_HOT,
        round_=True,
        tools=(("plug_socket",),),
    ),
    _check(
        "plug_gap",
        "Plug gap",
        "plug",
        (
            ("in_range", "Within specification", "The gap is not the reason; look at the rest of the plug."),
            ("wide", "Too wide", "Worn, or set wrongly: asks for more voltage than the coil may have under load."),
            ("narrow", "Too narrow", "Dropped or set wrongly: a short spark that lights badly at idle."),
        ),
        6,
        needs="plug socket, gap gauge",
        how=(
            "Engine cool; blow the well clean, take the plug out.",
            "Slide a wire gauge through, without force on a fine electrode.",
            "Compare with the maker's gap; start the plug by hand when it goes back.",
        ),
        caution=CAUTION_HOT,
        round_=True,
        unit="gap",
        fields=_TO_LIMITS,
        tools=(("plug_socket",),),
    ),
    _check(
        "spark",
        "Spark across a gap",
        "coil",
        (
            (
                "strong",
                "Strong, steady",
                "Coil, supply and control work at this moment; plug, fuel, compression remain.",
            ),
            ("weak", "Weak or stray", "Coil tired, or it gets too little voltage."),
            ("none", "No spark", "Coil, its connector, supply or control; not the plug."),
        ),
        4,
        needs="adjustable spark tester",
        how=(
            "Engine off: put the tester between coil and ground, set to the gap that the maker or the tester names.",
            "Crank or run it briefly.",
            "Watch from a distance.",
        ),
        caution=CAUTION_SECONDARY,
        tools=(("spark_tester",),),
        sparks=True,
        conditions=_STANDING,
    ),
    _check(
        "coil_supply",
        "Supply and ground at the coil connector",
        "coil",
        (
            ("good", "Both good", "Fuse, relay, supply and ground are good up to here."),
            ("none", "No supply or no ground", "Fuse, relay or wire before the coil: not the coil."),
            ("low", "Low", "Resistance on the way: a weak spark from a good coil."),
        ),
        3,
        needs="test lamp or meter",
        how=(
            "Key on, connector off.",
            "Measure supply to battery minus, ground to battery plus, under a small load.",
            "Compare with a good one.",
        ),
        unit="voltage",
        fields=("reading",),
        tools=(("test_lamp", "meter"),),
    ),
    _check(
        "coil_pulse",
        "Control pulse at the coil connector",
        "coil",
        (
            ("present", "Present", "Controller and wire ask for the spark: with supply there, the coil is left."),
            ("absent", "Absent", "Wire or driver; a new coil would not fire either."),
        ),
        4,
        needs="test lamp, logic probe or meter with duty cycle",
        how=("Back-probe the control wire.", "Crank or idle.", "See whether it pulses."),
        caution=CAUTION_SECONDARY,
        tools=(("test_lamp", "meter"),),
    ),
    _check(
        "coil_primary",
        "Coil primary resistance",
        "coil",
        (
            ("in_range", "Within specification", "Says little: a coil that breaks down when hot often measures well."),
            ("out_of_range", "Outside", "Primary winding shorted or burnt: the coil."),
            ("open", "Open", "Primary winding broken: the coil."),
            ("unreadable", "Cannot be measured", "A driver is built in; this says nothing of the coil."),
        ),
        3,
        needs="meter",
        how=(
            "Key off, connector off; the leads' own resistance taken off.",
            "Measure across the primary pins, and note how warm the coil is.",
            "Compare with the maker's range, or with the other coils.",
        ),
        round_=True,
        well=("in_range", "unreadable"),
        unit="resistance",
        fields=_WINDING,
        tools=(("meter",),),
    ),
    _check(
        "coil_secondary",
        "Coil secondary resistance",
        "coil",
        (
            ("in_range", "Within specification", "Says little: insulation that breaks down measures well."),
            ("out_of_range", "Outside", "Secondary winding shorted or burnt: the coil."),
            ("open", "Open", "Secondary winding broken: the coil. Make sure first that no diode is built in."),
            ("unreadable", "Cannot be measured", "A diode is built in; this says nothing of the coil."),
        ),
        4,
        needs="meter",
        how=(
            "Key off, coil off and its boot pulled.",
            "Measure from tower to tower, or from the tower to the pin that the maker names; note how warm it is.",
            "Compare with the maker's range, or with the other coils.",
        ),
        caution=CAUTION_HOT,
        round_=True,
        well=("in_range", "unreadable"),
        unit="resistance",
        begins="kΩ",
        fields=_WINDING,
        tools=(("meter",),),
    ),
    _check(
        "injector_connector",
        "Injector connector",
        "injector",
        (
            ("good", "Good", "Less suspect, not cleared."),
            ("latch_broken", "Lock tab broken", "It can creep off: contact that comes and goes."),
            ("loose", "Loose, not seated", "Poor or no contact at the injector."),
            ("corroded", "Green or corroded", "Resistance at the pins."),
            ("pin_back", "Pin pushed back", "A pin that does not reach its partner."),
            ("chafed", "Wire chafed", "Wire broken or at ground: circuit, not the injector."),
        ),
        1,
        how=(
            "Engine off.",
            "Press the lock, pull the connector straight off.",
            "Look at tab, seal, pins and the first hand of wire.",
        ),
        caution=CAUTION_HOT,
        round_=True,
    ),
    _check(
        "injector_sound",
        "Injector sound",
        "injector",
        (
            ("clicks", "Clicks", "It opens and shuts; how much it gives is not heard."),
            ("faint", "Faint", "Sticks, or gets too little current."),
            (
                "silent",
                "Silent",
                "Does not open: injector, its circuit, or a controller that shut it off for the catalyst.",
            ),
        ),
        3,
        needs="stethoscope or long screwdriver",
        how=("Engine idling.", "Touch the injector body, listen.", "Compare with its neighbors."),
        caution=CAUTION_MOVING,
        round_=True,
        tools=(("stethoscope",),),
    ),
    _check(
        "injector_pulse",
        "Injector pulse",
        "injector",
        (
            ("present", "Present", "Wire and driver work: what is left is the injector."),
            ("absent", "Absent", "Wire, driver, or a controller that shut it off for the catalyst."),
        ),
        3,
        needs="test lamp for injectors",
        how=(
            "Key off, then plug the lamp into the injector's connector.",
            "Crank or idle.",
            "See whether it flashes.",
        ),
        caution=CAUTION_MOVING,
        tools=(("injector_lamp",),),
    ),
    _check(
        "injector_resistance",
        "Injector resistance",
        "injector",
        (
            ("in_range", "Within specification", "Winding good; needle and spray are not measured by it."),
            ("out_of_range", "Outside", "Winding shorted or burnt: the injector."),
            ("open", "Open", "Winding broken: the injector."),
        ),
        3,
        needs="meter",
        how=(
            "Key off, connector off.",
            "Measure across the pins, and note how warm it is.",
            "Compare with the maker's range, or with the other injectors.",
        ),
        round_=True,
        unit="resistance",
        fields=_WINDING,
        tools=(("meter",),),
    ),
    _check(
        "injector_balance",
        "Injector balance",
        "injector",
        (
            ("even", "Drops like the others", "Gives as much as the others; its spray is not seen."),
            ("less", "Drops less", "Gives too little: clogged, stuck or dead."),
            ("more", "Drops more", "Gives too much, or does not shut."),
        ),
        25,  # one alone says nothing: with the gauge fitted and some neighbours
        needs="fuel pressure gauge, pulse tool or scan tool",
        how=(
            "Relieve the pressure, connect the gauge, key on so that the pump fills the rail.",
            "Pulse one injector for the set time and read how far the pressure falls.",
            "Fill the rail again and go on; two rounds at most, or the cylinders flood.",
        ),
        caution=CAUTION_FUEL,
        round_=True,
        unit="pressure",
        fields=("reading",),
        tools=(("fuel_gauge",), ("injector_pulser", "scan_tool")),
    ),
    _check(
        "compression",
        "Compression",
        "cylinder",
        (
            ("good", "Like the best", "Rings, valves and gasket hold: look at spark and fuel."),
            ("low", "Low", "Valve, ring or gasket; two low neighbors are the gasket between them."),
            ("none", "No compression", "A valve that stays open, a hole, a broken part."),
        ),
        8,
        needs="compression gauge",
        how=("Engine warm, all plugs out, throttle open.", "Crank five strokes.", "Compare with the best cylinder."),
        caution=CAUTION_CRANK,
        round_=True,
        unit="pressure",
        fields=_TO_LIMITS,
        tools=(("compression_gauge",), ("plug_socket",)),
        reach="plug",
    ),
    _check(
        "compression_wet",
        "Compression with oil",
        "cylinder",
        (
            ("rises", "Rises clearly", "Oil sealed it: rings or cylinder wall."),
            ("same", "Hardly rises", "Oil cannot seal it: valve or gasket."),
        ),
        5,
        needs="compression gauge",
        how=(
            "After the dry test: a spoonful of engine oil into the low cylinder.",
            "Turn it twice to spread the oil, then crank five strokes.",
            "Compare with the same cylinder dry.",
        ),
        caution=CAUTION_CRANK,
        unit="pressure",
        fields=("reading",),
        tools=(("compression_gauge",), ("plug_socket",)),
        reach="plug",
        after=(("compression", "low"), ("compression", "none")),
    ),
    _check(
        "leak_down",
        "Leak-down",
        "cylinder",
        (
            ("good", "Little", "Valves, rings and gasket hold."),
            ("worn", "Moderate", "Wear; seldom enough to miss by itself."),
            ("high", "Much, not heard where", "Valve, ring or gasket lets go."),
            ("intake", "Much, out of the intake", "Intake valve."),
            ("exhaust", "Much, out of the exhaust", "Exhaust valve."),
            ("crankcase", "Much, out of the crankcase", "Rings or cylinder wall."),
            ("across", "Much, next door or in the coolant", "Head gasket, or a crack."),
        ),
        12,
        needs="leak-down tester, compressor",
        how=("Piston at the top of compression, engine held.", "Apply air.", "Read the loss; hear where it goes."),
        caution="Air can turn the engine: keep clear of the belts and of the tool that holds it. "
        "Open the coolant only when it is cold.",
        round_=True,
        unit="share",
        fields=("reading",),
        tools=(("leak_down_tester",), ("plug_socket",)),
        reach="plug",
    ),
    _check(
        "runner_leak",
        "Smoke at the runner",
        "cylinder",
        (
            ("tight", "Tight", "No air enters here; smoke misses little."),
            ("leaks", "Leaks", "This cylinder draws air that nobody measured, most at idle."),
        ),
        5,
        needs="smoke machine",
        how=("Engine off and cool.", "Feed smoke into the intake.", "Watch the joint of this runner."),
        caution=CAUTION_SMOKE,
        tools=(("smoke_machine",),),
        sparks=True,
    ),
    _check(
        "runner_gas",
        "Enrichment at the runner",
        "cylinder",
        (
            ("steady", "No change", "Tight here, as far as gas at idle can tell."),
            ("rises", "Speed or trim changes", "Gas is drawn in at this joint: it leaks."),
        ),
        3,
        needs="enrichment gas",
        how=(
            "Engine warm at idle, nothing that leaks fuel.",
            "Hold the hose to this runner's joint for some seconds, the gas never lit.",
            "Watch engine speed or short trim, then let it settle.",
        ),
        caution=CAUTION_GAS,
        tools=(("enrichment_gas",),),
        sparks=True,
    ),
    _check(
        "air_leak",
        "Smoke in the intake",
        "engine",
        (
            ("tight", "Tight", "No unmetered air; smoke misses little."),
            ("leaks", "Leaks", "Unmetered air makes all cylinders lean, most at idle. Seal it and see."),
        ),
        8,
        needs="smoke machine",
        how=("Engine off and cool.", "Feed smoke into the intake.", "Watch hoses, joints, booster and valve cover."),
        caution=CAUTION_SMOKE,
        tools=(("smoke_machine",),),
        sparks=True,
    ),
    _check(
        "intake_gas",
        "Enrichment around the intake",
        "engine",
        (
            ("steady", "No change", "Tight as far as gas reached; a hose below may still leak."),
            ("rises", "Speed or trim changes", "Gas is drawn in somewhere there: unmetered air."),
        ),
        5,
        needs="enrichment gas",
        how=(
            "Engine warm at idle, nothing that leaks fuel.",
            "Lead the hose along hoses and joints, slowly, the gas never lit.",
            "Watch engine speed or short trim.",
        ),
        caution=CAUTION_GAS,
        tools=(("enrichment_gas",),),
        sparks=True,
    ),
    _check(
        "cap_look",
        "Distributor cap and rotor",
        "engine",
        (
            ("good", "Clean and dry", "Cap and rotor are less suspect; a crack can be too fine to be seen."),
            ("tracked", "Carbon track", "The spark found a way along the cap, to another contact or to ground."),
            ("cracked", "Cracked", "The spark leaves through the crack, above all in the wet."),
            ("wet", "Moisture inside", "The spark creeps along it; dry it and see, then find how it got in."),
            ("burnt", "Contacts or rotor burnt", "A wider gap to jump: a weaker spark for all cylinders."),
        ),
        3,
        how=(
            "Key off. Mark which lead goes where; take the cap off with its leads on.",
            "Look inside with a lamp, along ribs and between contacts, for tracks, cracks and moisture.",
            "Look at the rotor's tip and at the carbon in the middle of the cap.",
        ),
        caution=CAUTION_HOT,
        ignitions=("distributor",),
    ),
    _check(
        "fuel_trim",
        "Fuel trim",
        "engine",
        (
            ("normal", "Near zero", "Mixture is right on the whole: look at single cylinders."),
            (
                "lean_idle",
                "Lean at idle, better at speed",
                "Unmetered air: its share shrinks as the engine breathes more.",
            ),
            ("lean_both", "Lean at both alike", "Air is measured too low, or fuel a little short everywhere."),
            ("lean_load", "Lean, worse at speed or load", "Fuel runs short: pump, filter, pressure."),
            ("rich", "Rich", "Fuel or vapor that nobody asked for: purge, pressure, oil thinned with fuel."),
        ),
        3,
        needs="scan tool",
        how=(
            "Engine warm at idle, parked: read short and long trim.",
            "Hold 2,500 rpm until they settle and read again.",
            "Of two banks record each by itself: what is out on one alone lies there.",
        ),
        caution=CAUTION_MOVING,
        fields=("bank", "short_trim_idle", "long_trim_idle", "short_trim_fast", "long_trim_fast"),
        tools=(("scan_tool",),),
    ),
    _check(
        "fuel_pressure",
        "Fuel pressure",
        "engine",
        (
            ("in_range", "Within specification", "Pump, filter and regulator hold, at least as the engine runs now."),
            ("low", "Low", "Pump, filter, regulator or an empty tank starves all cylinders."),
            ("high", "High", "Not starved. Regulator or return line: rich, seldom a miss by itself."),
        ),
        8,
        needs="fuel pressure gauge",
        how=("Relieve the pressure first.", "Connect, run, read.", "Compare with the maker's value."),
        caution=CAUTION_FUEL,
        unit="pressure",
        fields=_TO_LIMITS,
        tools=(("fuel_gauge",),),
        conditions=("idle", "load"),
    ),
    _check(
        "fuel_level",
        "Fuel level",
        "engine",
        (
            ("enough", "Enough", "The tank is not the reason."),
            ("low", "Nearly empty", "Fill it before anything else: an empty tank starves the engine and sets codes."),
        ),
        1,
        how=(
            "Key on, read the gauge.",
            "Ask when it was last filled, and with what.",
            "Where the gauge is not believed, fill ten liters and see.",
        ),
    ),
    _check(
        "fuel_leak",
        "Leaking fuel",
        "engine",
        (
            ("dry", "No leak", "Says nothing of what misses; sparks may be made."),
            ("wet", "Fuel leaks", "Says nothing of what misses; it is stopped before anything else."),
        ),
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
        (
            ("smooth", "Smooth there", "Faults that fade with speed: air that leaks in, a valve that leaks by."),
            ("same", "Misses the same", "A dead cylinder, or more than one."),
            ("worse", "Worse", "Faults that grow with load: spark that breaks down, fuel that runs short."),
        ),
        1,
        how=("Engine warm, parked.", "Hold 2,500 rpm for some seconds.", "Compare with idle."),
        caution=CAUTION_REVVED,
    ),
    _check(
        "voltage",
        "System voltage",
        "engine",
        (
            ("good", "Good", "Every coil gets what it needs from battery and alternator."),
            ("low", "Low", "All sparks are weak: charging, battery or ground first."),
            ("too_high", "Too high", "Not low. The regulator is at fault; it harms, but makes no miss by itself."),
        ),
        2,
        needs="meter",
        how=("Engine idling, lights on.", "Measure across the battery.", "Compare with the maker's range."),
        caution=CAUTION_MOVING,
        unit="voltage",
        fields=_TO_LIMITS,
        tools=(("meter",),),
    ),
)

BY_KEY = {check["key"]: check for check in CHECKS}


def fits(check, engine):
    """Whether ``engine`` has what ``check`` looks at."""
    ignitions = BY_KEY[check]["ignitions"]
    return not ignitions or engine.ignition in ignitions


def minutes_to_fetch(check):
    """Minutes to fetch what ``check`` takes; 0 where it takes nothing."""
    return MINUTES_TOOL if BY_KEY[check]["tools"] else 0


def minutes_of(check, places=1):
    """Minutes of ``check`` at so many places that are easily reached, its tool fetched once."""
    return minutes_to_fetch(check) + BY_KEY[check]["minutes"] * places


def findings_of(check):
    """The values a finding of ``check`` may take."""
    return [finding["value"] for finding in BY_KEY[check]["findings"]]


# Checks made at a part's place that look at the car's side of it, not at the part.
OF_THE_CAR = ("connector_look", "wiggle", "coil_supply", "coil_pulse", "injector_connector", "injector_pulse")


def went_well(check, finding):
    """Whether this finding of ``check`` is the one of a sound part or engine."""
    well = {"wiggle": ["steady"]}.get(check) or BY_KEY[check]["well"] or findings_of(check)[:1]
    return finding in well


def finding_label(check, finding):
    """The finding in words."""
    found = _finding(check, finding)
    return phrase(found["label"]) if found else finding or ""


def finding_means(check, finding):
    """What the finding speaks for, in a sentence; empty where this version does not know it."""
    found = _finding(check, finding)
    return phrase(found["means"]) if found else ""


def _finding(check, finding):
    for entry in BY_KEY[check]["findings"]:
        if entry["value"] == finding:
            return entry
    return None
