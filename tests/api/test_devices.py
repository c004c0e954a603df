"""The list of devices, and shutting one out."""

from coiltrail.store import people
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db
from coiltrail.store.models import Shop
from tests.conftest import new_phone

from .error_shape import assert_error


def add_mechanic(app, name="Bob"):
    with app.app_context():
        people.add_person(db.session.query(Shop).one().id, name, "mechanic", "another password")


def test_the_list_tells_whose_each_device_is(app, phone):
    add_mechanic(app)
    other = new_phone(app, "Bob")
    devices = {device["id"]: device for device in phone.client.get("/api/devices").json["devices"]}
    assert set(devices) == {phone.device, other.device}
    mine, theirs = devices[phone.device], devices[other.device]
    assert (mine["person"], mine["this"], mine["signed_in"], mine["revoked"]) == ("Ada", True, True, False)
    assert (theirs["person"], theirs["this"]) == ("Bob", False)


def test_a_lost_phone_is_shut_out_at_once(app, phone):
    lost = new_phone(app)
    assert lost.client.get("/api/me").status_code == 200
    assert phone.client.delete(f"/api/devices/{lost.device}").status_code == 204
    assert_error(lost.client.get("/api/me"), 401, "shut_out")
    assert_error(lost.send([lost.entry()]), 401, "shut_out")
    listed = {device["id"]: device for device in phone.client.get("/api/devices").json["devices"]}
    assert (listed[lost.device]["revoked"], listed[lost.device]["signed_in"]) == (True, False)


def test_others_shut_out_only_their_own(app, phone):
    add_mechanic(app)
    one, two = new_phone(app, "Bob"), new_phone(app, "Bob")
    assert_error(one.client.delete(f"/api/devices/{phone.device}"), 403, "forbidden")
    assert one.client.delete(f"/api/devices/{two.device}").status_code == 204
    assert phone.client.delete(f"/api/devices/{one.device}").status_code == 204


def test_the_desk_shuts_out_a_lost_phone_too(app, phone):
    with app.app_context():
        people.add_person(db.session.query(Shop).one().id, "Dee", "desk", "another password")
    assert new_phone(app, "Dee").client.delete(f"/api/devices/{phone.device}").status_code == 204


def test_a_mechanic_sees_only_their_own_devices(app, phone):
    add_mechanic(app)
    other = new_phone(app, "Bob")
    assert [device["id"] for device in other.client.get("/api/devices").json["devices"]] == [other.device]


def test_a_device_that_is_not_there(phone):
    for device in (uuid7(), "x", "'", "%00"):
        assert_error(phone.client.delete(f"/api/devices/{device}"), 404, "not_found")
