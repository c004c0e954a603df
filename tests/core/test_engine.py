"""Layouts, banks, firing orders and coils, and the layouts that cannot be."""

import pytest

from coiltrail.core.engine import IGNITIONS, LAYOUTS, MOST_CYLINDERS, USUAL_FIRING_ORDER, Engine, layout_problems


class TestBanks:
    @pytest.mark.parametrize(
        ("cylinders", "layout", "numbering", "banks"),
        [
            (4, "inline", None, ((1, 2, 3, 4),)),
            (6, "vee", None, ((1, 3, 5), (2, 4, 6))),
            (6, "vee", "along", ((1, 2, 3), (4, 5, 6))),
            (8, "vee", "across", ((1, 3, 5, 7), (2, 4, 6, 8))),
            (4, "flat", None, ((1, 2), (3, 4))),
            (4, "flat", "across", ((1, 3), (2, 4))),
            (2, "vee", None, ((1,), (2,))),
        ],
    )
    def test_cylinders_stand_in_banks_by_their_numbering(self, cylinders, layout, numbering, banks):
        assert Engine(cylinders, layout, "coil_on_plug", numbering).banks == banks

    def test_neighbours_share_a_bank(self):
        assert Engine(4).neighbours() == [(1, 2), (2, 3), (3, 4)]
        assert Engine(6, "vee").neighbours() == [(1, 3), (3, 5), (2, 4), (4, 6)]

    def test_a_cylinder_that_is_not_there_is_named(self):
        with pytest.raises(ValueError, match="cylinder 5"):
            Engine(4).bank_of(5)
        with pytest.raises(ValueError, match="cylinder 0"):
            Engine(4).coil_of(0)


class TestCoils:
    def test_one_each(self):
        assert Engine(3).coils == ((1,), (2,), (3,))

    # Pairs that reach the top together, half a cycle apart in the usual firing orders (common practice, no source).
    @pytest.mark.parametrize(
        ("cylinders", "layout", "pairs"),
        [
            (2, "inline", ((1, 2),)),
            (4, "inline", ((1, 4), (2, 3))),
            (6, "inline", ((1, 6), (2, 5), (3, 4))),
            (6, "vee", ((1, 4), (2, 5), (3, 6))),
            (8, "vee", ((1, 6), (2, 3), (4, 7), (5, 8))),
            (4, "flat", ((1, 2), (3, 4))),
        ],
    )
    def test_waste_spark_pairs_cylinders_half_a_cycle_apart(self, cylinders, layout, pairs):
        assert Engine(cylinders, layout, "waste_spark").coils == pairs

    def test_waste_spark_follows_the_firing_order_given(self):
        assert Engine(4, "inline", "waste_spark", firing_order=[1, 2, 4, 3]).coils == ((1, 4), (2, 3))
        assert Engine(4, "inline", "waste_spark", firing_order=[1, 4, 3, 2]).coils == ((1, 3), (2, 4))

    def test_a_distributors_coil_fires_all(self):
        engine = Engine(6, ignition="distributor")
        assert engine.coils == ((1, 2, 3, 4, 5, 6),)
        assert (engine.positions("coil"), engine.positions("plug")) == (1, 6)

    def test_every_cylinder_is_fired_by_exactly_one_coil_on_every_engine(self):
        for cylinders in range(1, MOST_CYLINDERS + 1):
            for layout, _ in LAYOUTS:
                for ignition, _ in IGNITIONS:
                    if layout_problems(cylinders, layout, ignition):
                        continue
                    engine = Engine(cylinders, layout, ignition)
                    assert sorted(c for coil in engine.coils for c in coil) == list(engine.numbers)
                    assert all(c in engine.coils[engine.coil_of(c) - 1] for c in engine.numbers)
                    assert sorted(c for bank in engine.banks for c in bank) == list(engine.numbers)

    def test_a_place_that_is_not_there_serves_nobody(self):
        engine = Engine(4, ignition="waste_spark")
        assert engine.served_by("coil", 2) == (2, 3)
        assert engine.served_by("coil", 3) == engine.served_by("coil", 0) == engine.served_by("plug", 5) == ()


class TestFiringOrder:
    def test_every_usual_order_names_each_cylinder_once(self):
        for (layout, cylinders), order in USUAL_FIRING_ORDER.items():
            assert sorted(order) == list(range(1, cylinders + 1)), (layout, cylinders)

    def test_the_order_given_comes_first_and_counting_order_last(self):
        assert Engine(4, firing_order=[1, 2, 4, 3]).firing_order == (1, 2, 4, 3)
        assert Engine(4).firing_order == (1, 3, 4, 2)
        assert Engine(7).firing_order == (1, 2, 3, 4, 5, 6, 7)


class TestRefusals:
    @pytest.mark.parametrize("cylinders", [0, 40, 13, -4, 4.0, "4", None, True])
    def test_a_number_of_cylinders_that_cannot_be(self, cylinders):
        [problem] = layout_problems(cylinders)
        assert problem == {"field": "engine.cylinders", "message": "Cylinders: give a whole number from 1 to 12."}

    @pytest.mark.parametrize("layout", ["vee", "flat"])
    def test_an_odd_number_in_two_banks(self, layout):
        [problem] = layout_problems(5, layout)
        assert problem["field"] == "engine.layout"
        assert "even number" in problem["message"]

    def test_waste_spark_with_an_odd_number(self):
        [problem] = layout_problems(3, "inline", "waste_spark")
        assert problem["field"] == "engine.ignition"
        assert "even" in problem["message"]

    @pytest.mark.parametrize("order", [[1, 3, 4], [1, 3, 4, 4], [1, 2, 3, 5], [0, 1, 2, 3], ["1", 3, 4, 2], "1342", 7])
    def test_a_firing_order_that_is_no_permutation(self, order):
        [problem] = layout_problems(4, "inline", "coil_on_plug", order)
        assert problem["field"] == "engine.firing_order"
        assert problem["message"].endswith("exactly once, for example 1-3-4-2.")

    @pytest.mark.parametrize(
        ("layout", "ignition", "field"),
        [
            ("radial", "coil_on_plug", "engine.layout"),
            ("inline", "magneto", "engine.ignition"),
            (None, None, "engine.layout"),
        ],
    )
    def test_an_arrangement_not_known_names_those_that_are(self, layout, ignition, field):
        [problem] = layout_problems(4, layout, ignition)
        assert problem["field"] == field
        assert "choose one of" in problem["message"]

    def test_an_engine_that_cannot_be_is_not_built(self):
        with pytest.raises(ValueError, match="even number"):
            Engine(5, "vee")

    def test_usual_engines_have_no_problems(self):
        for cylinders, layout in ((1, "inline"), (3, "inline"), (4, "inline"), (6, "vee"), (8, "vee"), (12, "vee")):
            assert layout_problems(cylinders, layout) == []


class TestSupplies:
    @pytest.mark.parametrize(
        ("layout", "ignition", "supplies"),
        [
            ("inline", "coil_on_plug", ((1, 2, 3, 4, 5, 6),)),
            ("vee", "coil_on_plug", ((1, 3, 5), (2, 4, 6))),
            ("vee", "waste_spark", ((1, 2, 3, 4, 5, 6),)),  # coils fire 1 and 4, 2 and 5, 3 and 6
            ("vee", "distributor", ((1, 2, 3, 4, 5, 6),)),
        ],
    )
    def test_a_coil_has_one_supply_whichever_banks_it_fires(self, layout, ignition, supplies):
        engine = Engine(6, layout, ignition)
        assert engine.supplies == supplies
        for fired in engine.coils:
            assert len({engine.supply_of(cylinder) for cylinder in fired}) == 1
