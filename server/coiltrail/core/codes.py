"""Trouble codes: grammar, two-byte form, meaning, and what a code has to do with a misfire.

Grammar and ranges: SAE J2012 / ISO 15031-6, from memory. A code is a letter (P powertrain, C chassis, B body,
U network), a digit 0 to 3 and three hexadecimal digits.
"""

from . import code_table, plaintext
from .tongue import phrase

HEX = plaintext.DIGITS + "ABCDEF"
SYSTEMS = "PCBU"  # in the order of the two top bits

# What a kind of code has to do with a misfire, and why.
KINDS = {
    "misfire": ("bears", "It is the miss itself, named cylinder by cylinder."),
    "misfire_random": ("bears", "The miss is on several cylinders or wanders: look first at what they share."),
    "misfire_one": ("bears", "One cylinder misses; a drop test says which."),
    "misfire_start": ("bears", "The miss comes right after the start: think of what differs when cold or standing."),
    "misfire_cut": ("bears", "The controller cut a cylinder's fuel to spare the catalyst: find why it missed before."),
    "coil_circuit": ("bears", "A coil, its wiring or its driver is at fault electrically: its cylinders miss."),
    "injector_circuit": (
        "bears",
        "An injector, its wiring or its driver is at fault electrically: its cylinder misses.",
    ),
    "injector_supply": ("bears", "Several injectors share this supply: their cylinders miss together."),
    "injector_flow": ("bears", "A cylinder with too little or too much fuel misses."),
    "imbalance": ("bears", "A cylinder works unlike the rest: air leak, injector, spark or compression there."),
    "lean": (
        "bears",
        "Too lean makes cylinders miss; a miss can also read as lean, so look for air leaks and fuel first.",
    ),
    "rich": ("bears", "Too rich fouls plugs and makes cylinders miss."),
    "trim": ("bears", "The mixture is off beyond correction: cylinders miss."),
    "fuel_level": ("bears", "The tank was nearly empty when it missed: settle the fuel level first."),
    "fuel_pressure": ("bears", "Wrong fuel pressure makes cylinders miss, under load first."),
    "fuel_pump": ("bears", "Without fuel delivery cylinders miss, under load first."),
    "fuel_quality": ("bears", "The wrong fuel, or a sensor that misjudges it, upsets every cylinder."),
    "intake_leak": ("bears", "Air that was not measured makes cylinders lean, most at idle."),
    "purge": ("bears", "A purge valve that hangs open upsets the mixture at idle."),
    "recirculation": ("bears", "Exhaust gas where none belongs makes every cylinder stumble at idle."),
    "cam_timing": ("bears", "Valves that open at the wrong time make cylinders miss."),
    "valve_control": ("bears", "A valve gear that does not follow changes how cylinders fill."),
    "cylinder_cut": ("bears", "A cylinder shut off at the wrong time is a dead cylinder."),
    "supply_voltage": ("bears", "Low or broken supply weakens every spark and injector: measure it first."),
    "engine_hot": ("bears", "Overheating can open a head gasket, and a leaking gasket makes a miss."),
    "runner": ("mimics", "Flaps that hang change idle and pull, without any cylinder missing."),
    "air_flow": ("mimics", "A false air reading upsets the mixture of all cylinders alike."),
    "air_temperature": ("mimics", "A false air temperature shifts mixture and spark a little."),
    "coolant": ("mimics", "A false coolant temperature makes the engine run rich or lean, mostly cold."),
    "oxygen_before": ("mimics", "This sensor steers the mixture; a miss also upsets its signal."),
    "throttle": ("mimics", "Jerks, limited power or hunting feel like a miss but are not one."),
    "idle": ("mimics", "An unsteady idle feels like a miss; a drop test tells them apart."),
    "crank_signal": (
        "mimics",
        "A crank signal that stumbles counts misfires that are none, and can stop spark and fuel.",
    ),
    "crank_learned": ("mimics", "Without the learned wheel the counters may blame a good cylinder."),
    "cam_signal": ("mimics", "Without it spark and fuel may come at the wrong time; long cranking is usual."),
    "rough_road": ("mimics", "Without it a bad road counts as misfires."),
    "knock": ("mimics", "Late spark against knocking feels flat, like a weak cylinder."),
    "boost": ("mimics", "Wrong boost feels like lost power on all cylinders."),
    "exhaust": ("mimics", "A blocked exhaust takes power from all cylinders of its bank."),
    "sensor_supply": ("mimics", "Several sensors share this supply and go wrong together."),
    "control_unit": ("mimics", "A controller at fault can do anything: look at its supply and grounds first."),
    "charging": ("mimics", "Low voltage weakens every spark: measure it while the engine runs."),
    "converter": ("mimics", "A slipping converter lock-up shudders like a miss at steady speed."),
    "catalyst": ("apart", "Often the consequence of a long miss: read again after the repair."),
    "oxygen_after": ("apart", "It watches the catalyst and hardly steers the engine."),
    "oxygen_heater": ("apart", "Without its heater the sensor wakes up late; the miss has another cause."),
    "recirculation_low": ("apart", "Too little recirculation makes no miss; it may knock."),
    "vapour": ("apart", "The tank's vapor system; fuel smell and a lamp, no miss."),
    "fuel_gauge": ("apart", "The gauge only; but do not trust it while looking for an empty tank."),
    "secondary_air": ("apart", "It works only after a cold start, behind the cylinders."),
    "thermostat": ("apart", "Cold running costs fuel; it makes no single cylinder miss."),
    "oil_pressure": ("apart", "Not the miss; but check the oil before the engine runs on."),
    "oil_temperature": ("apart", "Not the miss; check the oil level."),
    "speed": ("apart", "Road speed; it makes no cylinder miss."),
    "fan": ("apart", "Cooling; watch the temperature during the work."),
    "glow": ("apart", "Glow plugs of a compression-ignition engine, which has no coils."),
    "transmission": ("apart", "The transmission; a hard shift is no miss."),
    "hybrid": ("apart", "High voltage: leave it to people trained for it."),
    "network": ("apart", "The controllers' talk; low voltage at start often leaves such codes."),
    "body": ("apart", "Body equipment."),
    "chassis": ("apart", "Brakes, steering, suspension."),
    "other": ("apart", "Nothing that makes a cylinder miss."),
    "ignition_group": ("bears", "By its number it concerns ignition; it is not in our list, so look it up."),
    "fuel_group": ("mimics", "By its number it concerns fuel or air; it is not in our list, so look it up."),
    "maker_ignition": (
        "bears",
        "Defined by the maker; such numbers are used for ignition. Look it up before anything is set aside.",
    ),
    "maker_fuel": ("mimics", "Defined by the maker; such numbers are used for fuel and air. Look it up."),
    "maker_other": ("apart", "Defined by the maker. Look it up."),
}

# Of a miss on several cylinders or at random, where one cylinder alone is named beside it. Common practice, no source.
RANDOM_BESIDE_ONE = (
    "Beside {code} it is no second fault by itself: the controller saw misses before it could name cylinder {n}, "
    "or another cylinder missed along with it. Start at cylinder {n}."
)

# Beginning of a standard code -> what its group is about, and the kind taken where the table has no line.
_STANDARD_GROUPS = (
    ("P00", "Fuel, air and emission controls", "fuel_group"),
    ("P01", "Fuel and air metering", "fuel_group"),
    ("P02", "Fuel and air metering, injection", "fuel_group"),
    ("P03", "Ignition and misfire", "ignition_group"),
    ("P04", "Emission controls beside the engine", "other"),
    ("P05", "Road speed, idle and other inputs", "other"),
    ("P06", "Controllers and their outputs", "other"),
    ("P0A P0B P0C P0D P0E P0F", "Electric drive", "hybrid"),
    ("P07 P08 P09 P27 P28 P29", "Transmission", "transmission"),
    ("P20 P21 P22", "Fuel, air and emission controls", "fuel_group"),
    ("P23", "Ignition", "ignition_group"),
    ("P24", "Emission controls beside the engine", "other"),
    ("P25", "Supply and other inputs", "other"),
    ("P26", "Controllers and their outputs", "other"),
    ("P2A", "Oxygen sensors", "fuel_group"),
    ("P2", "Engine and drive, not yet divided", "other"),
    ("P34", "Cylinder shut-off", "cylinder_cut"),
    ("P3", "Engine and drive, not yet divided", "other"),
    ("B", "Body", "body"),
    ("C", "Chassis", "chassis"),
    ("U", "Network of the controllers", "network"),
)
# The makers follow the standard's third digit by habit (common practice, no source).
_MAKER_GROUPS = (
    ("P13 P33", "Ignition by the maker's own list", "maker_ignition"),
    ("P10 P11 P12 P30 P31 P32", "Fuel and air by the maker's own list", "maker_fuel"),
    ("P", "Engine or transmission by the maker's own list", "maker_other"),
    ("B", "Body by the maker's own list", "maker_other"),
    ("C", "Chassis by the maker's own list", "maker_other"),
    ("U", "Network by the maker's own list", "maker_other"),
)

# Characters that a hand or an eye takes for another, by where they stand in a code: the letter, the digit from 0 to 3,
# the rest. Common practice, no source.
_FOR_LETTER = {"8": "B", "R": "P", "V": "U", "G": "C", "6": "C"}
_FOR_DIGIT = {"O": "0", "Q": "0", "D": "0", "I": "1", "L": "1", "Z": "2"}
_FOR_HEX = {"O": "0", "Q": "0", "I": "1", "L": "1", "Z": "2", "S": "5", "G": "6", "T": "7"}
_HEX_TOO = {"B": "8", "D": "0"}  # stand for themselves where the code is one that we know

_unfolded = {}  # head of three characters -> its codes


def problem_of(code):
    """What makes ``code`` impossible, in words, or None. Expects capitals."""
    if not isinstance(code, str) or len(code) != 5:
        return phrase("a code has a letter and four characters")
    if code[0] not in SYSTEMS:
        return phrase("the letter must be P, C, B or U")
    if code[1] not in "0123":
        return phrase("after the letter comes a figure from 0 to 3")
    for char in code[2:]:
        if char not in HEX:
            return phrase("{char} is not one of 0-9 and A-F", char=char)
    return None


def likely(text):
    """The code that ``text`` (capitals) is likely meant to be, by characters that look alike, or None.

    "PO304" is likely P0304. A code that can be is put in doubt only where it is not in our list and the other one is.
    """
    if len(text) != 5:
        return None
    if problem_of(text) is None:
        other = text[:2] + "".join([_HEX_TOO.get(char, char) for char in text[2:]])
        return other if _row(text) is None and _row(other) else None
    other = _FOR_LETTER.get(text[0], text[0]) + _FOR_DIGIT.get(text[1], text[1])
    other += "".join([_FOR_HEX.get(char, char) for char in text[2:]])
    return other if problem_of(other) is None else None


def to_word(code):
    """The two-byte form of a code as an integer: to_word("P0301") is 0x0301, to_word("U0100") is 0xC100."""
    _must_be_code(code)
    return SYSTEMS.index(code[0]) << 14 | int(code[1:], 16)


def from_word(word):
    """The code of a two-byte form (0 to 65535)."""
    return "%s%d%03X" % (SYSTEMS[word >> 14], word >> 12 & 3, word & 0xFFF)


def defined_by(code):
    """Who gives a code its meaning: "standard", "maker", "reserved", or "edition" where editions differ."""
    _must_be_code(code)
    head = code[:2]
    if head == "P3":
        return "standard" if code[2] in "456789" else "reserved" if code[2] in "ABCDEF" else "maker"
    if head == "U3":
        return "edition"
    if head in ("B3", "C3"):
        return "reserved"
    return "standard" if head in ("P0", "P2", "B0", "C0", "U0") else "maker"


def meaning(code):
    """What a code says: ``{"code", "text", "group", "own_words"}``.

    ``own_words`` is false where only the group is known; ``text`` then says so.
    Raises ValueError for a code that cannot be.
    """
    group = _group(code)[0]
    row = _row(code)
    if row:
        return {"code": code, "text": code_table.spoken(*row[3]), "group": group, "own_words": True}
    owner = defined_by(code)
    if owner == "maker":
        text = phrase("{group}: look it up in the maker's service information", group=group)
    elif owner == "standard":
        text = phrase("{group}: this number is not in our list", group=group)
    else:
        text = phrase("{group}: a reserved number, or one that only some editions of the standard know", group=group)
    return {"code": code, "text": text, "group": group, "own_words": False}


def kind_of(code):
    """The kind of a code, a key of KINDS, for whoever reasons about it. Raises ValueError for an impossible code."""
    row = _row(code)
    return row[1] if row else _group(code)[1]


def cylinder_of(code):
    """The number a code names: a cylinder's, or for "coil_circuit" the coil position's (A is 1). None without one."""
    row = _row(code)
    return row[2] if row else None


def bank_of(code):
    """The bank (1 or 2) a code names, or None."""
    row = _row(code)
    if row:
        for bank in (1, 2):
            if "bank %d" % bank in row[0]:
                return bank
    return None


def bearing(code, beside=()):
    """What a code has to do with a misfire: ``{"bearing", "reason"}``.

    "bears": speaks of the miss or of what makes cylinders miss. "mimics": may feel like a miss or be counted as
    one. "apart": stands apart and is left for later. ``beside``: other codes that are there.
    """
    how, reason = KINDS[kind_of(code)]
    if kind_of(code) == "misfire_random":
        named = sorted({other for other in beside if problem_of(other) is None and kind_of(other) == "misfire"})
        if len(named) == 1:
            return {"bearing": how, "reason": phrase(RANDOM_BESIDE_ONE, code=named[0], n=cylinder_of(named[0]))}
    return {"bearing": how, "reason": phrase(reason)}


def explain(code, beside=(), cylinders=None):
    """Everything a screen shows of a code: meaning, bearing and what is odd about it in one dict.

    ``beside``: other codes that are there. ``cylinders``: how many the engine has, where that is known.
    """
    told = meaning(code)
    told.update(bearing(code, beside))
    named = cylinder_of(code)
    beyond = cylinders and named and named > cylinders
    told["doubt"] = (
        phrase(
            "This engine has {n} cylinder: read it once more.|This engine has {n} cylinders: read it once more.",
            n=cylinders,
        )
        if beyond
        else ""
    )
    return told


def find_codes(text):
    """Codes in any pasted text; see pasted_codes.find_codes."""
    from . import pasted_codes

    return pasted_codes.find_codes(text)


def from_bytes(hex_text):
    """Codes and misfire counts in raw answers of a car; see raw_answers.from_bytes."""
    from . import raw_answers

    return raw_answers.from_bytes(hex_text)


def _must_be_code(code):
    problem = problem_of(code)
    if problem:
        raise ValueError("%s: %s" % (str(code)[:20], problem))


def _row(code):
    _must_be_code(code)
    head = code[:3]
    if head not in _unfolded:
        _unfolded[head] = code_table.unfold(head)
    return _unfolded[head].get(code)


def _group(code):
    maker = defined_by(code) == "maker"
    for heads, words, kind in _MAKER_GROUPS if maker else _STANDARD_GROUPS:
        for head in heads.split(" "):
            if code.startswith(head):
                return phrase(words), kind
