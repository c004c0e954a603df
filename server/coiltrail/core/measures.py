"""Units, corrections and tolerance verdicts.

Values are kept in SI (``si``) with what was typed (``typed``, text) and the unit it was typed in
(``unit``): a *quantity* is ``{"si", "typed", "unit"}``. si = typed * factor + offset.
"""

import math

from . import canonical, plaintext
from .tongue import joined, phrase

SP811 = "NIST SP 811, appendix B"
SI = "SI Brochure, 9th edition"
EXACT_INCH = "exact: 1 in = 25.4 mm (international yard and pound agreement, 1959)"


def _unit(unit, factor, decimals, origin, offset=0.0):
    return {"unit": unit, "factor": factor, "offset": offset, "decimals": decimals, "origin": origin}


# Dimension -> units; the first is what a field begins with (BEGINS says where another). ``decimals``: how many are
# shown after a conversion (origin: common practice, no source).
UNITS = {
    "torque": [
        _unit("N·m", 1.0, 1, SI),
        _unit("lbf·ft", 1.3558179483314004, 1, SP811),
        _unit("lbf·in", 0.1129848290276167, 0, SP811),
        _unit("kgf·m", 9.80665, 2, SP811),
    ],
    "pressure": [
        _unit("kPa", 1000.0, 0, SI),
        _unit("bar", 100000.0, 2, SP811),
        _unit("psi", 6894.757293168361, 1, SP811),
        _unit("inHg", 3386.389, 1, SP811 + " (conventional)"),
    ],
    "resistance": [_unit("Ω", 1.0, 2, SI), _unit("kΩ", 1000.0, 2, SI)],
    "temperature": [
        _unit("°C", 1.0, 0, SI, 273.15),
        _unit("°F", 5.0 / 9.0, 0, SP811 + ", K = (°F + 459.67)/1.8", 459.67 * 5.0 / 9.0),
    ],
    "distance": [_unit("km", 1000.0, 0, SI), _unit("mi", 1609.344, 0, EXACT_INCH)],
    "length": [_unit("m", 1.0, 0, SI), _unit("ft", 0.3048, 0, EXACT_INCH)],
    "gap": [_unit("mm", 0.001, 2, SI), _unit("in", 0.0254, 3, EXACT_INCH)],
    "speed": [_unit("km/h", 1.0 / 3.6, 0, SI), _unit("mph", 0.44704, 0, EXACT_INCH)],
    "voltage": [_unit("V", 1.0, 1, SI)],
    "acceleration": [_unit("m/s²", 1.0, 2, SI)],
    "share": [_unit("%", 0.01, 0, SI)],
}
# A reading of a check may be of any dimension; no unit stands in two of them.
UNITS["any"] = [
    unit
    for dimension in (
        "resistance",
        "pressure",
        "voltage",
        "torque",
        "temperature",
        "gap",
        "share",
        "distance",
        "length",
        "speed",
        "acceleration",
    )
    for unit in UNITS[dimension]
]

CLDR = "measurement systems of Unicode CLDR, UTS #35 part 6"


def _begins(dimension, unit, regions, origin):
    return {"dimension": dimension, "unit": unit, "regions": regions.split(), "origin": origin}


# Regions (ISO 3166) where a field begins with another unit than the first, as long as nobody chose one.
BEGINS = [
    _begins("distance", "mi", "US LR MM GB", CLDR),
    _begins("speed", "mph", "US LR MM GB", CLDR),
    _begins("length", "ft", "US LR MM", CLDR),
    _begins("gap", "in", "US LR MM", CLDR),
    _begins("torque", "lbf·ft", "US LR MM", CLDR),
    _begins("pressure", "psi", "US LR MM", CLDR),
    _begins("pressure", "psi", "GB", "common practice, no source"),
    _begins("temperature", "°F", "US BS BZ KY PR PW", CLDR),
]

BY_UNIT = {unit["unit"]: unit for unit in UNITS["any"]}

# How units are typed, without spaces, dots, hyphens and capitals.
_SPELLINGS = {
    "N·m": "nm newtonmeter newtonmetre",
    "lbf·ft": "lbfft ftlb ftlbs lbft lbsft lbfoot footpound footpounds ftlbf",
    "lbf·in": "lbfin inlb inlbs lbin lbsin inchpound inchpounds inlbf",
    "kgf·m": "kgfm kgm mkg mkp kpm",
    "kPa": "kpa",
    "bar": "bar",
    "psi": "psi psig lbs/in²",
    "inHg": "inhg",
    "Ω": "ω ohm ohms",
    "kΩ": "kω k kohm kohms",
    "°C": "°c c degc",
    "°F": "°f f degf",
    "km": "km kms kilometers kilometres",
    "mi": "mi mile miles",
    "m": "m metre metres meter meters",
    "ft": "ft foot feet '",
    "mm": "mm",
    "in": 'in inch inches "',
    "km/h": "km/h kmh kph",
    "mph": "mph mi/h",
    "V": "v volt volts",
    "m/s²": "m/s² m/s2 ms²",
    "%": "% percent",
}
_SPELLED = {}
for _name in _SPELLINGS:  # in any order
    for _spelling in _SPELLINGS[_name].split(" "):
        _SPELLED[_spelling] = _name


def to_si(value, unit):
    """``value`` in ``unit`` as SI. Raises ValueError for a unit not in UNITS."""
    row = _row(unit)
    return value * row["factor"] + row["offset"]


def from_si(si, unit):
    """An SI value in ``unit``. Raises ValueError for a unit not in UNITS."""
    row = _row(unit)
    return (si - row["offset"]) / row["factor"]


def parse_quantity(text, dimension, unit=None):
    """A quantity from what was typed: ``"6 ft-lb"``, ``"8,1"``, ``"92,000 mi"``.

    ``unit`` is taken where the text names none; without it the dimension's first. A comma is a decimal
    comma unless exactly three digits follow it and a number other than 0 stands before it.
    Gives ``{"si", "typed", "unit"}`` or ``{"message"}`` that says what to type.
    """
    typed, rest = _split_number(plaintext.spaced(str(text)))
    units = [row["unit"] for row in UNITS[dimension]]
    if typed is None:
        return {"message": phrase("Type a number, for example: 12 {unit}.", unit=unit or units[0])}
    if rest:
        unit = unit_named(rest, dimension)
        if unit is None:
            return {
                "message": phrase("{rest} is not a unit for this; use {units}.", rest=rest[:20], units=", ".join(units))
            }
    unit = unit or units[0]
    if unit not in units:
        return {"message": phrase("{unit} is not a unit for this; use {units}.", unit=unit, units=", ".join(units))}
    value = _plain_number(typed)
    if value is None:
        return {"message": phrase("{typed} is not a number; type it like 1234.5.", typed=typed[:20])}
    return {"si": to_si(value, unit), "typed": typed, "unit": unit}


def unit_named(text, dimension):
    """The unit of ``dimension`` that ``text`` spells in one of the usual ways, or None."""
    plain = plaintext.lower(plaintext.spaced(text)).replace("\u2126", "ω").replace("Ω", "ω")
    for char in " ·.-*_":
        plain = plain.replace(char, "")
    unit = _SPELLED.get(plain)
    return unit if any(row["unit"] == unit for row in UNITS[dimension]) else None


class _Choice:
    """One for all: enough where one question is answered at a time."""

    def __init__(self):
        self.units = {}

    def get(self):
        return self.units

    def set(self, units):
        self.units = units


_choice = [_Choice()]


def keep_choice_in(holder):
    """Keep what ``choose`` is told in ``holder`` (``get()``, ``set(units)``): for whoever answers several at once."""
    _choice[0] = holder


def choose(units):
    """Show quantities in ``units`` from now on (dimension to unit); of what is not named there, as they were typed."""
    _choice[0].set(units)


def chosen(unit):
    """The unit in which that is shown which was typed in ``unit``."""
    for dimension in UNITS:  # in any order: no unit stands in two of them but "any"
        if dimension != "any" and any(row["unit"] == unit for row in UNITS[dimension]):
            preferred = _choice[0].get().get(dimension)
            return preferred if any(row["unit"] == preferred for row in UNITS[dimension]) else unit
    return unit


def show(quantity, unit=None):
    """A quantity as text in ``unit``, else in the unit chosen: as typed where it was typed in it, else rounded."""
    unit = unit or chosen(quantity["unit"])
    if unit == quantity["unit"]:
        return joined(_grouped(quantity["typed"], unit), unit)
    return shown(quantity["si"], unit)


def shown(si, unit):
    """An SI value as text in ``unit``, rounded to the unit's decimals."""
    return joined(_grouped(canonical.fixed(from_si(si, unit), _row(unit)["decimals"]), unit), unit)


def _grouped(number, unit):
    """A distance in plain digits with a comma at the thousands: odometers run to six digits. Else as it stands."""
    if unit not in [row["unit"] for row in UNITS["distance"]] or not all([char in "0123456789" for char in number]):
        return number
    for at in range(len(number) - 3, 0, -3):
        number = number[:at] + "," + number[at:]
    return number


def _row(unit):
    if unit not in BY_UNIT:
        raise ValueError(phrase("{unit} is not a unit known here", unit=unit))
    return BY_UNIT[unit]


def _split_number(text):
    """The leading number as typed and what follows it; (None, text) without one."""
    end = 0
    while end < len(text) and (
        text[end] in "0123456789.," or _groups_thousands(text, end) or (not end and text[end] in "+-")
    ):
        end += 1
    number = text[:end].rstrip(".,")
    if not any(char in "0123456789" for char in number):
        return None, text
    return number, text[end:].strip()


def _groups_thousands(text, at):
    return text[at] == " " and 0 < at < len(text) - 1 and text[at + 1] in "0123456789"


def _plain_number(typed):
    text = typed.replace(" ", "")
    comma, dot = text.rfind(","), text.rfind(".")
    if comma > dot >= 0:  # 1.234,5
        text = text.replace(".", "").replace(",", ".")
    elif comma >= 0 and dot < 0:
        before = text[:comma].lstrip("+-")
        thousands = len(text) - comma == 4 and before.replace(",", "").strip("0") != ""
        text = text.replace(",", "" if thousands or text.count(",") > 1 else ".")
    else:
        text = text.replace(",", "")
    try:
        value = float(text)
    except ValueError:
        return None
    return value if value - value == 0 else None


# Resistance and temperature ------------------------------------------------------------------------

# Per kelvin at 20 °C, annealed copper. Origin: IEC 60028; NBS Handbook 100.
COPPER_PER_KELVIN = 0.00393
REFERENCE_KELVIN = (
    293.15  # 20 °C, where maker's ranges are stated unless they say otherwise (common practice, no source)
)


def resistance_at(ohms, measured_kelvin, wanted_kelvin=REFERENCE_KELVIN):
    """What a copper winding of ``ohms`` at ``measured_kelvin`` has at ``wanted_kelvin``."""
    at_reference = ohms / (1 + COPPER_PER_KELVIN * (measured_kelvin - REFERENCE_KELVIN))
    return at_reference * (1 + COPPER_PER_KELVIN * (wanted_kelvin - REFERENCE_KELVIN))


# Compression and altitude --------------------------------------------------------------------------

# US Standard Atmosphere 1976, lowest layer (below 11 km).
SEA_LEVEL_PASCAL = 101325.0
SEA_LEVEL_KELVIN = 288.15
LAPSE = 0.0065  # kelvin per geopotential metre
EARTH_RADIUS = 6356766.0  # metres
PRESSURE_EXPONENT = 9.80665 * 0.0289644 / (8.31432 * LAPSE)


def air_pressure(altitude):
    """Pressure in pascal of the standard atmosphere at a *geometric* altitude in metres, -5,000 to 11,000."""
    if not -5000 <= altitude <= 11000:
        raise ValueError(phrase("Altitude: give meters from -5000 to 11000."))
    geopotential = EARTH_RADIUS * altitude / (EARTH_RADIUS + altitude)
    return SEA_LEVEL_PASCAL * math.pow(1 - LAPSE * geopotential / SEA_LEVEL_KELVIN, PRESSURE_EXPONENT)


def compression_at_sea_level(gauge_pascal, altitude):
    """The compression gauge reading to expect at sea level for one taken at ``altitude`` metres.

    The cylinder multiplies the absolute pressure of the air it draws in, and the gauge shows the excess
    over that air, so the reading is proportional to it.
    """
    return gauge_pascal * SEA_LEVEL_PASCAL / air_pressure(altitude)


# Verdicts ------------------------------------------------------------------------------------------

LOW_COMPRESSION_SHARE = 0.75  # lowest over highest. Origin: common practice, no source
NO_COMPRESSION_SHARE = 0.25  # origin: estimate, from memory
LEAK_GOOD, LEAK_BAD = 0.10, 0.20  # leak-down. Origin: common practice, no source
PLUG_GAP = (0.0007, 0.0011)  # metres. Origin: common practice, no source
COIL_PRIMARY = (0.3, 3.0)  # ohms, old and new coils together. Origin: common practice, no source
COIL_SECONDARY = (5000.0, 15000.0)  # ohms. Origin: common practice, no source


def tolerance(text, dimension, unit=None):
    """Limits in SI from a printed specification: ``"0.3-1.0 Ω"``, ``"0.6 ± 0.1 Ω"``, ``"max 20"``, ``"min 100 psi"``.

    Gives ``{"low", "high"}`` (either may be None) or ``{"message"}``.
    """
    text = plaintext.dashed(plaintext.spaced(str(text))).replace("...", "-").replace("+/-", "±")
    lowered = plaintext.lower(text)
    for word, sides in (
        ("min", "low"),
        ("at least", "low"),
        ("≥", "low"),
        ("max", "high"),
        ("at most", "high"),
        ("≤", "high"),
    ):
        if lowered.startswith(word):
            one = parse_quantity(text[len(word) :].strip(" .:"), dimension, unit)
            if "message" in one:
                return one
            return {"low": one["si"] if sides == "low" else None, "high": one["si"] if sides == "high" else None}
    for mark in ("±", " to ", "-"):
        at = text.find(mark, 1)
        if at > 0:
            return _two_sided(text[:at], text[at + len(mark) :], mark, dimension, unit)
    return {
        "message": phrase(
            "Type a range such as 0.3-1.0 {unit}, or min or max and a value.", unit=UNITS[dimension][0]["unit"]
        )
    }


def _two_sided(left, right, mark, dimension, unit):
    second = parse_quantity(right, dimension, unit)
    if "message" in second:
        return second
    first = parse_quantity(left, dimension, second["unit"])
    if "message" in first:
        return first
    if mark == "±":
        spread = second["si"] - to_si(0.0, second["unit"])
        return {"low": first["si"] - spread, "high": first["si"] + spread}
    if first["si"] > second["si"]:
        return {
            "message": phrase(
                "The lower limit comes first: {left} is more than {right}.", left=left.strip(), right=right.strip()
            )
        }
    return {"low": first["si"], "high": second["si"]}


def verdict(si, low, high, spread=0.0):
    """Where a reading stands against limits (either may be None): "below", "within", "above" or "at the edge".

    ``spread`` is how far the reading itself may be off, same unit; a reading within that of a limit is at the edge.
    """
    for limit in (low, high):
        if limit is not None and spread and abs(si - limit) <= spread:
            return "at the edge"
    if low is not None and si < low:
        return "below"
    if high is not None and si > high:
        return "above"
    return "within"


def compression_finding(pascal, best):
    """A compression reading against the best cylinder's, as the check's finding: "good", "low" or "none"."""
    share = pascal / best if best > 0 else 0.0
    if share < NO_COMPRESSION_SHARE:
        return "none"
    return "good" if share >= LOW_COMPRESSION_SHARE else "low"


def leak_finding(share):
    """A leak-down reading (0 to 1) in words: "good", "worn" or "bad"."""
    if share < LEAK_GOOD:
        return "good"
    return "worn" if share <= LEAK_BAD else "bad"
