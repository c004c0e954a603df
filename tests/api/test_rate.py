"""So many requests from one address, then one in so many seconds."""

import pytest

from coiltrail.api import rate
from coiltrail.api.rate import PerAddress

HERE = "192.0.2.1"


class Clock:
    seconds = 0.0

    def __call__(self):
        return self.seconds


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def three(clock):
    return PerAddress(3, 10.0, clock)


def test_a_few_at_once_then_one_now_and_then(three, clock):
    assert [three.wait_s(HERE) for _ in range(5)] == [0, 0, 0, 10, 10]
    clock.seconds = 4
    assert three.wait_s(HERE) == 6
    clock.seconds = 10
    assert [three.wait_s(HERE) for _ in range(2)] == [0, 10]


def test_it_never_saves_up_more_than_a_few(three, clock):
    three.wait_s(HERE)
    clock.seconds = 100_000
    assert [three.wait_s(HERE) for _ in range(4)] == [0, 0, 0, 10]


def test_addresses_are_counted_apart_but_not_those_of_one_subscriber(three):
    for _ in range(3):
        three.wait_s(HERE)
        three.wait_s("2001:db8:1:2::1")
    assert three.wait_s(HERE) and not three.wait_s("192.0.2.2")
    assert three.wait_s("2001:db8:1:2:ffff::7") and not three.wait_s("2001:db8:1:3::1")
    assert not three.wait_s("")  # no address at all, as over a socket of the machine's own


def test_only_so_many_addresses_are_remembered(three, monkeypatch):
    monkeypatch.setattr(rate, "MOST_ADDRESSES", 2)
    for _ in range(3):
        three.wait_s(HERE)
    for last in range(2, 5):
        three.wait_s(f"192.0.2.{last}")
    assert len(three._left) == 2
    assert three.wait_s(HERE) == 0
