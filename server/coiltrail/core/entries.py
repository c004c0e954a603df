"""Every kind of log entry and its fields, declared once.

Forms on the phone, the check on the phone, the marshmallow schemas of the server and the API's
documentation all follow from ``KINDS``. The declaration is plain data (dicts, lists, text, numbers), so
that it can be written out as JSON (``declaration()``) and read where no Python runs.

A field is a dict: ``name``, ``type``, ``label``, and by type:

=========== ===================================================================================
type        value and further keys
=========== ===================================================================================
text        string; ``max`` characters; ``lines`` true for several lines; ``pattern`` (anchored) and
            ``hint``: in plain words what the pattern wants
choice      one of ``choices`` (list of ``{"value", "label"}``)
choices     list of distinct values of ``choices``
integer     ``min``, ``max``, ``unit``; ``minor`` true: an amount in the currency's minor unit; ``years_ahead``: a
            year, of which no more than so many after this one may be typed; what stands in a log is not judged by it
number      ``min``, ``max``, ``unit``
flag        true or false
date        "YYYY-MM-DD" that a person typed; ``past`` true refuses days after today
quantity    ``{"si", "typed", "unit"}``; ``dimension`` names the row of measures.UNITS it is typed in
group       dict of ``fields``
list        list of ``of`` (a field without a name); ``max`` items; ``permutation_of`` names the
            sibling integer n of which the list must be a permutation of 1..n
data        any JSON, at most ``max`` characters when written out
=========== ===================================================================================

``required`` true: must be there. ``personal`` true: blanked by ``erased``. ``help``: one plain sentence.
"""

from . import canonical, checks, engine, measures, tags, torque
from .tongue import phrase

LONG_TEXT = 4000  # characters of a note
SHORT_TEXT = 200
RAW_TEXT = 20000  # pasted reader output
BODY_LIMIT = 65536  # bytes of one entry's body as JSON

UUID_PATTERN = "[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}"
SHA256_PATTERN = "[0-9a-f]{64}"
PLACE_PATTERN = "(coil|plug|boot|injector)[.](1[0-2]|[1-9])"
TAG_PATTERN = "[0-9A-HJKMNP-TV-Z]{10}"
CODE_PATTERN = "[PCBU][0-3][0-9A-F]{3}"
# A part nobody noted is named case.kind.position; a noted one has an id of its own.
PART_PATTERN = "(" + UUID_PATTERN + "|" + UUID_PATTERN + "[.](coil|plug|boot|injector)[.](1[0-2]|[1-9]))"

_OFF_PATTERN = "(" + PLACE_PATTERN + "|off)"
_GOAL_PATTERN = "(" + PLACE_PATTERN + "|off|unknown)"
_CURRENCY_PATTERN = "[A-Z]{3}"
_WORD_PATTERN = "[a-z_]+"
_FOUND_PATTERN = "[a-z_]+/[a-z_]+"
_COMPONENT_PATTERN = "[a-z_]+(@[0-9]{1,2}(-[0-9]{1,2})?)?"

# What to do where a value does not fit its pattern; phone and shop both say it after the field's label.
HINTS = {
    UUID_PATTERN: "it must be an id as the phone makes them (UUID version 7)",
    SHA256_PATTERN: "it must be a SHA-256 in small letters",
    PLACE_PATTERN: "name the place like coil.3",
    TAG_PATTERN: "type the ten characters printed on the tag",
    CODE_PATTERN: "type a code like P0303",
    PART_PATTERN: "it must be the id of a part",
    _OFF_PATTERN: "name the place like coil.3, or off",
    _GOAL_PATTERN: "name the place like coil.3, or off or unknown",
    _CURRENCY_PATTERN: "type three capitals like EUR",
    _WORD_PATTERN: "use small letters and underscores",
    _FOUND_PATTERN: "name check and finding, like connector_look/corroded",
    _COMPONENT_PATTERN: "name the component as the diagnosis does, like coil_wiring@3",
}

PART_KINDS = (("coil", "Coil"), ("boot", "Boot or lead"), ("plug", "Spark plug"), ("injector", "Injector"))


def _choices(pairs):
    return [{"value": value, "label": label} for value, label in pairs]


def _field(name, type_, label, **more):
    field = {"name": name, "type": type_, "label": label}
    for key in more:
        field["choices" if key == "choices" else key] = _choices(more[key]) if key == "choices" else more[key]
    return field


def _text(name, label, max_=SHORT_TEXT, **more):
    field = _field(name, "text", label, max=max_, **more)
    if "pattern" in field:
        field["hint"] = HINTS[field["pattern"]]
    return field


def _cylinder(name="cylinder", label="Cylinder", **more):
    return _field(name, "integer", label, min=1, max=engine.MOST_CYLINDERS, **more)


def _place(name="place", label="Place", **more):
    return _text(name, label, pattern=PLACE_PATTERN, **more)


def _part(name="part", label="Part", **more):
    return _text(name, label, pattern=PART_PATTERN, **more)


def _entry(name, label, **more):
    return _text(name, label, pattern=UUID_PATTERN, **more)


def _share(name, label, **more):
    return _field(name, "number", label, min=0, max=1, **more)


def _note(name="note", label="Note", **more):
    return _text(name, label, LONG_TEXT, lines=True, **more)


def _for_owner():
    """Whether a note may be read by the owner; without it, a note stays in the shop."""
    return _field("for_owner", "flag", "The owner may read the note", help="It then stands in the report.")


def _list(name, label, of, max_, **more):
    return _field(name, "list", label, of=of, max=max_, **more)


def _group(name, label, *fields, **more):
    return _field(name, "group", label, fields=list(fields), **more)


def _kind(kind, label, help_, *fields):
    return {"kind": kind, "label": label, "help": help_, "fields": list(fields)}


# What a line of an estimate or a bill is for; a tax names those it is taken on.
LINE_SORTS = (("labour", "Labor"), ("part", "Part"), ("other", "Other"))
MOST_MINOR = 100_000_000  # of one price, in the currency's minor unit


def _price(name, label, **more):
    return _field(name, "integer", label, min=0, max=MOST_MINOR, minor=True, **more)


def _currency(**more):
    return _text("currency", "Currency", 3, pattern=_CURRENCY_PATTERN, **more)


def _taxes(one):
    return _list(
        "taxes",
        "Taxes",
        _group(
            "",
            one,
            _text("label", "Tax", 60, required=True, help="As it is to read on the bill."),
            _field("rate", "number", "Rate", min=0, max=100, unit="%", required=True),
            _field("on", "choices", "Taken on", choices=LINE_SORTS, help="On all of it where nothing is chosen."),
        ),
        6,
    )


CONDITIONS = (
    ("idle", "At idle"),
    ("load", "Under load"),
    ("cold", "Cold"),
    ("hot", "Hot"),
    ("wet", "Wet weather"),
    ("dry", "Dry"),
)

LAMP = (("off", "Off"), ("steady", "Steady"), ("flashing", "Flashing"), ("flashed", "On, it has flashed"))
LAMP_ON = ("steady", "flashing", "flashed")
LAMPS_OF_MISSING = ("flashing", "flashed")  # a lamp flashes while misfires harm the catalyst: SAE J1979, from memory

# What a closing leaves for later that is neither a code nor in words of its own, and why it is left (``left_over``).
LEFT = (
    ("lamp", "The warning lamp is still on"),
    ("unrepaired", "The fault is not repaired"),
    ("cleaned", "Only cleaned or pressed on again"),
    ("damage", "Found and not mended"),
)
LEFT_WHY = (
    ("no_reader", "No reader today"),
    ("owner", "The owner's choice"),
    ("declined", "The owner declines the repair"),
    ("no_time", "No time today"),
)

# Where the phone lies while it measures: two measurements are compared only from the same place.
RESTS = (("cover", "The engine cover"), ("fender", "The fender, held"))
# What a phone measures of a running engine.
_MEASURED = (
    _field("with", "choices", "With", choices=(("motion", "The motion sensor"), ("sound", "The microphone"))),
    _field("seconds", "number", "Duration", min=0, max=60, unit="s"),
    _field("shake", "quantity", "Shake", dimension="acceleration", help="Root mean square, above 3 Hz."),
    _field("half_order", "quantity", "Half order", dimension="share", help="Its part of the shake."),
)

KINDS = (
    _kind(
        "case_opened",
        "Case opened",
        "The car, its engine and whose it is.",
        _group(
            "vehicle",
            "Vehicle",
            _text("plate", "Plate", 16, personal=True),
            _text("vin", "VIN", 17, personal=True, help="17 characters; a slip is pointed out, never refused."),
            _text("make", "Make", 60),
            _text("model", "Model", 60),
            _field("year", "integer", "Model year", min=1950, max=2100, years_ahead=2),
            _text("engine_name", "Engine", 80, help="Size or engine code, as on the plate."),
            required=True,
        ),
        _group(
            "engine",
            "Engine",
            _field("cylinders", "integer", "Cylinders", min=1, max=engine.MOST_CYLINDERS, required=True),
            _field("layout", "choice", "Layout", choices=engine.LAYOUTS, required=True),
            _field("ignition", "choice", "Ignition", choices=engine.IGNITIONS, required=True),
            _field("numbering", "choice", "Numbering", choices=engine.NUMBERINGS),
            _field("orientation", "choice", "Stands", choices=engine.ORIENTATIONS),
            _list(
                "firing_order",
                "Firing order",
                {"type": "integer", "min": 1, "max": engine.MOST_CYLINDERS, "label": "Cylinder"},
                engine.MOST_CYLINDERS,
                permutation_of="cylinders",
                help="As the maker states it; each cylinder once.",
            ),
            required=True,
        ),
        _field("odometer", "quantity", "Odometer", dimension="distance"),
        _field("altitude", "quantity", "Altitude", dimension="length"),
        _group(
            "customer",
            "Customer",
            _text("name", "Name", 120, personal=True),
            _text("phone", "Phone", 40, personal=True),
            _text("email", "E-mail", 120, personal=True),
            _text("address", "Address", 300, personal=True, lines=True),
            # Of the owner's page; that of the page where it is made, as long as nobody said.
            _field("language", "choice", "Reads", choices=(("en", "English"), ("es", "Español")), personal=True),
        ),
        # The learned table by which this case is judged, for good (``learning``).
        _field("table", "data", "What the shop's cases had taught", max=6000),
    ),
    _kind(
        "complaint",
        "Complaint",
        "What the customer notices, and when.",
        _field(
            "symptoms",
            "choices",
            "Symptoms",
            choices=(
                ("shakes", "Shakes"),
                ("stalls", "Stalls"),
                ("noise", "Noise"),
                ("no_power", "Lost power"),
                ("hard_start", "Hard to start"),
                ("jerks", "Jerks under load"),
                ("smell", "Smells of fuel"),
                ("thirsty", "Uses more fuel"),
            ),
        ),
        _field(
            "circumstances",
            "choices",
            "When",
            choices=CONDITIONS + (("always", "Always"), ("sometimes", "Now and then")),
        ),
        _field(
            "lamp",
            "choice",
            "Warning lamp",
            choices=LAMP,
            help="Flashing means damage in progress: do not drive.",
        ),
        _note("words", "In the customer's words", personal=True),
        _field("since", "date", "Since", past=True),
    ),
    _kind(
        "codes_read",
        "Codes read",
        "Trouble codes with their status.",
        _list(
            "codes",
            "Codes",
            _group(
                "",
                "Code",
                _text("code", "Code", 5, pattern=CODE_PATTERN, required=True),
                _field(
                    "status",
                    "choice",
                    "Status",
                    choices=(("stored", "Stored"), ("pending", "Pending"), ("permanent", "Permanent")),
                    required=True,
                ),
            ),
            100,
            required=True,
        ),
        _field(
            "complete",
            "flag",
            "This is the whole list",
            help="The reader showed no others. That a code is missing tells something too.",
        ),
        _field(
            "obtained",
            "choice",
            "Obtained",
            choices=(("typed", "Typed"), ("pasted", "Pasted"), ("raw", "Raw bytes"), ("shared", "Shared")),
        ),
        _text("raw", "Text they were found in", RAW_TEXT, lines=True),
        _text("not_understood", "Not understood", RAW_TEXT, lines=True),
        _group(
            "freeze_frame",
            "Freeze frame",
            _text("code", "For code", 5, pattern=CODE_PATTERN),
            _field("rpm", "number", "Engine speed", min=0, max=20000, unit="rpm"),
            _field("load", "number", "Load", min=0, max=200, unit="%"),
            _field("coolant", "quantity", "Coolant", dimension="temperature"),
            _field("speed", "quantity", "Road speed", dimension="speed"),
            _field("short_trim", "number", "Short fuel trim", min=-100, max=100, unit="%"),
            _field("long_trim", "number", "Long fuel trim", min=-100, max=100, unit="%"),
        ),
        _note(),
    ),
    _kind(
        "codes_cleared",
        "Codes cleared",
        "Clearing also clears readiness, which an emissions inspection checks.",
        _field(
            "how",
            "choice",
            "How they were cleared",
            choices=(
                ("reader", "By code reader or scan tool"),
                ("battery", "By disconnecting the battery"),
                ("other", "In another way"),
            ),
        ),
        _note(),
    ),
    _kind(
        "part_noted",
        "Part noted",
        "A physical part: what it is and what is known of its past.",
        _part(required=True),
        _field("kind", "choice", "Kind", choices=PART_KINDS, required=True),
        _place(help="Where it sits; empty when it is not on the engine."),
        _text("brand", "Brand", 80),
        _text("part_number", "Part number", 80),
        _field("fitted_on", "date", "Fitted on", past=True),
        _field("fitted_odometer", "quantity", "Odometer when fitted", dimension="distance"),
        _field("age_months", "integer", "Age in months", min=0, max=1200),
        _field("use", "choice", "New or used", choices=(("new", "New"), ("used", "Used"), ("unknown", "Not known"))),
        _field(
            "origin",
            "choice",
            "Original or not",
            choices=(("original", "Original"), ("other", "Not original"), ("unknown", "Not known")),
        ),
        _field(
            "reach",
            "choice",
            "How it is reached",
            choices=(
                ("open", "In the open"),
                ("tight", "Tight, by feel"),
                ("covered", "Something must come off first"),
            ),
            help="Of the place, not of the part: what is reached sets what a check or a repair there costs.",
        ),
        _note("past", "What is said of its past"),
    ),
    _kind(
        "parts_moved",
        "Parts moved",
        "Which part went from where to where; a swap is two moves.",
        _list(
            "moves",
            "Moves",
            _group(
                "",
                "Move",
                _part(help="Which part; empty means the one that sat at 'from'."),
                _text("from", "From", pattern=_OFF_PATTERN, required=True),
                _text("to", "To", pattern=_GOAL_PATTERN, required=True),
            ),
            48,
            required=True,
        ),
        _field("boot_stays", "flag", "The boot stayed where it was"),
        _note(),
    ),
    _kind(
        "check",
        "Check",
        "A look, a test or a measurement, and what it found.",
        _field("check", "choice", "Check", choices=[(c["key"], c["label"]) for c in checks.CHECKS], required=True),
        _cylinder(),
        _place(),
        _text("finding", "Finding", 40, pattern=_WORD_PATTERN),
        _field("reading", "quantity", "Reading", dimension="any"),
        _text("limits", "Maker's range", 60, help="As printed: 0.7-0.9, min 9, max 20. A winding's at 20 °C."),
        _text("specification", "Where the range was read"),
        _field("temperature", "quantity", "How warm it was", dimension="temperature"),
        _field("count", "integer", "Count", min=0, max=1000000),
        _field("rpm_before", "number", "Engine speed before", min=0, max=20000, unit="rpm"),
        _field("rpm_during", "number", "Engine speed during", min=0, max=20000, unit="rpm"),
        _field(
            "bank",
            "choice",
            "Bank",
            choices=(("1", "Bank 1"), ("2", "Bank 2")),
            help="Bank 1 is the one with cylinder 1. Each bank is an entry of its own.",
        ),
        _field("short_trim_idle", "number", "Short trim at idle", min=-100, max=100, unit="%"),
        _field("long_trim_idle", "number", "Long trim at idle", min=-100, max=100, unit="%"),
        _field("short_trim_fast", "number", "Short trim at 2,500 rpm", min=-100, max=100, unit="%"),
        _field("long_trim_fast", "number", "Long trim at 2,500 rpm", min=-100, max=100, unit="%"),
        _field("conditions", "choices", "Conditions", choices=CONDITIONS),
        _field(
            "disabled",
            "choice",
            "Cylinder disabled by",
            choices=(
                ("coil", "Unplugging the coil"),
                ("injector", "Unplugging the injector"),
                ("tool", "The scan tool"),
            ),
        ),
        _text("round", "Round", 36, pattern=UUID_PATTERN),
        _group(
            "measured",
            "Measured by the phone",
            *_MEASURED,
            _field("error", "number", "Standard error of the drop", min=0, max=100, unit="%"),
            _text("proposed", "Proposed", 40, pattern=_WORD_PATTERN, help="The finding that the phone proposed."),
            _field("sure", "number", "Sure of it", min=0, max=100, unit="%"),
        ),
        _note(),
        _for_owner(),
    ),
    _kind(
        "shake_measured",
        "Shake measured",
        "How much the engine shook the phone, all cylinders connected.",
        _field("rpm", "number", "Engine speed", min=0, max=20000, unit="rpm", required=True),
        _field("error", "number", "Standard error of the speed", min=0, max=1000, unit="rpm"),
        _field("rests", "choice", "The phone rests on", choices=RESTS, required=True),
        *_MEASURED,
        _note(),
    ),
    _kind(
        "photo",
        "Photo",
        "A picture and what it shows.",
        _text("sha256", "Picture", 64, pattern=SHA256_PATTERN, required=True),
        _field("bytes", "integer", "Size", min=1, max=20000000, unit="byte", required=True),
        _field("width", "integer", "Width", min=1, max=20000, unit="px"),
        _field("height", "integer", "Height", min=1, max=20000, unit="px"),
        _field(
            "shows",
            "choice",
            "Shows",
            choices=(
                ("damage_before", "Damage that was there before"),
                ("connector", "Coil connector"),
                ("coil", "Coil or boot"),
                ("plug", "Spark plug"),
                ("engine", "Engine bay"),
                ("codes", "Reader's screen or printout"),
                ("repair", "The repair"),
                ("part", "A part"),
                ("other", "Something else"),
            ),
        ),
        _field(
            "detail",
            "choice",
            "Aimed at",
            choices=(("latch", "Lock tab"), ("pins", "Pins"), ("boot", "Boot"), ("tip", "Tip")),
            help="So that the same detail of all cylinders stands side by side.",
        ),
        _cylinder(),
        _place(),
        _part(),
        _entry("of", "Entry it belongs to"),
        _text("caption", "Caption"),
    ),
    _kind(
        "marked",
        "Photo marked",
        "An arrow, a circle or words over a photo; its own bytes stay as they are.",
        _entry("of", "Photo", required=True),
        _field(
            "sort",
            "choice",
            "Mark",
            choices=(("arrow", "Arrow"), ("circle", "Circle"), ("words", "Words")),
            required=True,
        ),
        # From where it was begun to where it ends, as shares of the picture's width and height.
        _share("x", "From the left", required=True),
        _share("y", "From the top", required=True),
        _share("to_x", "To, from the left"),
        _share("to_y", "To, from the top"),
        _text("text", "Words", 60),
    ),
    _kind(
        "recording",
        "Recording",
        "A voice note, or marks drawn over a photo.",
        _text("sha256", "Recording", 64, pattern=SHA256_PATTERN, required=True),
        _field("bytes", "integer", "Size", min=1, max=20000000, unit="byte", required=True),
        _field(
            "form", "choice", "Form", choices=(("voice", "Voice note"), ("marks", "Marks on a photo")), required=True
        ),
        _entry("of", "Entry it belongs to"),
        _field("seconds", "number", "Duration", min=0, max=3600, unit="s"),
        _text("caption", "Caption"),
    ),
    _kind(
        "note",
        "Note",
        "Anything worth keeping.",
        _text("text", "Text", LONG_TEXT, lines=True, required=True),
        _cylinder(),
        _part(),
        _entry("of", "Entry it belongs to"),
        _for_owner(),
    ),
    _kind(
        "agreed",
        "Estimate agreed",
        "What the owner agreed to, up to how much, and how.",
        _text("what", "What", LONG_TEXT, lines=True, required=True),
        _field("limit", "number", "Up to", min=0, max=1000000),
        _currency(),
        _field(
            "how",
            "choice",
            "How",
            choices=(("signed", "Signed on the screen"), ("said", "In conversation"), ("written", "In writing")),
            required=True,
        ),
        _text("name", "By", 120, personal=True),
        _text("signature", "Signature", 64, pattern=SHA256_PATTERN, personal=True),
        _entry("of", "Estimate agreed to"),
    ),
    _kind(
        "priced",
        "Priced",
        "What the work is expected to cost, or costs, by the prices and taxes of that moment.",
        _field(
            "stage", "choice", "This is", choices=(("estimate", "An estimate"), ("bill", "The bill")), required=True
        ),
        _currency(required=True),
        _list(
            "lines",
            "Lines",
            _group(
                "",
                "Priced line",
                _field("sort", "choice", "For", choices=LINE_SORTS, required=True),
                _text("text", "What", 200, required=True),
                _field("quantity", "number", "Quantity", min=0, max=1000, help="Hours, for labor."),
                _price("price", "Price of one", required=True),
            ),
            60,
            required=True,
        ),
        _taxes("Tax"),
        _note(),
    ),
    _kind(
        "answered",
        "Question answered",
        "The answer to something the application asked.",
        _text("question", "Question", 200, required=True),
        _text("answer", "Answer", 200, required=True),
        _note(),
    ),
    _kind(
        "repair",
        "Repair",
        "A part replaced, or work done.",
        _field(
            "work",
            "choice",
            "Work",
            choices=(
                ("replaced", "Part replaced"),
                ("mended", "Connector or wire mended"),
                ("cleaned", "Cleaned and reseated"),
                ("other", "Other work"),
            ),
            required=True,
        ),
        _text(
            "component",
            "What was worked on",
            40,
            pattern=_COMPONENT_PATTERN,
            help="The component as the diagnosis names it, for work that is not a part's replacement.",
        ),
        _place(),
        _part("removed", "Part removed"),
        _part("installed", "Part installed"),
        _text("brand", "Brand fitted", 80),
        _text("part_number", "Part number fitted", 80),
        _field("use", "choice", "New or used", choices=(("new", "New"), ("used", "Used"))),
        _field(
            "extent",
            "choice",
            "One or the set",
            choices=(("one", "Only this one"), ("all", "The whole set")),
            help="The whole set is recorded in one go, one entry for each place.",
        ),
        _field("thread", "choice", "Plug's thread", choices=torque.THREADS),
        _field("torque", "quantity", "Torque", dimension="torque"),
        _text("torque_source", "Where the torque was read", help="The maker's value for this engine comes first."),
        _note(),
        _for_owner(),
    ),
    _kind(
        "tag_bound",
        "Tag bound",
        "A tag's code and the part it hangs on.",
        _text("code", "Tag", 10, pattern=TAG_PATTERN, required=True),
        _part(required=True),
    ),
    _kind(
        "part_fate",
        "Part's whereabouts",
        "Where a removed part is now.",
        _part(required=True),
        _field(
            "fate",
            "choice",
            "Now",
            choices=(
                ("shelf", "On the shelf"),
                ("bench_tested", "Bench-tested"),
                ("sent_back", "Sent back"),
                ("scrapped", "Scrapped"),
            ),
            required=True,
        ),
        _field("bench", "choice", "Bench result", choices=(("good", "Good"), ("bad", "Bad"), ("unclear", "Unclear"))),
        _field(
            "next",
            "choice",
            "To do next",
            choices=(
                ("bench", "Bench test"),
                ("warranty", "Send back under warranty"),
                ("core", "Return the core"),
                ("spare", "Keep as a spare"),
                ("evidence", "Keep for the owner, as evidence"),
                ("scrap", "Scrap"),
            ),
            help="Left open, it follows from what is known of the part.",
        ),
        _field("deadline", "date", "Return by"),
        _note(),
    ),
    _kind(
        "road_test",
        "Road test",
        "How long, in what conditions, and what was felt.",
        _field("minutes", "number", "Minutes", min=0, max=1440, unit="min", required=True),
        _field("distance", "quantity", "Distance", dimension="distance"),
        _field("conditions", "choices", "Conditions", choices=CONDITIONS),
        _field(
            "felt",
            "choice",
            "Misfire felt",
            choices=(("none", "Not at all"), ("sometimes", "Now and then"), ("always", "All the time")),
            required=True,
        ),
        _list(
            "missed",
            "Where it missed",
            {"type": "integer", "min": 1, "max": engine.MOST_CYLINDERS, "label": "Cylinder"},
            engine.MOST_CYLINDERS,
        ),
        _field("untold", "flag", "Could not tell where it missed"),
        _field("lamp", "choice", "Warning lamp", choices=LAMP),
        _list(
            "counts",
            "Misfire counts",
            _group(
                "",
                "Count",
                _cylinder(required=True),
                _field("count", "integer", "Misfires", min=0, max=1000000, required=True),
            ),
            engine.MOST_CYLINDERS,
        ),
        _note(),
    ),
    _kind(
        "case_closed",
        "Case closed",
        "What it was, and what is left for later.",
        _text("cause", "Confirmed cause", 400, lines=True, required=True),
        _list("components", "Components at fault", {"type": "text", "max": 60, "label": "Component"}, 40),
        _list(
            "later",
            "Left for later",
            _group(
                "",
                "Left",
                _text("code", "Code", 5, pattern=CODE_PATTERN),
                _field("what", "choice", "What", choices=LEFT),
                _text("component", "Component", 40, pattern=_COMPONENT_PATTERN),
                _text("found", "Found", 60, pattern=_FOUND_PATTERN),
                _field("why", "choice", "Why", choices=LEFT_WHY),
                _text("text", "What and why", 400, lines=True),
                _field("told", "flag", "The owner knows of it"),
            ),
            40,
        ),
        _note("advice", "Advice to the owner"),
        _text("despite", "Why it is closed with points open", 400),
        _field("probabilities", "data", "Probabilities at that moment", max=20000),
    ),
    _kind("case_reopened", "Case reopened", "Why it is open again.", _note("why", "Why", required=True)),
    _kind(
        "struck",
        "Struck out",
        "An earlier entry that does not count; a strike can itself be struck.",
        _entry("entry", "Entry", required=True),
        _text("why", "Why", 400, required=True),
    ),
    _kind(
        "erased",
        "Erased on request",
        "Personal fields of the named entries are blanked; the findings stay.",
        _list(
            "entries",
            "Entries",
            _text("", "Entry", 36, pattern=UUID_PATTERN),
            200,
            required=True,
        ),
        _text("why", "Why", 400),
    ),
)

# What is the shop's and not a case's is a log of its own with the same rules: its entries bear the shop's id as case.
SHOP_KINDS = (
    _kind(
        "prices_set",
        "Prices set",
        "What the shop charges from then on.",
        _currency(required=True, help="Its three letters, like EUR."),
        _price("labour_rate", "Labor, an hour", required=True),
        _list(
            "parts",
            "Usual prices of parts",
            _group(
                "",
                "Usual price",
                _field("kind", "choice", "Part", choices=PART_KINDS, required=True),
                _price("price", "Price", required=True),
            ),
            len(PART_KINDS),
        ),
        _taxes("Usual tax"),
    ),
)

BY_KIND = {kind["kind"]: kind for kind in KINDS + SHOP_KINDS}


def order_key(entry):
    """Sort key of an entry: by when it happened (or was recorded), then at, device, n, id."""
    at = tuple(entry["at"])
    when = entry.get("when") or {}
    if "before_arrival" in when:
        happened = (0, when["before_arrival"], 0)
    elif "ms" in when:
        happened = (1, when["ms"], 0)
    else:
        happened = (1, at[0], at[1])
    return (happened, at, entry["device"], entry["n"], entry["id"])


def in_order(entries):
    """The entries without duplicates, in the order in which things happened.

    Of two entries with one id and different content the one that sorts first is taken, by key and then as
    JSON, so that every device takes the same; sync sets such a pair aside before it gets here.
    """
    by_id = {}
    for entry in entries:
        held = by_id.get(entry["id"])
        if held is None or (held != entry and _twin_key(entry) < _twin_key(held)):
            by_id[entry["id"]] = entry
    return sorted(by_id.values(), key=order_key)


def _twin_key(entry):
    return (order_key(entry), canonical.dumps(entry))


def part_id(case, kind, position):
    """The id of the part of ``kind`` that sat at ``position`` when the car arrived and was not noted."""
    return "%s.%s.%d" % (case, kind, position)


def split_place(place):
    """("coil", 3) for "coil.3"; (None, None) for "off", "unknown" and what is no place at all."""
    if not isinstance(place, str):
        return None, None
    kind, _, position = place.partition(".")
    if kind not in dict(PART_KINDS) or not position or any(char not in "0123456789" for char in position):
        return None, None
    return kind, int(position)


def understood(entry):
    """How much of an entry this version can read: "whole", "part" or "nothing".

    "part": it holds a field or an optional choice that is not declared here. "nothing": its kind is not
    declared, or what the kind needs is missing or of another type. Both come from a newer version; what
    reads "nothing" is kept and shown, and takes no part in the fold.
    """
    kind = BY_KIND.get(entry["kind"])
    return ("whole", "part", "nothing")[_strangeness(entry.get("body"), kind["fields"]) if kind else 2]


def _strangeness(body, fields):
    if not isinstance(body, dict):
        return 2
    declared = [field["name"] for field in fields]
    worst = 1 if any(name not in declared for name in body) else 0
    for field in fields:
        value = body.get(field["name"])
        if value is None:
            strange = 2 if field.get("required") else 0
        else:
            strange = _STRANGENESS[field["type"]](value, field)
            if strange and field["type"] == "choice" and field.get("required"):
                strange = 2  # without it the entry says nothing that could be used
        worst = max(worst, strange)
    return worst


def _of_type(*types):
    return lambda value, field: 0 if isinstance(value, types) and not isinstance(value, bool) else 2


def _strange_choice(value, field):
    if not isinstance(value, str):
        return 2
    return 0 if value in [choice["value"] for choice in field["choices"]] else 1


def _strange_choices(value, field):
    if not isinstance(value, list):
        return 2
    return max([_strange_choice(one, field) for one in value] or [0])


def _strange_quantity(value, field):
    whole = isinstance(value, dict) and isinstance(value.get("typed"), str) and isinstance(value.get("unit"), str)
    return _STRANGENESS["number"](value.get("si"), field) if whole else 2


def _strange_list(value, field):
    if not isinstance(value, list):
        return 2
    of = field["of"]
    return max([_STRANGENESS[of["type"]](one, of) for one in value] or [0])


_STRANGENESS = {
    "text": _of_type(str),
    "date": _of_type(str),
    "integer": _of_type(int),
    "number": _of_type(int, float),
    "flag": lambda value, field: 0 if isinstance(value, bool) else 2,
    "choice": _strange_choice,
    "choices": _strange_choices,
    "quantity": _strange_quantity,
    "group": lambda value, field: _strangeness(value, field["fields"]),
    "list": _strange_list,
    "data": lambda value, field: 0,
}


def struck(log):
    """Ids of entries that do not count. A strike that is itself struck does not strike."""
    out = set()
    strikes = [e for e in log if e["kind"] == "struck"]
    # A strike knows only earlier entries, so the latest is settled first.
    for strike in sorted(strikes, key=lambda e: (tuple(e["at"]), e["device"], e["n"], e["id"]), reverse=True):
        if strike["id"] not in out:
            out.add(strike["body"]["entry"])
    return out


def erased(log):
    """Ids of entries to be blanked. Striking an erasure brings nothing back: elsewhere it is blanked already."""
    return {named for entry in log if entry["kind"] == "erased" for named in entry["body"]["entries"]}


def blanked(entry):
    """The entry without what its kind declares personal; of a kind not known here, without its whole body."""
    declared = BY_KIND.get(entry["kind"])
    rest = dict(entry)
    rest["body"] = _without_personal(entry["body"], declared["fields"]) if declared else {}
    return rest


def _without_personal(body, fields):
    kept = dict(body)
    for field in fields:
        name = field["name"]
        if field.get("personal"):
            kept.pop(name, None)
        elif field["type"] == "group" and isinstance(kept.get(name), dict):
            kept[name] = _without_personal(kept[name], field["fields"])
    return kept


def body_rules(kind, body):
    """Problems that the field types alone cannot show: a list of ``{"field", "message"}``."""
    rules = _RULES.get(kind)
    return rules(body) if rules else []


def _problem(field, message):
    return [{"field": field, "message": message}]


def _case_rules(body):
    laid_out = body.get("engine") or {}
    return engine.layout_problems(
        laid_out.get("cylinders"), laid_out.get("layout"), laid_out.get("ignition"), laid_out.get("firing_order")
    )


def _check_rules(body):
    check = checks.BY_KEY.get(body.get("check"))
    if check is None:
        return _problem("check", phrase("Check: choose one from the list."))
    finding = body.get("finding")
    about, kind = check["about"], split_place(body.get("place"))[0]
    if finding and finding not in checks.findings_of(check["key"]):
        return _problem(
            "finding",
            phrase("Finding: choose one of {findings}.", findings=", ".join(checks.findings_of(check["key"]))),
        )
    if not finding and not any(body.get(name) is not None for name in READ):
        return _problem("finding", phrase("Finding: choose what was found, or give a reading."))
    if about == "cylinder" and not body.get("cylinder"):
        return _problem("cylinder", phrase("Cylinder: say on which cylinder this was found."))
    if about in dict(PART_KINDS) and kind != about:
        return _problem(
            "place", phrase("Place: say at which {part} this was found.", part=phrase(dict(PART_KINDS)[about]).lower())
        )
    if body.get("limits"):
        message = limits_of(body).get("message")
        return _problem("limits", phrase("Maker's range: {message}", message=message)) if message else []
    return []


# Fields of a check that hold what was read, any of which may stand instead of a finding.
READ = ("reading", "count", "rpm_during", "short_trim_idle", "long_trim_idle", "short_trim_fast", "long_trim_fast")


def limits_of(body):
    """``{"low", "high"}`` of the maker's range in SI, or ``{"message"}``. Without a unit it is in the reading's."""
    dimension = checks.BY_KEY[body["check"]]["dimension"] or "any"
    unit = (body.get("reading") or {}).get("unit")
    if not any(row["unit"] == unit for row in measures.UNITS[dimension]):
        unit = None
    return measures.tolerance(body["limits"], dimension, unit)


def _moves_rules(body):
    moves = body.get("moves") or []
    if not moves:
        return _problem("moves", phrase("Moves: say which part went from where to where."))
    for move in moves:
        from_, to = move.get("from"), move.get("to")
        from_kind, to_kind = split_place(from_)[0], split_place(to)[0]
        if from_ == to:
            return _problem(
                "moves",
                phrase("Moves: a part goes to another place than it comes from; leave {place} out.", place=from_),
            )
        if from_kind and to_kind and from_kind != to_kind:
            return _problem(
                "moves",
                phrase(
                    "Moves: a {part} goes to a {part}'s place, not from {from_} to {to}.",
                    part=from_kind,
                    from_=from_,
                    to=to,
                ),
            )
        if from_ == "off" and not move.get("part"):
            return _problem("moves", phrase("Moves: say which part came from off the engine."))
    for end, form in (
        ("from", "Moves: only one part leaves {place}; look over the others."),
        ("to", "Moves: only one part comes to {place}; look over the others."),
    ):
        places = [move.get(end) for move in moves if split_place(move.get(end))[0]]
        for place in places:
            if places.count(place) > 1:
                return _problem("moves", phrase(form, place=place))
    return []


def _note_rules(body):
    place = body.get("place")
    if place and split_place(place)[0] != body.get("kind"):
        return _problem(
            "place",
            phrase(
                "Place: a {part} does not sit at {place}; choose its own place.", part=body.get("kind"), place=place
            ),
        )
    return []


def _repair_rules(body):
    if body.get("work") != "other" and not body.get("place") and not body.get("component"):
        return _problem("place", phrase("Place: say where the part was replaced, or what was worked on."))
    return []


def _mark_rules(body):
    if body.get("sort") == "words" and not body.get("text"):
        return _problem("text", phrase("Words: type what is to be read there."))
    if body.get("sort") != "words" and (body.get("to_x") is None or body.get("to_y") is None):
        return _problem("to_x", phrase("Mark: say where it ends."))
    return []


def _tag_rules(body):
    message = tags.check_tag(body.get("code")).get("message")
    return _problem("code", phrase("Tag: {message}", message=message)) if message else []


def _has_decimals(value, most):
    """Whether a number has no more decimals than ``most``; as people type them, binary fractions aside."""
    scaled = value * 10**most
    return abs(scaled - int(scaled + 0.5)) < 1e-6


def _tax_rules(body):
    for index, tax in enumerate(body.get("taxes") or []):
        if not _has_decimals(tax["rate"], 3):
            return _problem("taxes.%d.rate" % index, phrase("Rate: at most three decimals, like 8.875."))
    return []


def _priced_rules(body):
    if not body.get("lines"):
        return _problem("lines", phrase("Lines: say what is done and what it costs."))
    for index, line in enumerate(body["lines"]):
        if not _has_decimals(line.get("quantity") or 0, 2):
            return _problem("lines.%d.quantity" % index, phrase("Quantity: at most two decimals, like 1.25."))
    return _tax_rules(body)


def _terms_rules(body):
    kinds = [part["kind"] for part in body.get("parts") or []]
    if len(kinds) != len(set(kinds)):
        return _problem("parts", phrase("Usual prices of parts: give each kind of part one price."))
    return _tax_rules(body)


_RULES = {
    "case_opened": _case_rules,
    "check": _check_rules,
    "parts_moved": _moves_rules,
    "part_noted": _note_rules,
    "repair": _repair_rules,
    "marked": _mark_rules,
    "tag_bound": _tag_rules,
    "priced": _priced_rules,
    "prices_set": _terms_rules,
}


def declaration():
    """All kinds, checks and choices as plain data, to be written out as JSON."""
    from . import money

    return {
        "kinds": list(KINDS + SHOP_KINDS),
        "checks": [dict(check, minutes=checks.minutes_of(check["key"])) for check in checks.CHECKS],
        "tools": _choices(checks.TOOLS),
        "units": measures.UNITS,
        "begins": measures.BEGINS,
        "currency_digits": {
            currency: count for count in money.OTHER_DIGITS for currency in money.OTHER_DIGITS[count].split()
        },
        "body_limit": BODY_LIMIT,
    }
