"""What was moved is told with its name: coil, boot, lead, plug or injector, and the cylinders."""

import pytest

from coiltrail.core import casefile, moved_words
from coiltrail.core.engine import Engine
from demo_fixtures.logbook import Logbook

ON_PLUG, NEAR_PLUG, SHARED = [Engine(4, "inline", i) for i in ("coil_on_plug", "coil_near_plug", "waste_spark")]


def moves(*pairs: tuple[str, str]) -> list[dict]:
    return [{"from": from_, "to": to} for from_, to in pairs]


@pytest.mark.parametrize(
    ("engine", "kind", "to_do", "done"),
    [
        (ON_PLUG, "coil", "Swap the coils of cylinders 2 and 1", "Coils of cylinders 2 and 1 swapped"),
        (ON_PLUG, "boot", "Swap the boots of cylinders 2 and 1", "Boots of cylinders 2 and 1 swapped"),
        (NEAR_PLUG, "boot", "Swap the leads of cylinders 2 and 1", "Leads of cylinders 2 and 1 swapped"),
        (ON_PLUG, "plug", "Swap the spark plugs of cylinders 2 and 1", "Spark plugs of cylinders 2 and 1 swapped"),
        (ON_PLUG, "injector", "Swap the injectors of cylinders 2 and 1", "Injectors of cylinders 2 and 1 swapped"),
        (SHARED, "coil", "Swap coils 2 and 1", "Coils 2 and 1 swapped"),
    ],
)
def test_a_swap_names_the_part(engine, kind, to_do, done):
    swapped = moves((f"{kind}.2", f"{kind}.1"), (f"{kind}.1", f"{kind}.2"))
    assert moved_words.swap(engine, kind, 2, 1) == to_do
    assert moved_words.told(engine, swapped) == done


@pytest.mark.parametrize(
    ("engine", "made", "told"),
    [
        (ON_PLUG, [("coil.2", "coil.3")], "Coil of cylinder 2 to cylinder 3"),
        (SHARED, [("coil.1", "coil.2")], "Coil 1 to the place of coil 2"),
        (None, [("coil.1", "coil.2")], "Coil 1 to the place of coil 2"),
        (ON_PLUG, [("plug.4", "off")], "Spark plug of cylinder 4 taken off the engine"),
        (ON_PLUG, [("coil.4", "unknown")], "Coil of cylinder 4 to a place not known"),
        (ON_PLUG, [("off", "coil.4")], "Put in from off the engine: coil of cylinder 4"),
        (ON_PLUG, [("unknown", "coil.4")], "Put in from a place not known: coil of cylinder 4"),
        (ON_PLUG, [("unknown", "off")], "A part from one place not known to another"),
        (
            ON_PLUG,
            [("coil.1", "coil.2"), ("coil.2", "coil.3"), ("coil.3", "coil.1")],
            "Coil of cylinder 1 to cylinder 2, coil of cylinder 2 to cylinder 3, coil of cylinder 3 to cylinder 1",
        ),
    ],
)
def test_a_move_says_from_which_cylinder_to_which(engine, made, told):
    assert moved_words.told(engine, moves(*made)) == told


def test_the_journal_tells_moves_so():
    log = Logbook("told")
    log.swap("coil", 3, 1)
    assert casefile.view(casefile.fold(log.entries))["timeline"][-1]["text"] == "Coils of cylinders 3 and 1 swapped"
