"""What the owner of a car is told, who knows nothing of engines: sentences for checks, findings, parts and faults.

Data, put through ``phrase`` where it is used (``told_plainly``). ``{where}`` is "cylinder 3" or "cylinders 1 and 4".
"""

# What was noticed.
SYMPTOMS = {
    "shakes": "shaking",
    "no_power": "loss of power",
    "stalls": "stalling",
    "hard_start": "hard starting",
    "jerks": "jerking",
    "smell": "a smell of fuel",
    "noise": "noise",
    "thirsty": "more fuel used",
}
CIRCUMSTANCES = {
    "idle": "with the engine idling",
    "load": "when accelerating",
    "cold": "with a cold engine",
    "hot": "with a warm engine",
    "wet": "in wet weather",
    "dry": "in dry weather",
    "always": "all the time",
    "sometimes": "now and then",
}
LAMP = {
    "off": "The warning lamp was off.",
    "steady": "The warning lamp was on.",
    "flashing": "The warning lamp was flashing.",
    "flashed": "The warning lamp flashed for a while and then stayed on.",
}

# What we did, by check.
CHECKS = {
    "connector_look": "We looked at the electrical connectors of the ignition coils.",
    "wiggle": "We moved the wiring while the engine ran.",
    "spray": "We sprayed water on the ignition while the engine ran.",
    "drop": "We switched the cylinders off one by one while the engine ran.",
    "misfire_counts": "We read how often each cylinder misfired, as the car counts it.",
    "coil_look": "We looked at the ignition coils.",
    "boot_resistance": "We measured the leads that carry the spark.",
    "plug_look": "We took spark plugs out and looked at them.",
    "plug_gap": "We measured the gap of the spark plugs.",
    "spark": "We tested how strong the spark is.",
    "coil_supply": "We measured the power supply of the ignition coils.",
    "coil_pulse": "We measured the signal that fires the ignition coils.",
    "coil_primary": "We measured the windings of the ignition coils.",
    "coil_secondary": "We measured the windings of the ignition coils.",
    "injector_connector": "We looked at the electrical connectors of the fuel injectors.",
    "injector_sound": "We listened to the fuel injectors.",
    "injector_pulse": "We measured the signal that opens the fuel injectors.",
    "injector_resistance": "We measured the windings of the fuel injectors.",
    "injector_balance": "We compared how much fuel the injectors let through.",
    "compression": "We measured how much pressure each cylinder builds up.",
    "compression_wet": "We measured that pressure again with a little oil in the cylinder.",
    "leak_down": "We measured how much air leaks out of the cylinder.",
    "runner_leak": "We looked for air leaks at the intake with smoke.",
    "runner_gas": "We looked for air leaks at the intake with gas.",
    "air_leak": "We looked for air leaks at the intake with smoke.",
    "intake_gas": "We looked for air leaks at the intake with gas.",
    "fuel_trim": "We read how the car corrects its fuel mixture.",
    "fuel_pressure": "We measured the fuel pressure.",
    "fuel_level": "We looked how much fuel is in the tank.",
    "fuel_leak": "We looked for leaking fuel.",
    "cap_look": "We looked into the cap of the distributor.",
    "rpm_effect": "We let the engine run faster.",
    "voltage": "We measured the voltage of the battery.",
}

# The same where it was made at one place only.
ONE = {
    "connector_look": "We looked at the electrical connector of an ignition coil.",
    "coil_look": "We looked at an ignition coil.",
    "plug_look": "We took a spark plug out and looked at it.",
    "plug_gap": "We measured the gap of a spark plug.",
    "injector_connector": "We looked at the electrical connector of a fuel injector.",
    "injector_sound": "We listened to a fuel injector.",
}

# A test that is made once more.
AGAIN = {"drop": "After that we switched the cylinders off again."}

# What a code says, by its kind, where its own words are those of the trade.
CODES = {
    "coil_circuit": "An electrical fault of an ignition coil",
    "injector_circuit": "An electrical fault of a fuel injector",
    "lean": "Too little fuel for the air",
    "rich": "Too much fuel for the air",
}

# What else a code says to its owner, and what follows from it, by its kind. Facts of the trade, from memory; common
# practice, no source.
CODE_MEANS = {
    "catalyst": "The catalyst cleans the exhaust less than it should. The car drives on, but may fail its emissions "
    "inspection.",
    "vapour": "Fuel vapor may escape from the tank system, often at the filler cap. The car drives on, but the "
    "warning lamp comes on for it.",
    "purge": "The valve that feeds fuel vapor to the engine does not work as it should. It may idle badly, above all "
    "after filling up.",
    "oxygen_before": "A sensor in the exhaust that sets the fuel mixture is at fault or sees a wrong mixture. The car "
    "may use more fuel.",
    "oxygen_after": "A sensor behind the catalyst is at fault. The car drives as before, but no longer watches its "
    "catalyst.",
    "oxygen_heater": "The heater of a sensor in the exhaust is at fault. After a cold start the car uses more fuel.",
    "thermostat": "The engine stays too cold, mostly for a thermostat that hangs open. It uses more fuel, and the "
    "cabin warms up slowly.",
    "coolant": "The sensor of the engine's temperature is at fault. It may start badly and use more fuel.",
    "recirculation_low": "Too little exhaust gas is led back into the engine. It may knock, and its exhaust is less "
    "clean.",
    "secondary_air": "The pump that helps the catalyst to warm up does not work as it should. The exhaust is less "
    "clean after a cold start.",
    "knock": "The sensor that hears the engine knock is at fault. The engine may have less power and use more fuel.",
}

# What we found, by finding, or by check and finding where the same finding means another thing.
FINDINGS = {
    "good": "in order",
    "in_range": "as it should be",
    "out_of_range": "not as it should be",
    "open": "broken inside",
    "unreadable": "cannot be measured",
    "cracked": "cracked",
    "low": "too low",
    "high": "too high",
    "present": "as it should be",
    "absent": "missing",
    "tight": "none found",
    "leaks": "a leak was found",
    "drop/none": "no difference, so no power comes from there",
    "drop/small": "little difference, so little power comes from there",
    "drop/full": "engine speed fell, as it should",
    "misfire_counts/none": "no misfires",
    "misfire_counts/some": "some misfires",
    "misfire_counts/many": "many misfires",
    "wiggle/misses": "the engine stumbled when it was moved",
    "wiggle/runs": "the engine ran well when it was moved",
    "wiggle/steady": "no change",
    "spray/misses": "the engine stumbled or sparked when it was wetted",
    "spray/steady": "no change",
    "connector_look/latch_broken": "its catch is broken",
    "connector_look/loose": "loose",
    "connector_look/corroded": "corroded",
    "connector_look/pin_back": "a pin has slipped back",
    "connector_look/spread": "a pin makes poor contact",
    "connector_look/oily": "oil in it",
    "connector_look/chafed": "a wire is chafed",
    "injector_connector/latch_broken": "its catch is broken",
    "injector_connector/loose": "loose",
    "injector_connector/corroded": "corroded",
    "injector_connector/pin_back": "a pin has slipped back",
    "injector_connector/chafed": "a wire is chafed",
    "coil_look/tracked": "burnt marks where the spark escaped",
    "coil_look/swollen": "swollen",
    "coil_look/oil_in_well": "oil around it",
    "cap_look/tracked": "burnt marks where the spark escaped",
    "cap_look/wet": "damp inside",
    "cap_look/burnt": "its contacts are burnt",
    "plug_look/worn": "worn",
    "plug_look/wet": "wet with fuel",
    "plug_look/oiled": "oily",
    "plug_look/sooty": "black with soot",
    "plug_look/ash": "white deposits",
    "plug_look/tracked": "burnt marks on its outside where the spark escaped",
    "plug_gap/wide": "too wide",
    "plug_gap/narrow": "too narrow",
    "spark/strong": "strong and steady",
    "spark/weak": "weak",
    "spark/none": "no spark",
    "coil_supply/none": "missing",
    "injector_sound/clicks": "working",
    "injector_sound/faint": "hardly working",
    "injector_sound/silent": "not working",
    "injector_balance/even": "like the others",
    "injector_balance/less": "less than the others",
    "injector_balance/more": "more than the others",
    "compression/none": "none at all",
    "compression_wet/rises": "it rose clearly",
    "compression_wet/same": "it hardly rose",
    "leak_down/good": "very little",
    "leak_down/worn": "some",
    "leak_down/high": "too much",
    "leak_down/intake": "too much, through the intake, so an intake valve leaks",
    "leak_down/exhaust": "too much, through the exhaust, so an exhaust valve leaks",
    "leak_down/crankcase": "too much, past the piston, so its rings or the cylinder wall are worn",
    "leak_down/across": "too much, into the next cylinder or the coolant, so the head gasket leaks or there is a crack",
    "runner_gas/steady": "none found",
    "runner_gas/rises": "a leak was found",
    "intake_gas/steady": "none found",
    "intake_gas/rises": "a leak was found",
    "fuel_trim/normal": "hardly at all, as it should be",
    "fuel_trim/lean_idle": "it has to add fuel with the engine idling",
    "fuel_trim/lean_both": "it has to add fuel all the time",
    "fuel_trim/lean_load": "it has to add fuel at speed",
    "fuel_trim/rich": "it has to hold fuel back",
    "fuel_level/enough": "enough",
    "fuel_level/low": "nearly none",
    "fuel_leak/dry": "none found",
    "fuel_leak/wet": "fuel leaked",
    "rpm_effect/smooth": "it ran smoothly there",
    "rpm_effect/same": "it misfired just the same",
    "rpm_effect/worse": "it misfired more",
    "voltage/too_high": "too high",
}

# Fault of a component: what is wrong, and what that means.
FAULTS = {
    "coil": (
        "The ignition coil of {where} has failed.",
        "The coil makes the spark that burns the fuel. Without it the cylinder makes no power, and the engine shakes.",
    ),
    "boot": (
        "The boot or lead to the spark plug of {where} has failed.",
        "The spark did not get to the plug as it should, so the fuel was not burnt.",
    ),
    "plug": (
        "The spark plug of {where} has failed.",
        "The spark plug lights the fuel. When it fails, the cylinder does not work properly and the engine shakes.",
    ),
    "injector": (
        "The fuel injector of {where} has failed.",
        "The injector sprays in the fuel. Without the right amount the cylinder does not work as it should.",
    ),
    "coil_connector": (
        "The electrical connector at the ignition coil of {where} makes poor contact.",
        "With poor contact the spark fails, now and then or for good, and the engine shakes.",
    ),
    "coil_wiring": (
        "The wiring of the ignition coil of {where} has failed.",
        "Without power or signal the coil makes no spark, and the engine shakes.",
    ),
    "injector_circuit": (
        "The wiring of the fuel injector of {where} has failed.",
        "Without its signal the injector sprays no fuel, and the cylinder makes no power.",
    ),
    "compression": (
        "{where} does not hold its pressure.",
        "The fuel cannot burn well there. That is wear or damage inside the engine.",
    ),
    "gasket": (
        "The cylinder head gasket leaks between {where}.",
        "The gasket keeps the cylinders apart. Where it leaks, they lose their pressure.",
    ),
    "runner": (
        "Air leaks into the intake at {where}.",
        "The extra air makes the mixture too weak to burn well there.",
    ),
    "unlisted": ("Something at {where} does not work as it should.", ""),
    "coil_supply": (
        "The power supply of the ignition coils has failed.",
        "Without it the coils make no spark.",
    ),
    "fuel_delivery": ("The engine does not get enough fuel.", "All cylinders run badly for want of fuel."),
    "unmetered_air": (
        "Air leaks into the intake.",
        "The engine draws air that it does not measure, so the mixture is too weak to burn well.",
    ),
    "recirculation": (
        "A valve that leads gas into the intake is stuck open.",
        "The gas spoils the mixture, so that it burns badly.",
    ),
    "bad_fuel": ("The fuel is bad.", "It does not burn as it should."),
    "cam_timing": ("The valves open at the wrong time.", "The engine cannot breathe as it should."),
    "exhaust": ("The exhaust is blocked.", "The engine cannot get rid of its exhaust gas."),
    "system_voltage": ("The voltage of the car is too low.", "The ignition gets too little power for a good spark."),
    "crank_signal": (
        "A sensor gives the engine a false signal.",
        "It made the car report misfires that were none.",
    ),
    "crossed": (
        "Leads or connectors of the ignition were mixed up.",
        "The spark came to the wrong cylinders.",
    ),
    "cap": (
        "The distributor cap has failed.",
        "The distributor shares the spark out to the cylinders. If its cap is cracked or damp, the spark goes astray.",
    ),
    "rotor": (
        "The rotor of the distributor has failed.",
        "The rotor hands the spark to one cylinder after the other.",
    ),
}

# Damage that was seen (``seen``), by check and finding: more exact than the fault above.
DAMAGE = {
    "connector_look/latch_broken": "The catch of the electrical connector at the ignition coil of {where} is broken.",
    "connector_look/loose": "The electrical connector at the ignition coil of {where} was loose.",
    "connector_look/corroded": "The electrical connector at the ignition coil of {where} is corroded.",
    "connector_look/pin_back": "A pin in the electrical connector at the ignition coil of {where} has slipped back.",
    "connector_look/spread": "A pin in the electrical connector at the ignition coil of {where} makes poor contact.",
    "connector_look/oily": "There is oil in the electrical connector at the ignition coil of {where}.",
    "connector_look/chafed": "A wire of the ignition coil of {where} is chafed.",
    "coil_look/cracked": "The ignition coil of {where} is cracked.",
    "coil_look/swollen": "The ignition coil of {where} is swollen.",
    "coil_look/tracked": "The spark has burnt a track along the boot of the ignition coil of {where}.",
    "coil_look/oil_in_well": "Oil has got to the ignition coil of {where}.",
    "plug_look/worn": "The spark plug of {where} is worn.",
    "plug_look/oiled": "The spark plug of {where} is fouled with oil.",
    "plug_look/sooty": "The spark plug of {where} is black with soot.",
    "plug_look/ash": "The spark plug of {where} is coated with deposits.",
    "plug_look/cracked": "The insulator of the spark plug of {where} is cracked.",
    "plug_look/tracked": "The spark has burnt a track down the outside of the spark plug of {where}.",
    "injector_connector/latch_broken": "The catch of the electrical connector at the injector of {where} is broken.",
    "injector_connector/loose": "The electrical connector at the injector of {where} was loose.",
    "injector_connector/corroded": "The electrical connector at the injector of {where} is corroded.",
    "injector_connector/pin_back": "A pin in the electrical connector at the injector of {where} has slipped back.",
    "injector_connector/chafed": "A wire of the injector of {where} is chafed.",
}

# What lets the pressure of a cylinder out, by where its air was heard.
WAYS_OUT = {
    "intake": "{where} does not hold its pressure: an intake valve leaks.",
    "exhaust": "{where} does not hold its pressure: an exhaust valve leaks.",
    "crankcase": "{where} does not hold its pressure: it gets past the piston, at its rings or the cylinder wall.",
    "across": "{where} does not hold its pressure: the cylinder head gasket leaks, or there is a crack.",
}

# What was done.
REPLACED = {
    "coil": "The ignition coil of {where} was replaced.",
    "boot": "The boot between ignition coil and spark plug of {where} was replaced.",
    "plug": "The spark plug of {where} was replaced.",
    "injector": "The fuel injector of {where} was replaced.",
}
WORKED_ON = {
    "coil": "the ignition coil of {where}",
    "boot": "the boot between ignition coil and spark plug of {where}",
    "plug": "the spark plug of {where}",
    "injector": "the fuel injector of {where}",
    "coil_connector": "the electrical connector at the ignition coil of {where}",
    "coil_wiring": "the wiring of the ignition coil of {where}",
    "injector_circuit": "the wiring of the fuel injector of {where}",
    "compression": "the inside of the engine at {where}",
    "gasket": "the cylinder head gasket",
    "runner": "the intake at {where}",
    "unlisted": "something at {where}",
    "coil_supply": "the power supply of the ignition coils",
    "fuel_delivery": "the fuel supply",
    "unmetered_air": "an air leak at the intake",
    "recirculation": "a valve at the intake",
    "bad_fuel": "the fuel",
    "cam_timing": "the timing of the valves",
    "exhaust": "the exhaust",
    "system_voltage": "the power supply of the car",
    "crank_signal": "a sensor of the engine",
    "crossed": "the leads and connectors of the ignition",
    "cap": "the distributor cap",
    "rotor": "the rotor of the distributor",
}
WORK = {
    "replaced": "Replaced: {what}.",
    "mended": "Repaired: {what}.",
    "cleaned": "Cleaned and connected anew: {what}.",
    "other": "Worked on: {what}.",
}

# Why something is left for later (``entries.LEFT_WHY``).
LEFT_WHY = {
    "no_reader": "No code reader was at hand that day.",
    "owner": "As you wished.",
    "declined": "As you wished.",
    "no_time": "There was no time for it that day.",
}

# What was only cleaned or pressed on again.
CLEANED = "Cleaned or pressed on again, and may fail again: {what}."

# What the last test says of the cylinders where nothing was repaired, by finding of a drop test.
STILL = {
    "none": "By the last test no power comes from {where}.",
    "small": "By the last test little power comes from {where}.",
}

# Parts that were exchanged to see whether the fault goes along.
EXCHANGED = {
    "coil": "We exchanged ignition coils between {where}, to see whether the fault goes along.",
    "boot": "We exchanged the boots of ignition coils between {where}, to see whether the fault goes along.",
    "plug": "We exchanged spark plugs between {where}, to see whether the fault goes along.",
    "injector": "We exchanged fuel injectors between {where}, to see whether the fault goes along.",
}

# Parts that come back to where they were when the car came; {where}: where they are then.
PUT_BACK = {
    "coil": "We put the ignition coils back to where they belong: {where}.",
    "boot": "We put the boots of the ignition coils back to where they belong: {where}.",
    "plug": "We put the spark plugs back to where they belong: {where}.",
    "injector": "We put the fuel injectors back to where they belong: {where}.",
}


def told_plainly():
    """Every text of this module, for the catalogues."""
    tables = (
        SYMPTOMS,
        CIRCUMSTANCES,
        LAMP,
        CHECKS,
        ONE,
        AGAIN,
        CODES,
        CODE_MEANS,
        FINDINGS,
        DAMAGE,
        WAYS_OUT,
        REPLACED,
        WORKED_ON,
        WORK,
        EXCHANGED,
        PUT_BACK,
        STILL,
        LEFT_WHY,
    )
    texts = [text for table in tables for text in sorted(table.values())]
    return texts + [CLEANED] + [text for pair in sorted(FAULTS.values()) for text in pair if text]
