"""The stories that a diagnosis must get right, as logs, and logs of variety that a fold must get through.

``STORIES`` holds the sixteen stories with what must come out, in words; the stories with two endings stand as
"a" and "b". ``VARIETY`` holds further logs, one for each arrangement and each oddity a log can have. Both are
asked by ``log_of``.
"""

from collections import namedtuple
from collections.abc import Callable

from coiltrail.core.tags import new_tag

from .logbook import Entry, Logbook

Story = namedtuple("Story", "key title must build")
"""``key``: "1" to "16", "13a"; ``title``: what happens; ``must``: what must come out; ``build``: gives a Logbook."""

_BUILDERS: list[Story] = []


def _story(key: str, title: str, must: str):
    def keep(build: Callable[[], Logbook]):
        _BUILDERS.append(Story(key, title, must, build))
        return build

    return keep


def _all(cylinders: int, usual: str, **odd: str) -> dict[int, str]:
    """The ``usual`` finding for every cylinder, and other ones as ``c3="none"``."""
    return {c: odd.get(f"c{c}", usual) for c in range(1, cylinders + 1)}


def _dead_three(seed: str) -> Logbook:
    """Story 1, which others begin with."""
    log = Logbook(seed)
    log.complaint("shakes", "no_power", circumstances=["always"], lamp="steady")
    log.drop(_all(4, "full", c3="none"))
    log.connectors({3: "good"})
    return log


@_story(
    "1",
    "Inline four, coil on plug: cylinder 3 makes no difference, the rest do; its connector looks good",
    "coil 3 leads, other suspects of cylinder 3 remain open; next step is the swap (or a spark check), not a purchase",
)
def dead_cylinder():
    return _dead_three("story 1")


@_story(
    "2",
    "Coils of 3 and 1 swapped: now 1 makes no difference and 3 does",
    "that coil above 0.95; replace it",
)
def miss_follows_the_coil():
    log = _dead_three("story 2")
    log.swap("coil", 3, 1)
    log.drop({1: "none", 3: "full"})
    return log


@_story(
    "3",
    "Coils of 3 and 1 swapped: 3 still makes no difference, 1 does",
    "that coil below 0.05; plug, injector, circuits, compression lead; the cheapest telling check next",
)
def miss_stays():
    log = _dead_three("story 3")
    log.swap("coil", 3, 1)
    log.drop({3: "none", 1: "full"})
    return log


@_story(
    "4",
    "P0302 and P0304 never cleared; the owner swapped coils 2 and 4 last week; now only 4 misses",
    "one coil explains both codes; two separate faults clearly less likely",
)
def codes_of_two_arrangements():
    log = Logbook("story 4")
    log.complaint("shakes", words="I swapped two coils last week, it did not help.")
    log.codes("P0302", "P0304")
    log.swap("coil", 2, 4, before_arrival=1)
    log.drop(_all(4, "full", c4="none"))
    return log


@_story(
    "5",
    "V6: P0305 and P0355; coils 5 and 3 swapped, codes cleared, driven: the same codes again",
    "coil circuit of position 5 leads, coil cleared",
)
def circuit_code_stays():
    log = Logbook("story 5", 6, "vee")
    log.complaint("shakes", lamp="flashing")
    log.codes("P0305", "P0355")
    log.swap("coil", 5, 3)
    log.clear()
    log.drive(15, felt="always")
    log.codes("P0305", "P0355")
    return log


@_story(
    "6",
    "P0300 and P0171; every cylinder drops a little and alike at idle, smooth at 2,500 rpm",
    "unmetered air leads; no coil is to be bought",
)
def air_for_all():
    log = Logbook("story 6")
    log.complaint("shakes", circumstances=["idle"])
    log.codes("P0300", "P0171")
    log.drop(_all(4, "small"))
    log.check("rpm_effect", "smooth")
    return log


@_story(
    "7",
    "Waste spark: cylinders 1 and 4 miss together",
    "the shared coil leads; two plugs or two injectors far behind",
)
def shared_coil():
    log = Logbook("story 7", ignition="waste_spark")
    log.complaint("shakes", "no_power", circumstances=["always"])
    log.drop(_all(4, "full", c1="none", c4="none"))
    return log


@_story(
    "8",
    "Neighbours 2 and 3 are both weak; compression 95 and 90 psi, the others 170",
    "gasket between 2 and 3 leads",
)
def neighbours_weak():
    log = Logbook("story 8")
    log.complaint("shakes", "hard_start")
    log.drop(_all(4, "full", c2="small", c3="small"))
    log.compression({1: "170 psi", 2: "95 psi", 3: "90 psi", 4: "170 psi"}, low=(2, 3))
    return log


@_story(
    "9",
    "Distributor: every cylinder misses in wet weather",
    "cap, rotor or coil lead; no single cylinder is blamed",
)
def wet_distributor():
    log = Logbook("story 9", ignition="distributor")
    log.complaint("shakes", "stalls", circumstances=["wet"])
    log.round("misfire_counts", _all(4, "some"), conditions=["wet", "idle"])
    return log


@_story(
    "10",
    "Cylinder 5 misses now and then; its connector's lock tab is broken and moving the harness makes it miss",
    "coil circuit 5 leads; repair the connector",
)
def broken_lock_tab():
    log = Logbook("story 10", 6, "vee")
    log.complaint("shakes", circumstances=["sometimes"])
    log.codes("P0305")
    log.connectors({5: "latch_broken"})
    log.check("wiggle", "misses", place="coil.5")
    return log


@_story(
    "11",
    "Cylinder 2 dead; coil and plug swapped away, the miss stays; injector pulse present, injector silent",
    "injector 2 leads",
)
def silent_injector():
    log = Logbook("story 11")
    log.complaint("shakes", "no_power", circumstances=["always"])
    log.drop(_all(4, "full", c2="none"))
    log.swap("coil", 2, 1)
    log.drop({2: "none", 1: "full"})
    log.swap("plug", 2, 1)
    log.drop({2: "none", 1: "full"})
    log.check("injector_pulse", "present", place="injector.2")
    log.check("injector_sound", "silent", place="injector.2")
    return log


@_story("12", "P0300 and P0313", "fuel level is settled first")
def low_fuel():
    log = Logbook("story 12")
    log.complaint("shakes", "stalls")
    log.codes("P0300", "P0313")
    return log


@_story(
    "13a",
    "Four coils that are not original, of unknown age; one is proved dead",
    "the set, with the sums shown",
)
def unknown_set():
    log = Logbook("story 13a")
    for position in range(1, 5):
        log.note_part("coil", f"coil.{position}", origin="other", use="unknown")
    log.complaint("shakes", "no_power")
    log.drop(_all(4, "full", c2="none"))
    log.swap("coil", 2, 3)
    log.drop({3: "none", 2: "full"})
    return log


@_story(
    "13b",
    "One coil dead at one year, the others original and young",
    "one, with the sums shown",
)
def young_siblings():
    log = Logbook("story 13b", vehicle={"make": "Larkfield", "model": "Dunnock", "year": 2024})
    for position in range(1, 5):
        log.note_part("coil", f"coil.{position}", origin="original", use="new", age_months=12)
    log.complaint("shakes", "no_power")
    log.drop(_all(4, "full", c2="none"))
    log.swap("coil", 2, 3)
    log.drop({3: "none", 2: "full"})
    return log


def _replaced_and_driven(seed: str, missed_before: int) -> Logbook:
    """Four cylinders at 750 rpm make 1,500 firings a minute, so 15,000 in the ten minutes before the repair."""
    log = Logbook(seed)
    log.complaint("shakes", circumstances=["idle"])
    log.drive(
        10, felt="sometimes", counts={1: 0, 2: 0, 3: missed_before, 4: 0}, conditions=["idle", "hot"], note="750 rpm"
    )
    log.swap("coil", 3, 1)
    log.round("misfire_counts", _all(4, "none", c1="some"))
    log.replace("coil.1", brand="Harrow", torque="6 lbf·ft", torque_source="Maker's workshop sheet")
    log.clear()
    log.drive(12, counts=dict.fromkeys(range(1, 5), 0), conditions=["idle", "hot"], note="750 rpm")
    return log


@_story(
    "14a",
    "The leading part replaced; 5 % of firings missed before, none in 12 minutes since",
    "fixed above 0.99",
)
def surely_fixed():
    return _replaced_and_driven("story 14a", 750)


@_story(
    "14b",
    "The leading part replaced; one miss in ten minutes before, none in 12 minutes since",
    "not yet, with the minutes still to drive",
)
def not_yet_sure():
    return _replaced_and_driven("story 14b", 1)


@_story(
    "15",
    "A coil is moved with no record of where it went",
    'the tool asks ("to: not known" is an answer), and the posterior averages over where it may be',
)
def coil_without_a_place():
    log = _dead_three("story 15")
    log.move(("coil.1", "coil.3"))
    log.drop({3: "full"})
    return log


@_story("16", "Two coils dead at once among six", "both found, each above 0.9 after their swaps")
def two_dead_coils():
    log = Logbook("story 16", 6)
    log.complaint("shakes", "no_power", circumstances=["always"], lamp="flashing")
    log.codes("P0302", "P0305")
    log.drop(_all(6, "full", c2="none", c5="none"))
    log.swap("coil", 2, 1)
    log.swap("coil", 5, 6)
    log.drop(_all(6, "full", c1="none", c6="none"))
    return log


STORIES = tuple(_BUILDERS)
_BUILDERS.clear()


# Logs of variety: ``must`` says what they are there for.


@_story("v6-along", "V6 counted one bank after the other, boots left behind", "boots stay when their coil moves")
def v6_along():
    log = Logbook("v6", 6, "vee", numbering="along", firing_order=[1, 4, 2, 5, 3, 6], odometer="92,000 mi")
    log.complaint("jerks", circumstances=["load", "wet"], words="Only uphill, and worse in the rain.")
    log.codes("P0304 pending", "P0304", "P0420 permanent")
    log.swap("coil", 4, 6, boot_stays=True)
    log.drop({4: "none", 6: "full"})
    log.check("coil_look", "tracked", place="coil.6")
    log.swap("boot", 4, 6)
    log.drop({4: "full", 6: "none"})
    return log


@_story("v8-lengthways", "V8 lengthways, three swaps as a chain", "one coil carried on over three places")
def v8():
    log = Logbook("v8", 8, "vee", orientation="lengthways")
    log.complaint("shakes", lamp="flashing")
    log.codes("P0307", "P0300")
    log.drop(_all(8, "full", c7="none"), disabled="coil")
    for a, b in ((7, 5), (5, 3), (3, 1)):
        log.swap("coil", a, b)
        log.drop({b: "none", a: "full"})
    log.replace("coil.1", brand="Harrow", part_number="HC-118", torque="8.1", torque_source="Maker's sheet")
    log.fate("coil.1", "shelf")
    return log


@_story("flat-four", "Flat four, a coil and a lead for every plug", "the lead stays when the coil moves")
def flat_four():
    log = Logbook("flat", 4, "flat", "coil_near_plug", numbering="across")
    log.complaint("noise", "smell", lamp="off")
    log.swap("coil", 1, 2)
    log.move(("boot.1", "boot.3"), ("boot.3", "boot.1"))
    log.check("spark", "weak", place="coil.2")
    return log


@_story("three", "Inline three; a coil goes off and comes back with its boot", "coil and boot are where they were")
def three():
    log = Logbook("three", 3)
    coil = log.part_at("coil.2")
    log.move(("coil.2", "off"))
    log.drop({1: "full", 3: "full"})
    log.add("parts_moved", moves=[{"part": coil, "from": "off", "to": "coil.2"}])
    log.drop({2: "small"}, rpm_before=820, rpm_during=790.5)
    return log


@_story("five", "Inline five; injectors swapped and cleaned", "mending a part begins a new stretch")
def five():
    log = Logbook("five", 5)
    log.codes("P0205", "P0305")
    log.swap("injector", 5, 4)
    log.add("repair", work="cleaned", place="injector.4", note="Bench, three rounds")
    log.check("injector_resistance", "in_range", place="injector.4", reading=("14.2", "resistance"))
    log.mend("injector_circuit@5")
    log.mend("coil_supply@1")
    return log


@_story("waste-four", "Waste spark four; the pair of 2 and 3", "a coil position serves two cylinders")
def waste_four():
    log = Logbook("waste 4", 4, ignition="waste_spark")
    log.round("misfire_counts", _all(4, "none", c2="many", c3="many"))
    log.swap("coil", 1, 2)
    log.round("misfire_counts", _all(4, "none", c1="many", c4="many"))
    return log


@_story("waste-six", "Waste spark six in V", "pairs follow from the firing order")
def waste_six():
    log = Logbook("waste 6", 6, "vee", "waste_spark")
    log.drop(_all(6, "full", c2="none", c5="none"))
    log.check("coil_supply", "good", place="coil.2")
    log.check("coil_pulse", "absent", place="coil.2")
    return log


@_story("distributor-six", "Distributor six", "one coil serves all")
def distributor_six():
    log = Logbook("distributor", 6, ignition="distributor")
    log.check("spark", "none", place="coil.1")
    log.replace("coil.1", use="used")
    log.mend("cap", note="Cap and rotor")
    log.check("voltage", "low", reading=("12.1", "voltage"))
    return log


@_story("one", "One cylinder", "the smallest engine")
def one():
    log = Logbook("one", 1)
    log.check("plug_look", "wet", place="plug.1")
    return log


@_story("twelve", "Twelve cylinders, eight swaps", "the largest engine")
def twelve():
    log = Logbook("twelve", 12, "vee")
    log.drop(_all(12, "full", c7="none"))
    for a in range(1, 9):
        log.swap("coil", a, a + 1)
    log.drop(_all(12, "full", c6="none"))
    return log


@_story(
    "strikes", "Entries struck, and strikes struck", "what is struck does not count; a struck strike does not strike"
)
def strikes():
    log = Logbook("strikes")
    wrong = log.drop({2: "none"})[0]
    moved = log.swap("coil", 2, 3)
    strike = log.strike(wrong)
    log.strike(moved, "It was 1 and 3")
    log.strike(strike, "It was right after all")
    read = log.codes("P0302")
    log.strike(log.strike(log.strike(read)))
    return log


@_story("newer", "Kinds, fields and choices of a newer version", "kept, shown as recorded by a newer version")
def newer():
    log = Logbook("newer")
    log.complaint("shakes", "whistles", lamp="amber")
    log.add("scope_trace", channel=2, place=["coil", 3], samples=[0.5, 1.25])
    log.check("thermal_look", "hot", place="coil.3", spectrum={"peak": 1})
    log.check("drop", "none", cylinder=3, certainty=0.7)
    log.add("road_test", felt="none", distance={"si": 9000, "typed": "9", "unit": "km"})
    log.add("parts_moved", moves=[{"from": "glow.1", "to": "coil.2"}, {"from": "coil.1", "to": "bench"}])
    log.fate("coil.3", "lent")
    return log


@_story("before", "The owner swapped twice and fitted a coil", "parts are named by where they are on arrival")
def before_arrival():
    log = Logbook("before")
    log.tag(tag_code("before"), "coil.4")
    log.swap("coil", 2, 4, before_arrival=1)
    log.replace("coil.1", before_arrival=2, brand="Harrow")
    log.move(("coil.4", "coil.3"), before_arrival=3)
    log.drop(_all(4, "full", c3="none"))
    log.swap("coil", 3, 4)
    return log


@_story("two-phones", "Two phones move the same coil without knowing of each other", "asked, not guessed")
def two_phones():
    log = Logbook("two phones")
    first = log.device
    log.swap("coil", 3, 1)
    log.on_device()
    log.add(
        "parts_moved",
        moves=[
            {"part": f"{log.case}.coil.3", "from": "coil.3", "to": "coil.2"},
            {"part": f"{log.case}.coil.2", "from": "coil.2", "to": "coil.3"},
        ],
    )
    log.add("repair", work="replaced", place="coil.4", removed=f"{log.case}.coil.1", use="new")
    log.on_device(first, behind=30)
    log.note("A clock that goes behind")
    return log


@_story("unknown", "Coils that went nobody knows where, some answered", "unknown until answered")
def unknown():
    log = Logbook("unknown")
    gone = log.move(("coil.3", "unknown"))
    log.move(("coil.2", "coil.3"))
    ousted = log.move(("coil.1", "coil.4"))
    log.answer(f"where/{ousted['id']}/{log.case}.coil.4", "coil.2")
    log.answer(f"where/{gone['id']}/{log.case}.coil.3", "unknown")
    log.move(("coil.9", "off"), named=False)
    return log


@_story("brought-in", "A spare brought along and tried, a part noted twice, a tag bound anew", "one part, one trail")
def brought_in():
    log = Logbook("brought in")
    spare, other = log.new_id(), log.new_id()
    log.note_part("coil", part=spare, brand="Harrow", use="used", age_months=30)
    log.note_part("coil", "coil.3", part=other, brand="Plain", past="Fitted by the last owner")
    log.note_part("plug", "plug.3", part_number="P-7", use="used")
    log.tag(tag_code("one"), "coil.3")
    log.add("parts_moved", moves=[{"part": other, "from": "coil.3", "to": "off"}])
    log.add("parts_moved", moves=[{"part": spare, "from": "off", "to": "coil.3"}])
    log.drop({3: "full"})
    log.tag(tag_code("one"), spare)
    log.tag(tag_code("two"), other)
    log.fate(other, "bench_tested", bench="bad")
    return log


@_story("erased", "Personal fields erased on request", "the person goes, the findings stay")
def erased():
    log = Logbook(
        "erased",
        vehicle={"plate": "DEMO 42", "vin": "11111111111111111", "make": "Larkfield", "model": "Dunnock"},
        customer={"name": "Ada Invented", "phone": "555-0142", "address": "12 Nowhere Lane"},
    )
    words = log.complaint(words="Call me at my sister's.", lamp=None)
    agreed = log.agree("One coil and an hour", 180, "signed", name="Ada Invented", signature="ab" * 32)
    log.drop({1: "none"})
    log.erase(log.entries[0], words, agreed)
    return log


@_story("handed-over", "A short case from complaint to hand-over", "a report with pictures and a code left for later")
def handed_over():
    log = Logbook("handed over", customer={"name": "Ada Invented", "phone": "555-0142"})
    log.complaint("shakes", circumstances=["idle"], words="Since Tuesday.")
    log.codes("P0303", "P0442")
    look = log.check("coil_look", "cracked", place="coil.3")
    log.photo("d4" * 32, 52_000, "coil", place="coil.3", of=look["id"])
    fixed = log.replace("coil.3", brand="Harrow", torque="6 lbf·ft", torque_source="Maker's sheet")
    log.photo("e5" * 32, 49_000, "repair", place="coil.3", of=fixed["id"])
    log.clear()
    log.drive(15, conditions=["idle", "hot"])
    log.codes("P0442")
    log.close("Coil of 3 was cracked", {"P0442": "Small leak: wants smoke"}, components=["coil@3"], advice="No hurry.")
    return log


@_story("whole", "A whole case with every kind of entry", "every kind has words in the timeline")
def whole():
    log = Logbook("whole", odometer="148,200 km", customer={"name": "Ada Invented", "phone": "555-0142"})
    log.complaint("shakes", "smell", circumstances=["cold"], words="Since the car wash.", since="2025-03-01")
    look = log.connectors({1: "good", 2: "good", 3: "oily", 4: "good"})
    photo = log.photo("a1" * 32, 81_234, "connector", place="coil.3", of=look[2]["id"], caption="Oil in the well")
    log.add("marked", of=photo["id"], sort="arrow", x=0.2, y=0.8, to_x=0.45, to_y=0.55)
    log.add("marked", of=photo["id"], sort="words", x=0.1, y=0.9, text="Oil up to here")
    log.add("recording", sha256="b2" * 32, bytes=4_321, form="voice", seconds=7.5, of=look[2]["id"])
    log.codes("P0303", freeze_frame={"code": "P0303", "rpm": 812.5, "load": 31.4})
    asked = log.price("estimate", ("part", "Coil", 2, 6400), ("labour", "Coils", 0.5, 7200), taxes={"Tax": 8.875})
    log.agree("Up to two coils", 220, "written", of=asked["id"])
    log.note("Valve cover gasket weeps", cylinder=3)
    log.note_part("coil", "coil.3", brand="Plain", origin="original")
    log.swap("coil", 3, 1, note="Cleaned both wells")
    log.shake(752.5, "1.42", half_order="31")
    log.drop({1: "none", 3: "full"})
    moved = log.move(("coil.2", "coil.1"))
    log.answer(f"where/{moved['id']}/{log.case}.coil.3", "off")
    log.replace("coil.2", brand="Harrow", part_number="HC-118", torque="8.1", torque_source="Maker's sheet")
    log.clear("battery")
    log.shake(748.0, "0.61")
    log.drive(12.5, conditions=["cold", "load"], counts={1: 0, 2: 0})
    log.codes()
    log.tag(tag_code("whole"), f"{log.case}.coil.3")
    log.fate(f"{log.case}.coil.3", "shelf", deadline="2025-04-01")
    log.close("Coil of 3 broke down", {"P0420": "Catalyst: watch it"}, advice="Come back if the lamp lights.")
    log.reopen("Shook once on the way home")
    log.price("bill", ("part", "Coil", 1, 6400), ("labour", "Coil of 2", 0.25, 7200), taxes={"Tax": 8.875})
    log.close("Coil of 3 broke down", components=["coil@3"], probabilities={"coil@3": 0.97})
    log.strike(look[0], "Was number 2")
    log.erase(log.entries[0])
    return log


VARIETY = tuple(_BUILDERS)


def log_of(key: str) -> list[Entry]:
    """The entries of the story or the log of variety of that key."""
    for story in STORIES + VARIETY:
        if story.key == key:
            return story.build().entries
    raise KeyError(key)


def tag_code(seed: str) -> str:
    """A tag code with a right check character, always the same for one seed."""
    for draw in range(100):
        code = new_tag(f"{draw:02d}{seed}______".encode()[:6])
        if code:
            return code
    raise ValueError(f"no tag from {seed}")
