"""Cases of the trade, as logs, with what a mechanic of long standing would hold of each.

``leads``: components of which one must be the most suspect. ``next``: beginnings of the key of the first step, one of
which must fit. ``never``: beginnings that no step's key may have. ``below``: component -> probability it must stay
under. ``reason``: why, in the trade's terms. ``means``: what else the diagnosis is asked with, such as tools.
"""

from collections import namedtuple
from collections.abc import Callable
from typing import Any

from demo_fixtures.logbook import Logbook, quantity

TradeCase = namedtuple("TradeCase", "key reason build leads next never below means")

CASES: list[TradeCase] = []


def case(
    reason: str,
    leads: tuple[str, ...] = (),
    next: tuple[str, ...] = (),
    never: tuple[str, ...] = (),
    below: dict[str, float] | None = None,
    **means: Any,
):
    def keep(build: Callable[[], Logbook]):
        CASES.append(TradeCase(build.__name__, reason, build, leads, next, never, below or {}, means))
        return build

    return keep


def every(cylinders: int, usual: str, odd: dict[int, str] | None = None) -> dict[int, str]:
    return {c: (odd or {}).get(c, usual) for c in range(1, cylinders + 1)}


NO_COIL = ("repair/coil@", "swap/coil")
NO_REPAIR = ("repair/",)


# Coil on plug


@case(
    "A coil that breaks down under load pulls its weight at idle: a full drop at idle does not clear it, counters on "
    "the road point at the cylinder, and moving the coil costs less than buying one.",
    leads=("coil@2",),
    next=("swap/coil/2", "check/"),
    never=(*NO_REPAIR, "hand_over"),
)
def breaks_down_under_load():
    log = Logbook("under load")
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0302 pending")
    log.drop(every(4, "full"))
    log.drive(15, felt="sometimes", conditions=["load"], counts={1: 0, 2: 140, 3: 0, 4: 1})
    return log


@case(
    "Codes for the coil's circuit and a pin pushed back in its connector: the terminal is mended, no coil is bought.",
    leads=("coil_connector@1",),
    next=("repair/coil_connector@1",),
    never=NO_COIL,
)
def pin_pushed_back():
    log = Logbook("pin", 6, "vee")
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0301", "P0351")
    log.drop(every(6, "full", {1: "none"}), disabled="tool")
    log.connectors({1: "pin_back"})
    return log


@case(
    "No spark although supply, ground and control pulse are there: what is left is the coil.",
    leads=("coil@4",),
    next=("repair/coil@4",),
    never=("repair/coil_", "repair/injector"),
)
def no_spark_with_all_it_needs():
    log = Logbook("all it needs", 4)
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {4: "none"}))
    log.check("spark", "none", place="coil.4")
    log.check("coil_supply", "good", place="coil.4")
    log.check("coil_pulse", "present", place="coil.4")
    log.connectors({4: "good"})
    return log


@case(
    "No spark and no control pulse: wire or driver. A new coil would be thrown away.",
    leads=("coil_wiring@2",),
    never=("repair/coil@",),
)
def no_spark_and_no_pulse():
    log = Logbook("no pulse", 4)
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0302", "P0352")
    log.drop(every(4, "full", {2: "none"}), disabled="tool")
    log.connectors({2: "good"})
    log.check("coil_supply", "good", place="coil.2")
    log.check("coil_pulse", "absent", place="coil.2")
    return log


@case(
    "All three cylinders of one bank dead at once: what the bank shares, its supply, not three coils.",
    leads=("coil_supply@1",),
    next=("check/coil_supply", "check/spark"),
    never=NO_COIL,
)
def one_bank_dead():
    log = Logbook("bank", 6, "vee")
    log.complaint("shakes", "no_power", circumstances=["always"], lamp="flashing")
    log.codes("P0300", "P0301", "P0303", "P0305")
    log.drop(every(6, "full", {1: "none", 3: "none", 5: "none"}), disabled="tool")
    return log


@case(
    "A cracked insulator has been seen on the plug of the weak cylinder: a plug is cheap and proved by the eye.",
    leads=("plug@3",),
    next=("repair/plug@3",),
    never=("repair/coil", "repair/injector"),
)
def cracked_plug():
    log = Logbook("cracked", 4)
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0303")
    log.drop(every(4, "full", {3: "small"}))
    log.check("plug_look", "cracked", place="plug.3")
    log.check("coil_look", "good", place="coil.3")
    return log


@case(
    "The miss went away when the coils were swapped and stays at neither: the connector made contact again. It is "
    "driven to see, the terminal is mended; a coil is not bought.",
    next=("road",),
    never=("repair/coil@", "swap/"),
)
def gone_since_the_swap():
    log = Logbook("gone", 4)
    log.complaint("shakes", circumstances=["sometimes"])
    log.codes("P0303", "P0353")
    log.connectors({3: "loose"})
    log.drop({3: "none", 1: "full", 2: "full", 4: "full"}, disabled="tool")
    log.swap("coil", 3, 1)
    log.drop({3: "full", 1: "full"}, disabled="tool")
    return log


@case(
    "The code says cylinder 2, but after the swap its coil runs well at 4 and 2 still misses: not the coil; the plug "
    "and the injector of 2 come next, the cheap look first.",
    next=("check/",),
    never=("repair/coil@", "hand_over"),
    below={"coil@2": 0.12},
)
def not_the_coil():
    log = Logbook("not the coil", 4)
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0302")
    log.drop(every(4, "full", {2: "small"}), disabled="tool")
    log.swap("coil", 2, 4)
    log.drop({2: "small", 4: "full"}, disabled="tool")
    return log


@case(
    "Spark good, plug good, pulse there, injector faint, compression good: it does not meter.",
    leads=("injector@4",),
    next=("check/", "swap/"),
    never=("repair/coil", "repair/plug", "hand_over"),
)
def injector_that_meters_badly():
    log = Logbook("meters", 4)
    log.complaint("shakes", circumstances=["idle"])
    log.drop(every(4, "full", {4: "small"}))
    log.check("spark", "strong", place="coil.4")
    log.check("plug_look", "good", place="plug.4")
    log.check("injector_pulse", "present", place="injector.4")
    log.check("injector_sound", "faint", place="injector.4")
    log.check("compression", "good", cylinder=4)
    return log


@case(
    "An injector code and no pulse at its connector: wire or driver, not the injector.",
    leads=("injector_circuit@3",),
    next=("repair/injector_circuit@3",),
    never=("repair/injector@", "swap/injector", *NO_COIL),
)
def no_injector_pulse():
    log = Logbook("no injector pulse", 4)
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0203", "P0303")
    log.drop(every(4, "full", {3: "none"}), disabled="tool")
    log.check("injector_pulse", "absent", place="injector.3")
    return log


@case(
    "Spark, plug, injector good and no compression: the engine's inside. A driveway is no place for it; the car is "
    "handed on with the cause named, and nothing is bought.",
    leads=("compression@1",),
    next=("hand_over", "check/leak_down"),
    never=NO_REPAIR,
)
def no_compression():
    log = Logbook("compression", 4)
    log.complaint("shakes", "hard_start", circumstances=["always"])
    log.drop(every(4, "full", {1: "none"}))
    log.check("spark", "strong", place="coil.1")
    log.check("plug_look", "good", place="plug.1")
    log.check("injector_sound", "clicks", place="injector.1")
    log.compression({2: "165 psi", 3: "170 psi", 4: "168 psi"})
    log.check("compression", "none", cylinder=1, reading=("20 psi", "pressure"))
    return log


@case(
    "Two neighbours weak and nothing else known: before anything is bought, compression is measured, since a gasket "
    "between them explains both at once.",
    never=NO_REPAIR,
)
def weak_neighbours():
    log = Logbook("neighbours", 4)
    log.complaint("shakes", "hard_start", circumstances=["always"])
    log.codes("P0302", "P0303")
    log.drop(every(4, "full", {2: "small", 3: "small"}), disabled="tool")
    for cylinder in (2, 3):
        log.check("spark", "strong", place=f"coil.{cylinder}")
    return log


@case(
    "Twelve cylinders, number 9 dead: its coil is tried on its own bank, next to it, not across the engine.",
    leads=("coil@9",),
    never=NO_REPAIR,
    next=("swap/coil/9/7", "swap/coil/9/11", "check/spark/coil.9", "check/injector_sound/injector.9"),
)
def twelve_cylinders():
    log = Logbook("twelve", 12, "vee")
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0309")
    log.drop(every(12, "full", {9: "none"}), disabled="tool")
    return log


@case(
    "One cylinder: there is nothing to swap with, so the spark is looked at.",
    never=("swap/", *NO_REPAIR),
    next=("check/spark", "check/connector_look", "check/wiggle", "check/injector_sound"),
)
def one_cylinder():
    log = Logbook("single", 1)
    log.complaint("shakes", "stalls", circumstances=["always"])
    log.drop({1: "none"})
    return log


@case(
    "Nothing but hands: what is proposed is a swap or a look, nothing that needs a tool.",
    leads=("coil@2",),
    next=("swap/coil/2", "check/connector_look", "check/wiggle", "check/coil_look"),
    never=(
        *("codes", "check/spark", "check/injector_s", "check/injector_p", "check/injector_r", "check/injector_b"),
        *("check/compression", "check/leak", "check/coil_p", "check/coil_s", "check/plug", *NO_REPAIR),
    ),
    tools=[],
)
def bare_hands():
    log = Logbook("bare hands", 3)
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(3, "full", {2: "none"}))
    return log


@case(
    "A broken lock tab names no cylinder that misses: which one it is shows the drop test, before a coil is moved.",
    next=("round/drop",),
    never=("swap/", "repair/coil@", "repair/plug@", "repair/boot@", "repair/injector@"),
    tools=["plug_socket", "spark_tester", "meter"],
)
def a_broken_tab_names_no_cylinder():
    log = Logbook("broken tab")
    log.complaint("shakes", circumstances=["idle"])
    log.connectors(every(4, "good", {2: "latch_broken"}))
    return log


@case(
    "The same on an engine of six where the tabs of two are broken: the drop test, not a coil here or there.",
    next=("round/drop",),
    never=("swap/", "repair/coil@", "repair/plug@", "repair/boot@", "repair/injector@"),
    tools=["plug_socket"],
)
def broken_tabs_on_a_six():
    log = Logbook("two tabs", 6, "vee")
    log.complaint("shakes", circumstances=["idle"])
    log.connectors(every(6, "good", {4: "latch_broken", 3: "loose"}))
    return log


@case(
    "The coil was swapped and the miss stayed: its connector was in hand and pressed on, so what is looked at next "
    "lies beyond it, in the harness or at the plug.",
    next=("check/",),
    never=("check/connector_look/coil.5", "check/connector_look/coil.3", "repair/coil@", "hand_over"),
)
def the_connector_was_in_hand():
    log = Logbook("in hand", 6, "vee")
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0305")
    log.drop(every(6, "full", {5: "none"}), disabled="tool")
    log.swap("coil", 5, 3)
    log.drop({5: "none", 3: "full"}, disabled="tool")
    return log


# Waste spark


@case(
    "A pair's coil fires both: when only one of them misses, the coil is good; plug, lead or injector of that one.",
    leads=("plug@4", "boot@4", "injector@4"),
    never=NO_COIL,
    below={"coil@1": 0.1},
)
def one_of_a_pair():
    log = Logbook("one of a pair", ignition="waste_spark")
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {4: "small"}))
    log.check("spark", "strong", place="coil.1")
    return log


@case(
    "Both codes of one pair and the coil's circuit code: coil or its wiring at that position.",
    leads=("coil@2", "coil_connector@2", "coil_wiring@2"),
    never=("repair/injector", "repair/plug", "swap/plug", "swap/injector"),
)
def pair_with_circuit_code():
    log = Logbook("pair", 6, "vee", "waste_spark")
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0302", "P0305", "P0352")
    return log


@case(
    "The pair's coils were swapped and the misses went over to the other pair: that coil.",
    leads=("coil@2",),
    next=("repair/coil@2",),
)
def pair_follows():
    log = Logbook("pair follows", ignition="waste_spark")
    log.complaint("shakes", circumstances=["always"])
    log.round("misfire_counts", every(4, "none", {2: "many", 3: "many"}))
    log.swap("coil", 1, 2)
    log.round("misfire_counts", every(4, "none", {1: "many", 4: "many"}))
    return log


# Distributor


@case(
    "Behind a distributor one cylinder alone cannot be the coil: its lead, plug or injector.",
    leads=("injector@3", "plug@3", "boot@3"),
    never=("repair/coil@", "repair/cap", "repair/rotor"),
    below={"coil@1": 0.08, "rotor": 0.05},
)
def distributor_one_cylinder():
    log = Logbook("distributor one", ignition="distributor")
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {3: "none"}))
    return log


@case(
    "No spark from the coil, with supply and pulse there: the coil.",
    leads=("coil@1",),
    next=("repair/coil@1",),
    never=("swap/",),
)
def distributor_coil():
    log = Logbook("distributor coil", 6, ignition="distributor")
    log.complaint("stalls", "no_power", circumstances=["always"])
    log.check("spark", "none", place="coil.1")
    log.check("coil_supply", "good", place="coil.1")
    log.check("coil_pulse", "present", place="coil.1")
    log.check("coil_primary", "open", place="coil.1")
    return log


# Coil near plug


@case(
    "The lead went to another cylinder and the miss with it: the lead, not its coil.",
    leads=("boot@2",),
    next=("repair/boot@2",),
    never=("repair/coil",),
)
def the_lead_carries_it():
    log = Logbook("lead", 4, "flat", "coil_near_plug")
    log.complaint("shakes", circumstances=["wet"])
    log.codes("P0302")
    log.drop(every(4, "full", {2: "small"}), conditions=["idle", "wet"], disabled="tool")
    log.swap("coil", 2, 4)
    log.drop({2: "small", 4: "full"}, conditions=["idle", "wet"], disabled="tool")
    log.swap("boot", 2, 4)
    log.drop({2: "full", 4: "small"}, conditions=["idle", "wet"], disabled="tool")
    return log


# The engine as a whole


@case(
    "Lean at idle, better at speed, every cylinder alike: air that nobody measured. The leak is found with smoke or "
    "sealed; no coil, no plug.",
    leads=("unmetered_air",),
    next=("check/air_leak", "repair/unmetered_air"),
    never=(*NO_COIL, "repair/plug", "repair/injector"),
)
def lean_at_idle():
    log = Logbook("lean", 4)
    log.complaint("shakes", circumstances=["idle"])
    log.codes("P0300", "P0171")
    log.check("fuel_trim", "lean_idle")
    return log


@case(
    "Lean and worse under load with low pressure: fuel delivery, on all cylinders.",
    leads=("fuel_delivery",),
    next=("repair/fuel_delivery",),
    never=NO_COIL,
)
def starved_under_load():
    log = Logbook("starved", 6, "vee")
    log.complaint("no_power", "jerks", circumstances=["load"])
    log.codes("P0300", "P0171", "P0174")
    log.check("fuel_trim", "lean_load")
    log.check("fuel_pressure", "low")
    return log


@case(
    "Low voltage weakens every spark: charging is put right before any part of one cylinder is touched.",
    leads=("system_voltage",),
    never=NO_COIL,
)
def low_voltage():
    log = Logbook("voltage", 4)
    log.complaint("shakes", "hard_start")
    log.codes("P0300", "P0562")
    log.check("voltage", "low")
    return log


@case(
    "A complaint that comes now and then under load and nothing else known: the counters on the road find the "
    "cylinder; at idle the drop test would show nothing.",
    next=("codes",),
    never=(*NO_REPAIR, "swap/", "hand_over"),
)
def now_and_then():
    log = Logbook("now and then", 8, "vee")
    log.complaint("jerks", circumstances=["load", "sometimes"])
    return log


@case(
    "The same without any tool: no codes, no counters; the drop test is what there is.",
    next=("round/drop",),
    never=("codes", "round/misfire_counts", *NO_REPAIR),
    tools=[],
)
def now_and_then_without_tools():
    return now_and_then()


@case(
    "The code of low fuel and a tank nearly empty: it is filled and driven before anything is taken apart.",
    next=("fill",),
    never=(*NO_COIL, "repair/"),
)
def nearly_empty():
    log = Logbook("empty", 4)
    log.complaint("shakes", "stalls", circumstances=["sometimes"])
    log.codes("P0300", "P0313")
    log.check("fuel_level", "low")
    return log


@case(
    "It smells of fuel: whether any leaks is looked at before a spark is made in the open.",
    next=("check/fuel_leak",),
    never=(
        "check/spark",
        "check/air_leak",
        "check/runner_leak",
        "check/compression",
        "check/wiggle",
        "round/",
        "swap/",
    ),
)
def smell_of_fuel():
    log = Logbook("smell", 4)
    log.complaint("shakes", "smell", circumstances=["always"])
    log.drop(every(4, "full", {3: "none"}))
    return log


@case(
    "Fuel leaks: it is stopped, and until then there is no next step.",
    next=("stop_leak",),
    never=("check/", "swap/", "codes", "road", "round/"),
)
def fuel_leaks():
    log = smell_of_fuel()
    log.check("fuel_leak", "wet")
    return log


@case(
    "No leak was found: the spark can be looked at.",
    next=("check/spark", "swap/coil/3", "check/injector_sound"),
    never=("check/fuel_leak", *NO_REPAIR),
)
def nothing_leaks():
    log = smell_of_fuel()
    log.check("fuel_leak", "dry")
    return log


# Faults at once, and after a repair


@case(
    "One coil is replaced and the injector of another cylinder is silent: the work is not done, and a drive would "
    "prove nothing.",
    leads=("coil@2",),
    next=("repair/injector@4", "check/injector", "check/spark/coil.4"),
    never=("road", "close", "clear", "repair/coil@"),
)
def second_fault_left():
    log = Logbook("second fault", 4)
    log.complaint("shakes", "no_power", circumstances=["always"])
    log.codes("P0302", "P0304", "P0204")
    log.drop(every(4, "full", {2: "none", 4: "none"}), disabled="tool")
    log.swap("coil", 2, 1)
    log.drop({2: "full", 1: "none"}, disabled="tool")
    log.replace("coil.1")
    log.check("injector_sound", "silent", place="injector.4")
    log.check("injector_pulse", "present", place="injector.4")
    return log


@case(
    "The coil was replaced, codes cleared, and the same code came back: the search goes on, and the new coil is not "
    "the first to blame.",
    next=("check/", "swap/"),
    never=("close", "road", "repair/coil@"),
)
def code_came_back():
    log = Logbook("came back", 4)
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0303")
    log.drop(every(4, "full", {3: "none"}), disabled="tool")
    log.replace("coil.3")
    log.clear()
    log.drive(10, felt="always")
    log.codes("P0303")
    return log


@case(
    "Repaired, cleared, driven clean, codes read: close it. The catalyst code that stays is left for later.",
    next=("close",),
    never=("repair/", "swap/", "check/"),
)
def proved():
    log = Logbook("proved", 4)
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0301", "P0420")
    log.drop(every(4, "full", {1: "none"}), disabled="tool")
    log.swap("coil", 1, 2)
    log.drop({1: "full", 2: "none"}, disabled="tool")
    log.replace("coil.2")
    log.clear()
    log.drive(20)
    log.codes("P0420")
    return log


@case(
    "Repaired and cleared; before it is driven it is not closed. It did no work before: whether it does is a minute's "
    "look at idle, and comes before a quarter of an hour on the road.",
    next=("check/drop/2",),
    never=("close", "repair/"),
)
def not_driven_yet():
    log = Logbook("not driven", 4)
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0301")
    log.drop(every(4, "full", {1: "none"}), disabled="tool")
    log.swap("coil", 1, 2)
    log.drop({1: "full", 2: "none"}, disabled="tool")
    log.replace("coil.2")
    log.clear()
    return log


# Access


@case(
    "The dead cylinder's coil lies under the intake: what can be learnt without taking it off comes first.",
    leads=("coil@1",),
    next=("check/injector_sound", "check/injector_resistance", "codes", "check/misfire_counts", "check/rpm_effect"),
    never=NO_REPAIR,
)
def under_the_intake():
    log = Logbook("intake", 6, "vee")
    for position in (1, 3, 5):
        log.note_part("coil", f"coil.{position}", reach="covered")
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0301")
    log.drop(every(6, "full", {1: "none"}), disabled="tool")
    return log


@case(
    "A full drop and no drop of one cylinder with nothing moved between: one of them is a slip. It is named, and the "
    "diagnosis stays sane.",
    never=("hand_over",),
)
def contradiction():
    log = Logbook("contradiction", 4)
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {3: "none"}))
    log.drop({3: "full"})
    return log


# By what was read and found on the parts


@case(
    "The plugs were swapped and the miss went with one: a fouled plug is dead wherever it sits. A plug, no coil.",
    leads=("plug@2",),
    next=("repair/plug@2",),
    never=("repair/coil", "swap/", "hand_over"),
)
def the_plug_carries_it():
    log = Logbook("plug", 4)
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {2: "none"}), disabled="tool")
    log.swap("plug", 2, 3)
    log.drop({2: "full", 3: "none"}, disabled="tool")
    return log


@case(
    "The plug of the dead cylinder is wet: fuel arrives and is not lit. Spark is looked at, the injector left alone.",
    leads=("coil@3",),
    next=("check/spark", "swap/coil/3", "check/connector_look", "check/wiggle", "check/coil"),
    never=("repair/injector", "swap/injector", "check/injector"),
    below={"injector@3": 0.03, "injector_circuit@3": 0.03},
)
def wet_plug():
    log = Logbook("wet plug", 4)
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {3: "none"}), disabled="tool")
    log.check("plug_look", "wet", place="plug.3")
    return log


@case(
    "Oil in one plug well and the miss comes in the wet: the boot has gone soft, or its coil. Not the injector.",
    leads=("boot@3", "coil@3"),
    next=("check/spray/3", "swap/coil/3", "swap/boot/3", "check/spark", "check/coil", "check/boot"),
    never=("repair/injector", "swap/injector"),
)
def oil_in_the_well():
    log = Logbook("oil", 4)
    log.complaint("jerks", circumstances=["wet"])
    log.codes("P0303")
    log.drop(every(4, "full", {3: "small"}), conditions=["idle", "wet"], disabled="tool")
    log.round("coil_look", every(4, "good", {3: "oil_in_well"}), kind="coil")
    return log


@case(
    "The boot alone was moved from coil to coil and the miss went with it: a boot for little money, the coil stays.",
    leads=("boot@3",),
    next=("repair/boot@3",),
    never=("repair/coil", "swap/coil"),
)
def the_boot_alone_carries_it():
    log = Logbook("boot alone", 4)
    log.complaint("jerks", circumstances=["wet"])
    log.codes("P0303")
    log.drop(every(4, "full", {3: "small"}), conditions=["idle", "wet"], disabled="tool")
    log.check("coil_look", "tracked", place="coil.3")
    log.swap("boot", 3, 1)
    log.drop({1: "small", 3: "full"}, conditions=["idle", "wet"], disabled="tool")
    return log


def misses_in_rain(key: str) -> Logbook:
    """Cylinder 4 of a V6 misses in rain under load; its coil went to cylinder 2, boot and all, and the miss with it."""
    log = Logbook(key, 6, "vee")
    log.complaint("jerks", circumstances=["wet", "load"])
    log.codes("P0304")
    log.swap("coil", 4, 2)
    log.clear()
    log.codes("P0302")
    return log


@case(
    "Coil and boot went over together, and in the wet a boot is a real rival: it is looked at or wetted before a coil "
    "is bought. The code came after the clearing: nothing is cleared again, nothing driven to be told so.",
    leads=("coil@4", "boot@4"),
    next=("check/coil_look/coil.2", "swap/boot/2", "check/spray/2"),
    never=("clear", "road", *NO_REPAIR),
)
def coil_and_boot_moved_together():
    return misses_in_rain("together")


@case(
    "A track on the boot that moved along, and a miss in the wet: the boot let the spark out, its coil stays.",
    leads=("boot@4",),
    next=("repair/boot@4", "swap/boot/2", "check/spray/2", "check/boot_resistance", "check/plug_look"),
    never=("repair/coil",),
    below={"coil@4": 0.3},
)
def track_on_the_boot_that_moved_along():
    log = misses_in_rain("track")
    log.check("coil_look", "tracked", place="coil.2")
    return log


@case(
    "It misses in rain and nothing names a cylinder: water on one after the other shows it on a dry day.",
    next=("codes", "round/spray"),
    never=("round/drop", *NO_REPAIR),
)
def rain_and_no_cylinder_known():
    log = Logbook("rain", 4)
    log.complaint("jerks", circumstances=["wet"])
    return log


@case(
    "Water on one plug well makes it miss: what leads the spark out in the wet, its boot before all.",
    leads=("boot@3",),
    next=("check/coil_look/coil.3", "swap/boot/3", "swap/coil/3"),
    never=("repair/injector", "repair/coil"),
)
def water_on_one_well():
    log = Logbook("water", 4)
    log.complaint("jerks", circumstances=["wet"])
    log.codes("P0303")
    log.round("spray", every(4, "steady", {3: "misses"}))
    return log


@case(
    "One lead of a pair measures open: the pair's coil is good, or both would miss.",
    leads=("boot@4",),
    next=("repair/boot@4",),
    never=NO_COIL,
    below={"coil@1": 0.1},
)
def open_lead():
    log = Logbook("open lead", ignition="waste_spark")
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {4: "small"}), disabled="tool")
    log.round("boot_resistance", every(4, "in_range", {4: "open"}), kind="boot")
    return log


@case(
    "The secondary winding of the weak cylinder's coil is far off the others', brought to 20 °C: that coil, once the "
    "minute for a look at its connector is spent.",
    leads=("coil@2",),
    next=("repair/coil@2", "swap/coil/2", "check/spark", "check/connector_look"),
    never=("repair/injector", "repair/plug", "repair/coil_"),
)
def winding_out_of_range():
    log = Logbook("winding", 4, ignition="coil_near_plug")
    log.complaint("jerks", circumstances=["load"])
    log.drop(every(4, "full", {2: "small"}), disabled="tool")
    same, warm = log.new_id(), quantity("60 °C", "temperature")
    for position, text in {1: "11.6 kΩ", 2: "26 kΩ", 3: "11.4 kΩ", 4: "11.7 kΩ"}.items():
        more = {"reading": (text, "resistance"), "temperature": warm, "limits": "9-12 kΩ", "round": same}
        log.check("coil_secondary", place=f"coil.{position}", **more)
    log.check("coil_primary", "in_range", place="coil.2")
    return log


@case(
    "Gauge readings alone: one cylinder at half of the others, better with oil, air out of the crankcase: rings. That "
    "is told to the owner, and nothing is bought.",
    leads=("compression@3",),
    next=("hand_over",),
    never=NO_REPAIR,
    below={"gasket@2-3": 0.05, "gasket@3-4": 0.05},
)
def rings():
    log = Logbook("rings", 4)
    log.complaint("shakes", circumstances=["idle"])
    log.drop(every(4, "full", {3: "small"}), disabled="tool")
    same = log.new_id()
    for cylinder, text in {1: "170 psi", 2: "168 psi", 3: "85 psi", 4: "172 psi"}.items():
        log.check("compression", cylinder=cylinder, reading=(text, "pressure"), round=same)
    log.check("compression_wet", cylinder=3, reading=("130 psi", "pressure"))
    log.check("leak_down", "crankcase", cylinder=3, reading=("45 %", "share"))
    return log


@case(
    "Two low neighbours, oil changes nothing, air comes out next door: the gasket between them.",
    leads=("gasket@2-3",),
    next=("hand_over",),
    never=NO_REPAIR,
)
def gasket_next_door():
    log = Logbook("next door", 6, "inline")
    log.complaint("shakes", "hard_start", circumstances=["always"])
    log.drop(every(6, "full", {2: "small", 3: "small"}), disabled="tool")
    log.compression({1: "170 psi", 2: "95 psi", 3: "90 psi", 4: "168 psi", 5: "171 psi", 6: "170 psi"}, low=(2, 3))
    log.check("compression_wet", cylinder=2, reading=("98 psi", "pressure"))
    log.check("leak_down", "across", cylinder=2)
    return log


@case(
    "One injector lets the pressure fall half as far as the others, winding and connector are good: clogged. Some "
    "looking comes before the hour of its exchange; no coil, no plug.",
    leads=("injector@3",),
    next=("repair/injector@3", "swap/injector/3", "check/"),
    never=(*NO_COIL, "repair/plug", "hand_over"),
)
def injectors_out_of_balance():
    log = Logbook("balance", 4)
    log.complaint("shakes", circumstances=["idle"])
    log.drop(every(4, "full", {3: "small"}), disabled="tool")
    log.check("spark", "strong", place="coil.3")
    same = log.new_id()
    for cylinder, text in {1: "55 kPa", 2: "56 kPa", 3: "26 kPa", 4: "54 kPa"}.items():
        log.check("injector_balance", place=f"injector.{cylinder}", reading=(text, "pressure"), round=same)
    log.check("injector_connector", "good", place="injector.3")
    log.check("injector_resistance", "in_range", place="injector.3")
    return log


@case(
    "The pin of the injector's connector is pushed back, and its circuit's code is there: the terminal is mended.",
    leads=("injector_circuit@3",),
    next=("repair/injector_circuit@3",),
    never=("repair/injector@", "swap/injector", *NO_COIL),
)
def injector_pin_pushed_back():
    log = Logbook("injector pin", 6, "vee")
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0203", "P0303")
    log.drop(every(6, "full", {3: "none"}), disabled="tool")
    log.check("injector_connector", "pin_back", place="injector.3")
    return log


@case(
    "Gas held to one runner changes the idle of a cylinder that is weak there and fine at speed: its joint draws air.",
    leads=("runner@5",),
    next=("repair/runner@5", "check/runner_leak"),
    never=NO_COIL,
)
def runner_draws_air():
    log = Logbook("runner", 6, "vee")
    log.complaint("shakes", circumstances=["idle"])
    log.drop(every(6, "full", {5: "small"}), disabled="tool")
    log.check("rpm_effect", "smooth")
    log.check("spark", "strong", place="coil.5")
    log.check("runner_gas", "rises", cylinder=5)
    return log


@case(
    "Trims as numbers, 21 % together at idle and 5 % at speed, and gas that changes the idle: unmetered air, by what "
    "the mechanic has at hand instead of smoke.",
    leads=("unmetered_air",),
    next=("repair/unmetered_air",),
    never=(*NO_COIL, "check/air_leak", "check/runner_leak"),
    tools=["scan_tool", "enrichment_gas"],
)
def trims_and_gas():
    log = Logbook("gas", 4)
    log.complaint("shakes", circumstances=["idle"])
    log.codes("P0300", "P0171")
    trims = {"short_trim_idle": 12, "long_trim_idle": 9, "short_trim_fast": 2, "long_trim_fast": 3}
    log.check("fuel_trim", **trims)
    log.check("intake_gas", "rises")
    return log


@case(
    "The purge valve's code, rich trims and a pressure that is high rather than low: too much fuel or vapour, no coil.",
    leads=("recirculation",),
    never=(*NO_COIL, "repair/fuel_delivery", "repair/unmetered_air"),
)
def rich_all_over():
    log = Logbook("rich", 4)
    log.complaint("shakes", "thirsty", circumstances=["idle"])
    log.codes("P0300", "P0172", "P0496")
    log.check("fuel_trim", short_trim_idle=-14, long_trim_idle=-9, short_trim_fast=-4, long_trim_fast=-3)
    log.check("fuel_pressure", reading=("3.6 bar", "pressure"), limits="2.8-3.2 bar")
    return log


@case(
    "11.4 V with the engine running: every spark is weak. Charging comes before any part of one cylinder.",
    leads=("system_voltage",),
    next=("repair/system_voltage",),
    never=NO_COIL,
)
def battery_not_charged():
    log = Logbook("not charged", 4)
    log.complaint("shakes", "hard_start")
    log.codes("P0300", "P0562")
    log.check("voltage", reading=("11.4 V", "voltage"))
    return log


@case(
    "The code's freeze frame was taken at idle, standing, and the cylinder runs well at speed: air at its runner or a "
    "valve come up beside the coil; nothing is bought for one code.",
    never=NO_REPAIR,
    next=("codes", "round/", "check/", "swap/coil/4"),
    below={"coil@4": 0.75},
)
def set_at_idle():
    log = Logbook("at idle", 4)
    log.complaint("shakes", circumstances=["idle"])
    log.codes("P0304", freeze_frame={"code": "P0304", "rpm": 740, "load": 24})
    log.check("rpm_effect", "smooth")
    log.drop(every(4, "full", {4: "small"}), disabled="tool")
    return log


@case(
    "Counters as numbers: one cylinder has nearly all, its neighbours' few are its own shaking. The coil is moved.",
    leads=("coil@2",),
    next=("swap/coil/2", "check/"),
    never=NO_REPAIR,
    below={"coil@1": 0.06, "coil@3": 0.06},
)
def counters_as_numbers():
    log = Logbook("numbers", 5)
    log.complaint("jerks", circumstances=["load"])
    same = log.new_id()
    for cylinder, count in {1: 6, 2: 310, 3: 9, 4: 0, 5: 2}.items():
        log.check("misfire_counts", cylinder=cylinder, count=count, round=same, conditions=["load"])
    return log


@case(
    "Engine speed before and during: without the fall of the others cylinder 1 does no work.",
    leads=("coil@1",),
    never=NO_REPAIR,
    next=("swap/coil/1", "check/"),
)
def drop_by_engine_speed():
    log = Logbook("engine speed", 3)
    log.complaint("shakes", circumstances=["always"])
    same = log.new_id()
    for cylinder, during in {1: 798, 2: 720, 3: 716}.items():
        log.check("drop", cylinder=cylinder, rpm_before=800, rpm_during=during, round=same, disabled="tool")
    return log


@case(
    "A plug with a gap worn wide behind a distributor, its cylinder weak under load: a plug, before lead or injector.",
    leads=("plug@3",),
    next=("repair/plug@3",),
    never=("repair/coil@", "repair/cap", "repair/rotor", "repair/injector"),
)
def gap_worn_wide():
    log = Logbook("gap", ignition="distributor")
    log.complaint("jerks", circumstances=["load"])
    log.drop(every(4, "full", {3: "small"}), disabled="tool")
    log.check("plug_gap", place="plug.3", reading=("1.5 mm", "gap"), limits="0.7-0.8 mm")
    log.check("plug_look", "worn", place="plug.3")
    return log


# Faults at once, by the bench


@case(
    "The coil was replaced and the miss stayed; on the bench it is good. The search goes on at that cylinder, and no "
    "second coil is bought.",
    next=("check/", "swap/"),
    never=("repair/coil@", "close", "road"),
    below={"coil@3": 0.05, "coil@new": 0.1},
)
def good_on_the_bench():
    log = Logbook("bench", 4)
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0303")
    log.drop(every(4, "full", {3: "none"}), disabled="tool")
    removed = log.part_at("coil.3")
    log.replace("coil.3")
    log.fate(removed, "bench_tested", bench="good")
    log.drop({3: "none"}, disabled="tool")
    return log


@case(
    "Fuel runs short on all, and one cylinder is dead besides: both are true. The pressure does not excuse the coil.",
    leads=("fuel_delivery", "coil@2"),
    never=("repair/plug", "repair/injector@1", "repair/coil@1", "repair/coil@3", "repair/coil@4"),
)
def short_of_fuel_and_a_dead_coil():
    log = Logbook("both", 4)
    log.complaint("no_power", "shakes", circumstances=["always"])
    log.codes("P0171", "P0302", "P0352")
    log.drop(every(4, "full", {2: "none"}), disabled="tool")
    log.check("fuel_pressure", reading=("1.9 bar", "pressure"), limits="2.8-3.2 bar")
    log.check("fuel_trim", "lean_load")
    log.check("spark", "none", place="coil.2")
    log.check("coil_supply", place="coil.2", reading=("12.2 V", "voltage"))
    log.check("coil_pulse", "present", place="coil.2")
    return log


@case(
    "It misses when the harness at one coil is moved and its tab is broken: contact, which no new coil mends.",
    leads=("coil_connector@5",),
    next=("repair/coil_connector@5",),
    never=NO_COIL,
)
def misses_when_moved():
    log = Logbook("moved", 6, "vee")
    log.complaint("jerks", circumstances=["sometimes"])
    log.codes("P0305", "P0355")
    log.connectors(every(6, "good", {5: "latch_broken"}))
    log.check("wiggle", "misses", place="coil.5")
    return log


@case(
    "Smoke fed into the intake comes out, and at one runner, whose cylinder is weak: that joint is sealed.",
    leads=("runner@2",),
    next=("repair/runner@2",),
    never=NO_COIL,
)
def smoke_at_one_runner():
    log = Logbook("smoke", 4)
    log.complaint("shakes", circumstances=["idle"])
    log.drop(every(4, "full", {2: "small"}), disabled="tool")
    log.check("air_leak", "leaks")
    log.check("runner_leak", "leaks", cylinder=2)
    return log


# As they come in over a day


@case(
    "A smell of fuel and a code: until somebody has looked for the leak nothing is cranked, run or unplugged.",
    next=("check/fuel_leak",),
    never=("round/", "check/compression", "check/wiggle", "check/drop", "swap/", *NO_REPAIR),
)
def smell_of_fuel_and_a_code():
    log = Logbook("smell and code")
    log.complaint("shakes", "smell", circumstances=["always"])
    log.codes("P0302")
    return log


@case(
    "Only the owner's new coil of two weeks ago was fitted before arrival: nothing of ours is to be proved. What the "
    "cylinder does now is seen first.",
    next=("round/drop",),
    never=("clear", "road", "close", "repair/coil@"),
)
def new_coil_two_weeks_ago():
    log = Logbook("two weeks ago")
    log.replace("coil.3", before_arrival=1)
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0303")
    return log


@case(
    "The new coil stands accused again, and the miss stays when it is moved: plug, injector or place, no third coil.",
    leads=("plug@3",),
    next=("check/", "swap/plug/3", "repair/plug@3"),
    never=("clear", "road", "close", "repair/coil@", "swap/coil"),
    below={"coil@new": 0.05},
)
def third_coil_not_bought():
    log = new_coil_two_weeks_ago()
    log.drop(every(4, "full", {3: "none"}), disabled="tool")
    log.connectors(every(4, "good"))
    log.swap("coil", 3, 4)
    log.drop({3: "none", 4: "full"}, disabled="tool")
    return log


@case(
    "A code names a cylinder of an engine that shakes all the time: a minute a cylinder shows whether it still does.",
    next=("round/drop",),
    never=(*NO_REPAIR, "hand_over"),
)
def a_code_and_a_shake():
    log = Logbook("code and shake")
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0302")
    return log


@case(
    "Swapped a minute ago: both cylinders are looked at, and nothing is bought between.",
    next=("round/drop/1-3",),
    never=(*NO_REPAIR, "hand_over"),
)
def swapped_a_minute_ago():
    log = Logbook("a minute ago")
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0303")
    log.drop(every(4, "full", {3: "none"}), disabled="tool")
    log.swap("coil", 3, 1)
    return log


@case(
    "It misses under load alone: after the swap idle would show two good cylinders. The codes are cleared, then it is "
    "driven, with the counters.",
    next=("clear",),
    never=(*NO_REPAIR, "hand_over", "close"),
)
def swapped_for_a_miss_under_load():
    log = Logbook("driven again")
    log.complaint("jerks", circumstances=["load", "hot"])
    log.codes("P0303 pending")
    log.drop(every(4, "full"), disabled="tool")
    log.drive(20, felt="sometimes", conditions=["load", "hot"], counts={3: 60, 4: 1})
    log.swap("coil", 3, 2)
    return log


@case(
    "The coil is cleared; before the gauge goes into the cylinder the plug that comes out for it is looked at.",
    leads=("plug@2",),
    next=("check/plug_look/plug.2", "swap/plug/2", "repair/plug@2"),
    never=("repair/coil@", "hand_over"),
)
def plug_before_gauge():
    log = Logbook("plug before gauge")
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0302")
    log.drive(10, felt="sometimes", conditions=["load"], counts={2: 80})
    log.swap("coil", 2, 3)
    log.drive(10, felt="sometimes", conditions=["load"], counts={2: 75})
    return log


@case(
    "Two neighbours weak at idle, both sparks unknown: compression of the two before any swap, since what lies between "
    "them explains both.",
    next=("round/compression/2-3",),
    never=NO_REPAIR,
)
def neighbours_weak_when_cold():
    log = Logbook("weak when cold")
    log.complaint("shakes", "hard_start", circumstances=["cold"])
    log.codes("P0302", "P0303")
    log.drop(every(4, "full", {2: "small", 3: "small"}), disabled="tool")
    return log


@case(
    "Lean at idle, good at speed, and only one cylinder weak: air at its own runner rather than a leak all share.",
    leads=("runner@1",),
    next=("check/runner", "check/air_leak", "check/intake_gas", "repair/runner@1"),
    never=(*NO_COIL, "repair/plug", "repair/injector"),
)
def lean_with_one_weak_cylinder():
    log = Logbook("one runner")
    log.complaint("shakes", circumstances=["idle"])
    log.codes("P0301", "P0171")
    log.drop(every(4, "full", {1: "small"}), disabled="tool")
    log.check("rpm_effect", "smooth")
    log.check("fuel_trim", "lean_idle")
    return log


@case(
    "Counters read on the road show all cylinders alike: what all share is looked at; no counters are read again.",
    leads=("fuel_delivery", "exhaust"),
    next=("check/fuel", "check/voltage"),
    never=(*NO_COIL, "round/misfire_counts", "repair/plug"),
)
def all_alike_on_the_road():
    log = Logbook("all alike")
    log.complaint("shakes", "jerks", circumstances=["load"])
    log.codes("P0300")
    log.drop(every(4, "full"), disabled="tool")
    log.drive(10, felt="sometimes", conditions=["load"], counts={1: 9, 2: 7, 3: 11, 4: 8})
    return log


@case(
    "New plugs, all gapped too wide: the gaps are set while the plugs are out, before anything is judged or bought.",
    next=("gap/plug.1",),
    never=(*NO_COIL, "clear", "close"),
)
def new_plugs_gapped_wrong():
    log = Logbook("gapped wrong")
    for cylinder in range(1, 5):
        log.replace(f"plug.{cylinder}", before_arrival=1)
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0300")
    log.round("plug_gap", {1: "wide", 2: "wide", 3: "wide", 4: "wide"}, kind="plug")
    return log


@case(
    "Two gaps of four are set: the others come next, before codes are cleared or the car is driven.",
    next=("gap/plug.3",),
    never=("clear", "road", "close"),
)
def half_of_the_gaps_set():
    log = new_plugs_gapped_wrong()
    log.add("repair", work="mended", place="plug.1")
    log.add("repair", work="mended", place="plug.2")
    return log


@case(
    "A pair is dead and nobody looked at its coil's connector: a minute for that, or the coil is moved, before it is "
    "bought.",
    leads=("coil@1",),
    next=("check/connector_look/coil.1", "swap/coil/1/2"),
    never=("repair/coil@", "repair/plug", "repair/injector", "hand_over"),
)
def connector_before_the_coil_is_bought():
    log = Logbook("pair dead", ignition="waste_spark")
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0301", "P0304")
    log.drop(every(4, "full", {1: "none", 4: "none"}), disabled="tool")
    return log


@case(
    "A lead that measures open is broken inside: the spark must jump there too. The lead is replaced, and no plug.",
    leads=("boot@2",),
    next=("repair/boot@2",),
    never=(*NO_COIL, "repair/plug", "repair/injector"),
)
def lead_open():
    log = Logbook("lead open", ignition="distributor")
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0302")
    log.drop(every(4, "full", {2: "small"}), disabled="injector")
    log.check("boot_resistance", "open", place="boot.2")
    return log


@case(
    "Every cylinder misses in the wet behind a distributor: its cap is opened, which takes minutes and no tool.",
    next=("check/cap_look",),
    never=(*NO_COIL, "repair/"),
)
def distributor_in_the_wet():
    log = Logbook("cap in the wet", ignition="distributor")
    log.complaint("shakes", "stalls", circumstances=["wet"])
    log.codes("P0300")
    log.round("misfire_counts", every(4, "some"), conditions=["wet", "idle"])
    return log


@case(
    "The same with a carbon track inside the cap: the cap is replaced.",
    leads=("cap",),
    next=("repair/cap",),
    never=(*NO_COIL, "repair/rotor"),
)
def track_in_the_cap():
    log = distributor_in_the_wet()
    log.check("cap_look", "tracked")
    return log


@case(
    "The same with a cap that is clean and dry: cap and rotor are less suspect, and neither is bought.",
    never=(*NO_COIL, "repair/cap", "repair/rotor"),
    below={"cap": 0.10},
)
def clean_cap():
    log = distributor_in_the_wet()
    log.check("cap_look", "good")
    return log
