"""The drawn engine: every engine the core allows is drawn whole, with nothing on top of anything else."""

import itertools
import math

import pytest
from playwright.sync_api import expect

from coiltrail.core import engine as engines

from .conftest import open_bench
from .worked_case import open_case, sign_in_here

ORIENTATIONS = [value for value, _ in engines.ORIENTATIONS]


def allowed():
    layouts = [value for value, _ in engines.LAYOUTS]
    ignitions = [value for value, _ in engines.IGNITIONS]
    numberings = [value for value, _ in engines.NUMBERINGS]
    for cylinders in range(1, engines.MOST_CYLINDERS + 1):
        for layout, ignition, numbering in itertools.product(layouts, ignitions, numberings):
            if not engines.layout_problems(cylinders, layout, ignition):
                yield engines.Engine(cylinders, layout, ignition, numbering).as_dict()


@pytest.fixture
def plans(new_phone):
    """Plan and engine for each allowed engine, as it stands in the bay, seen from either side."""
    page = open_bench(new_phone())
    ways = [
        {"engine": engine, "how": {"orientation": orientation, "turned": turned}}
        for engine in allowed()
        for orientation in ORIENTATIONS
        for turned in (False, True)
    ]
    drawn = page.evaluate(
        """async (ways) => {
            const { plan } = await import('/app/engine-geometry.js');
            return ways.map(({ engine, how }) => plan(engine, how));
        }""",
        ways,
    )
    return [(way["engine"], way["how"], plan) for way, plan in zip(ways, drawn, strict=True)]


def test_every_cylinder_and_every_coil_is_drawn_once(plans):
    for engine, _, plan in plans:
        assert sorted(bore["cylinder"] for bore in plan["bores"]) == list(range(1, engine["cylinders"] + 1))
        assert sorted(coil["position"] for coil in plan["coils"]) == list(range(1, len(engine["coils"]) + 1))


def test_a_shared_coil_has_a_lead_to_each_of_its_cylinders(plans):
    for engine, _, plan in plans:
        for coil in plan["coils"]:
            fired = engine["coils"][coil["position"] - 1]
            own = len(engine["coils"]) == engine["cylinders"]
            assert len(coil["leads"]) == (0 if own else len(fired)), (engine, coil)


def test_no_bore_and_no_coil_lies_on_another(plans):
    for engine, how, plan in plans:
        for one, two in itertools.combinations(plan["bores"], 2):
            apart = math.hypot(one["x"] - two["x"], one["y"] - two["y"])
            assert apart >= one["r"] + two["r"], (engine, how)
        for one, two in itertools.combinations(plan["coils"], 2):
            across = abs(one["x"] - two["x"]) >= one["w"]
            along = abs(one["y"] - two["y"]) >= one["h"]
            assert across or along, (engine, how)


def test_everything_is_on_the_sheet(plans):
    for engine, how, plan in plans:
        for bore in plan["bores"]:
            assert bore["r"] <= bore["x"] <= plan["width"] - bore["r"], (engine, how)
            assert bore["r"] <= bore["y"] <= plan["height"] - bore["r"], (engine, how)
        for coil in plan["coils"]:
            assert coil["w"] / 2 <= coil["x"] <= plan["width"] - coil["w"] / 2, (engine, how)
            assert coil["h"] / 2 <= coil["y"] <= plan["height"] - coil["h"] / 2, (engine, how)


def test_the_first_cylinder_is_left_or_in_front_and_turning_puts_it_opposite(plans):
    for engine, how, plan in plans:
        if engine["layout"] != "inline" or engine["cylinders"] == 1:
            continue
        at = {bore["cylinder"]: bore for bore in plan["bores"]}
        first, last = at[1], at[engine["cylinders"]]
        ahead = first["x"] < last["x"] if how["orientation"] == "crosswise" else first["y"] > last["y"]
        assert ahead != how["turned"], (engine, how)


def test_a_cylinder_of_the_drawing_leads_to_what_is_known_of_it(new_phone):
    page = sign_in_here(new_phone())
    case = open_case(page, cylinders=6, layout="vee", orientation="lengthways")
    page.goto(f"/#/case/{case}")
    drawing = page.get_by_role("group", name="Engine from above, 6 cylinders")
    expect(drawing.get_by_role("link")).to_have_count(6)
    drawing.get_by_role("link", name="Cylinder 5").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1, name="Cylinder 5")).to_be_visible()
    expect(page.get_by_role("link", name="The injector that came in at 5")).to_be_visible()
