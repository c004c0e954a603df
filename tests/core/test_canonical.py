import json
import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from coiltrail.core import canonical

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4),
    max_leaves=12,
)


def test_keys_are_sorted_and_nothing_is_spaced():
    assert canonical.dumps({"b": [1, None], "a": {"z": True, "é": False}}) == '{"a":{"z":true,"é":false},"b":[1,null]}'


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (0, "0"),
        (-7, "-7"),
        (10**30, "1" + "0" * 30),
        (2.0, "2"),
        (-0.0, "0"),
        (0.1, "0.1"),
        (1 / 3, "0.333333333"),
        (-2 / 3, "-0.666666667"),
        (1e-10, "0"),
        (-1e-10, "0"),
        (0.9999999996, "1"),
        (1e16, "10000000000000000"),
        (123456789.125, "123456789.125"),
    ],
)
def test_numbers(value, written):
    assert canonical.dumps(value) == written


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("", '""'),
        ("a", '"a"'),
        ('say "hm"\\', '"say \\"hm\\"\\\\"'),
        ("a\nb\tc\x01", '"a\\nb\\tc\\u0001"'),
        ("é Ω 😀", '"é Ω 😀"'),
        ("\ud83d\ude00", '"😀"'),
        ("\ud83d", '"\\ud83d"'),
        ("\ude00x", '"\\ude00x"'),
    ],
)
def test_text(text, written):
    assert canonical.dumps(text) == written


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, {1: 2}, {"a": object()}, b"bytes"])
def test_what_has_no_place_in_json_is_refused(value):
    with pytest.raises(ValueError):
        canonical.dumps(value)


@given(JSON)
@example({"\ud800": "\udc00\ud800"})
def test_writing_what_was_read_changes_nothing(value):
    written = canonical.dumps(value)
    assert canonical.dumps(json.loads(written)) == written


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e12, max_value=1e12))
def test_rounding_is_to_the_ninth_decimal(value):
    assert abs(float(canonical.number(value)) - value) <= 0.5000001e-9 + abs(value) * 1e-15


@pytest.mark.parametrize(
    ("value", "places", "written"),
    [(2.5, 0, "3"), (-2.5, 0, "-3"), (1.25, 1, "1.3"), (-0.04, 1, "0.0"), (7, 2, "7.00"), (0.005, 2, "0.01")],
)
def test_fixed(value, places, written):
    assert canonical.fixed(value, places) == written
