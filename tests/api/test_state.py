"""What anyone may know."""

from coiltrail.store.clock import now_ms
from tests.conftest import client_of


def test_anyone_may_know_shop_clock_and_release(stranger):
    state = stranger.get("/api/state").json
    assert state["shop_name"] == "Driveway Motors"
    assert state["needs_owner"] is False
    assert abs(state["server_ms"] - now_ms()) < 60_000
    assert state["release"] == stranger.get("/release.json").json["release"]
    assert set(state) == {"shop_name", "needs_owner", "server_ms", "release"}


def test_before_there_is_a_shop_there_is_no_name(empty_app):
    state = client_of(empty_app).get("/api/state").json
    assert state["needs_owner"] is True
    assert "shop_name" not in state
