"""Guessing passwords gets slow; signing in does not."""

import pytest

from coiltrail.store import throttle
from coiltrail.store.database import db
from coiltrail.store.models import SignInFailures

HERE = "192.0.2.1"


class Clock:
    """Stands still until it is moved."""

    ms = 1_800_000_000_000

    def __call__(self):
        return self.ms

    def move(self, seconds):
        self.ms += 1000 * seconds


@pytest.fixture
def clock(monkeypatch):
    clock = Clock()
    monkeypatch.setattr(throttle, "now_ms", clock)
    return clock


@pytest.fixture
def wait(app, clock):
    """Begins an attempt; gives the seconds to wait."""

    def wait(name="Ada", address=HERE):
        with app.app_context():
            return throttle.begin_attempt(name, address)

    return wait


def test_a_few_tries_are_free_then_each_doubles_the_wait(clock, wait):
    assert [wait() for _ in range(throttle.FREE_FOR_NAME)] == [0] * throttle.FREE_FOR_NAME
    for expected in (1, 2, 4, 8):
        assert wait() == expected
        assert wait() == expected  # asking in vain does not make it longer
        clock.move(expected - 0.001)
        assert wait() == 1
        clock.move(0.001)
        assert wait() == 0


def test_the_wait_has_an_end(clock, wait):
    for _ in range(40):
        wait()
        clock.move(throttle.LONGEST_WAIT_S)
    wait()
    assert wait() == throttle.LONGEST_WAIT_S


def test_others_are_not_held_up(wait):
    for _ in range(throttle.FREE_FOR_NAME + 1):
        wait()
    assert wait(name="Bob") == 0
    assert wait(address="192.0.2.2") == 0
    assert wait(name="ADA") > 0


def test_many_names_from_one_address_get_slow_too(wait):
    assert [wait(name=f"name {k}") for k in range(throttle.FREE_FOR_ADDRESS)] == [0] * throttle.FREE_FOR_ADDRESS
    assert wait(name="one more") > 0


def test_one_name_from_many_addresses_gets_slow_but_never_for_long(clock, wait):
    for k in range(throttle.FREE_FOR_NAME_ANYWHERE):
        assert wait(address=f"192.0.2.{k}") == 0
    assert wait(address="198.51.100.1") == 1
    assert wait(name="Bob", address="198.51.100.1") == 0
    for k in range(30):
        clock.move(throttle.LONGEST_WAIT_ANYWHERE_S)
        assert wait(address=f"203.0.113.{k}") == 0
    assert wait(address="198.51.100.2") == throttle.LONGEST_WAIT_ANYWHERE_S


def test_coming_in_forgets_the_failures(app, wait):
    for _ in range(throttle.FREE_FOR_NAME + 1):
        wait()
    with app.app_context():
        throttle.succeeded("Ada", HERE)
    assert wait() == 0


def test_a_day_later_all_is_forgotten(clock, wait):
    for _ in range(throttle.FREE_FOR_NAME):
        wait()
    clock.move(throttle.FORGOTTEN_AFTER_MS / 1000 + 1)
    assert [wait() for _ in range(throttle.FREE_FOR_NAME)] == [0] * throttle.FREE_FOR_NAME


def test_neither_name_nor_address_is_kept(app, wait):
    wait(name="my password typed into the wrong field")
    with app.app_context():
        assert all(len(row.key) == 64 and row.key.isalnum() for row in db.session.query(SignInFailures))
