"""Passwords, one-time links, and devices that hold a token."""

import argon2
import pytest

from coiltrail.store import people
from coiltrail.store.audit import By
from coiltrail.store.clock import now_ms, uuid7
from coiltrail.store.database import db, writing
from coiltrail.store.models import Device, OwnerLink, Person
from tests.conftest import PASSWORD


@pytest.fixture
def ada(app):
    with app.app_context():
        yield db.session.query(Person).one()


def test_name_and_password_together_are_somebody(ada):
    assert people.who("Ada", PASSWORD).id == ada.id
    assert people.who("  aDA ", PASSWORD).id == ada.id
    assert people.who("Ada", PASSWORD.upper()) is None
    assert people.who("Ada", "") is None
    assert people.who("Bob", PASSWORD) is None


def test_a_password_is_the_same_from_two_keyboards(ada):
    people.add_person(ada.shop_id, "Zoë", "mechanic", "zündspule")
    assert people.who("Zoe\u0308", "zu\u0308ndspule")


def test_only_an_argon2_hash_is_kept(ada):
    assert ada.password_hash.startswith("$argon2id$")
    assert PASSWORD not in ada.password_hash


def test_a_hash_costs_what_rfc_9106_recommends_and_nobody_s_costs_the_same(full_strength):
    costs = {"time_cost": 3, "memory_cost": 64 * 1024, "parallelism": 4}  # its second choice: section 4
    for a_hash in (full_strength.hash(PASSWORD), people._NOBODY):
        found = argon2.extract_parameters(a_hash)
        assert found.type is argon2.Type.ID
        assert {name: getattr(found, name) for name in costs} == costs


def test_two_people_cannot_have_one_name(ada):
    with pytest.raises(people.Refused, match="Name"):
        people.add_person(ada.shop_id, "ADA", "desk", "another password")


def test_a_device_is_known_by_its_token_and_only_its_hash_is_kept(ada):
    device, token = people.sign_in(ada, uuid7(), "A phone")
    assert people.device_of(token).id == device.id
    assert device.token_sha256 != token
    assert people.device_of("") is None
    assert people.device_of(device.token_sha256) is None


def test_signing_in_again_ends_the_earlier_token(ada):
    device, first = people.sign_in(ada, uuid7(), "A phone")
    _, second = people.sign_in(ada, device.id, "A phone")
    assert people.device_of(first) is None
    assert people.device_of(second).id == device.id


def test_signed_out_and_shut_out_devices_are_unknown(ada):
    out, out_token = people.sign_in(ada, uuid7(), "")
    shut, shut_token = people.sign_in(ada, uuid7(), "")
    by = By(ada.shop_id, ada.id)
    people.sign_out(out.id, by)
    people.shut_out(shut.id, by)
    assert people.device_of(out_token) is None
    assert people.device_of(shut_token) is None
    assert people.shut_out_device_of(out_token) is None
    assert people.shut_out_device_of(shut_token).id == shut.id
    assert db.session.get(Device, out.id).revoked_ms is None
    assert db.session.get(Device, shut.id).revoked_ms is not None


def test_a_device_not_seen_for_a_year_is_unknown(ada):
    device, token = people.sign_in(ada, uuid7(), "")
    with writing():
        device.last_seen_ms = now_ms() - people.SIGNED_IN_FOR + 60_000
    assert people.device_of(token)
    with writing():
        device.last_seen_ms = now_ms() - people.SIGNED_IN_FOR - 1
    assert people.device_of(token) is None


def test_the_owner_link_works_once(empty_app):
    with empty_app.app_context():
        assert not people.has_owner()
        token = people.new_owner_link()
        assert db.session.query(OwnerLink).one().token_sha256 != token
        with pytest.raises(people.Refused, match="coiltrail owner-link"):
            people.make_owner("guessed", "Shop", "", "Ada", PASSWORD)
        people.make_owner(token, "Shop", "555-0100", "Ada", PASSWORD)
        assert people.has_owner()
        with pytest.raises(people.Refused):
            people.make_owner(token, "Shop", "", "Eve", PASSWORD)
        with pytest.raises(people.Refused):
            people.new_owner_link()
        assert [person.name for person in db.session.query(Person)] == ["Ada"]


def test_a_newer_owner_link_ends_the_earlier_one(empty_app):
    with empty_app.app_context():
        first, second = people.new_owner_link(), people.new_owner_link()
        with pytest.raises(people.Refused):
            people.make_owner(first, "Shop", "", "Ada", PASSWORD)
        assert people.make_owner(second, "Shop", "", "Ada", PASSWORD).role == "owner"


def test_a_shop_is_never_without_an_owner(ada):
    by = By(ada.shop_id, ada.id)
    with pytest.raises(people.Refused, match="owner first"):
        people.change_role(ada.id, "desk", by)
    with pytest.raises(people.Refused, match="owner first"):
        people.end_sign_in(ada.id, by)
    bob = people.add_person(ada.shop_id, "Bob", "mechanic", "another password")
    people.change_role(bob.id, "owner", by)
    people.change_role(ada.id, "desk", by)
    assert [(one.name, one.role) for one in db.session.query(Person).order_by(Person.name)] == [
        ("Ada", "desk"),
        ("Bob", "owner"),
    ]
    with pytest.raises(people.Refused, match="owner first"):
        people.end_sign_in(bob.id, by)


def test_who_has_left_signs_in_no_more_and_their_devices_are_shut_out(ada):
    by = By(ada.shop_id, ada.id)
    bob = people.add_person(ada.shop_id, "Bob", "mechanic", "another password")
    device, token = people.sign_in(bob, uuid7(), "Bob's phone")
    people.end_sign_in(bob.id, by)
    assert people.who("Bob", "another password") is None
    assert people.device_of(token) is None
    assert people.shut_out_device_of(token).id == device.id
    people.give_back_sign_in(bob.id, by)
    assert people.who("Bob", "another password").id == bob.id
    assert people.device_of(token) is None


def test_somebody_of_another_shop_is_nobody_here(ada):
    with writing() as session:
        other = people.add_shop(session, "Other", "").id
    with pytest.raises(LookupError):
        people.change_role(ada.id, "desk", By(other))
