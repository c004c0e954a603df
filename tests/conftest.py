"""What every test of the server starts from: an empty migrated shop in a directory of its own."""

import gc
import shutil
from pathlib import Path

import argon2
import pytest
from flask.testing import FlaskClient

from coiltrail.app import create_app
from coiltrail.config import Config
from coiltrail.store import migrations, people
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db, writing
from coiltrail.store.models import Person, Shop

from .phone import Phone

TESTS = Path(__file__).resolve().parent
PASSWORD = "coil boot plug lead"

# The files that take longest, the longest first: begun at the end, one of them would leave the other cores idle.
LONGEST = (
    "simulation/test_nothing_is_lost.py",
    "engines/test_whole_case.py",
    "simulation/test_faults_are_found.py",
    "browser/test_screens_accessibility.py",
    "browser/test_screens_closing.py",
    "browser/test_whole_case.py",
    "browser/test_screens_start.py",
    "browser/test_screens_new_case.py",
    "browser/test_screens_round.py",
    "browser/test_desk_paper.py",
    "browser/test_desk_people.py",
    "browser/test_screens_codes.py",
    "browser/test_screens_case.py",
    "browser/test_desk_shelf.py",
    "browser/test_screens_spanish.py",
    "api/test_openapi_fuzz.py",
    "browser/test_field_sync.py",
    "browser/test_field_killed.py",
    "engines/test_phone.py",
    "field/test_sharpness.py",
    "chaos/test_kill_server.py",
    "outside/test_posterior_network.py",
    "runtimes/test_same_bytes.py",
    "browser/test_own_network.py",
    "browser/test_screens_camera.py",
    "browser/test_screens_voice.py",
)


def pytest_collection_modifyitems(items):
    turns = {str(TESTS / name): turn for turn, name in enumerate(LONGEST)}
    items.sort(key=lambda item: turns.get(str(item.path), len(turns)))  # stable: all others stay as they are


def pytest_collection_finish():
    gc.freeze()  # what is loaded by now stays, so garbage is not looked for in it again and again
    gc.set_threshold(20_000)


def config_in(folder, **more):
    return Config(data=folder, database_url=f"sqlite:///{folder / 'coiltrail.sqlite3'}", **more)


@pytest.fixture(scope="session", autouse=True)
def full_strength():
    """Passwords are hashed with the least of work that the hash has, else a quarter of a second goes into each; a
    server checks them by what stands in the hash. Gives the hasher that shops have."""
    with pytest.MonkeyPatch.context() as patched:
        strong = people._hasher
        patched.setattr(people, "_hasher", argon2.PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
        yield strong


@pytest.fixture(scope="session")
def migrated(tmp_path_factory):
    """A migrated database with one shop and its owner, to be copied: migrating and hashing take their time."""
    folder = tmp_path_factory.mktemp("migrated")
    app = create_app(config_in(folder))
    migrations.apply(app)
    with app.app_context():
        with writing() as session:
            shop_id = people.add_shop(session, "Driveway Motors", "555-0134").id
        people.add_person(shop_id, "Ada", "owner", PASSWORD)
        db.engine.dispose()
    return folder


@pytest.fixture
def folder(tmp_path, migrated):
    """A data directory with a migrated database, a shop and its owner."""
    shutil.copytree(migrated, tmp_path / "data")
    return tmp_path / "data"


@pytest.fixture
def app(folder):
    """The application on ``folder``."""
    yield from running(config_in(folder))


def running(config):
    app = create_app(config)
    yield app
    with app.app_context():
        db.session.remove()
        db.engine.dispose()


@pytest.fixture
def empty_app(tmp_path):
    """The application with a migrated database and nobody in it."""
    for app in running(config_in(tmp_path / "empty")):
        migrations.apply(app)
        yield app


@pytest.fixture
def shop_id(app):
    with app.app_context():
        return db.session.query(Shop).one().id


@pytest.fixture
def stranger(app):
    """A client that sends what the application's page sends, and is not signed in."""
    return client_of(app)


@pytest.fixture
def phone(app):
    """The owner's phone, signed in."""
    return new_phone(app)


class Client(FlaskClient):
    """A client that reads every answer to its end, as a phone does, so that the server closes its files."""

    def open(self, *arguments, **options):
        return super().open(*arguments, **{"buffered": True} | options)


def client_of(app):
    app.test_client_class = Client
    client = app.test_client()
    client.environ_base["HTTP_X_COILTRAIL"] = "1"
    return client


def new_phone(app, name="Ada"):
    """One more phone on which ``name`` is signed in."""
    phone = Phone(client_of(app), uuid7())
    with app.app_context():
        person = db.session.query(Person).filter_by(name_key=people.name_key(name)).one()
        phone.by = person.id
        _, token = people.sign_in(person, phone.device, "A phone")
    phone.client.set_cookie("coiltrail_device", token)
    return phone
