"""The invented shop is loaded whole, once, and never into somebody's own shop."""

import json

import demo_shop
import pytest

from coiltrail import demo
from coiltrail.app import create_app
from coiltrail.config import Config
from coiltrail.store import migrations, people
from coiltrail.store.database import db, writing
from coiltrail.store.models import Entry, Shop
from coiltrail.trouble import Trouble
from demo_fixtures import build


@pytest.fixture
def data(tmp_path):
    """An empty data directory, opened."""
    app = create_app(Config.from_environment({"COILTRAIL_DATA": str(tmp_path)}))
    migrations.apply(app)
    with app.app_context():
        yield tmp_path
        db.session.remove()
        db.engine.dispose()


def entries():
    return db.session.query(Entry).count()


def test_the_invented_shop_is_loaded_once_and_its_people_can_sign_in(data, monkeypatch):
    demo_shop.load_once(data)
    loaded = entries()
    assert loaded > 100

    told = demo_shop.demo_sign_in(data).splitlines()[1:]
    invented = json.loads((data / demo_shop.LOADED).read_text())
    assert len(told) == len(invented)
    for line, person in zip(told, invented, strict=True):
        assert person["name"] in line and line.endswith(f"password {person['password']}")
        assert people.who(person["name"], person["password"]).role == person["role"]

    def again(folder):
        raise AssertionError("built a second time")

    monkeypatch.setattr(build, "build", again)
    demo_shop.load_once(data)
    assert entries() == loaded


def test_a_load_that_stopped_in_the_middle_is_finished(data, tmp_path_factory):
    folder = tmp_path_factory.mktemp("half")
    built = build.build(folder)
    # As it is when the load was stopped between the people and their cases.
    for log in (folder / "logs").iterdir():
        log.unlink()
    for photo in (folder / "photos").iterdir():
        photo.unlink()
    demo.load(folder)
    assert entries() == 0

    demo_shop.load_once(data)
    assert entries() == built["entries"]
    assert (data / demo_shop.LOADED).is_file()


def test_a_real_shop_is_left_alone(data):
    with writing() as session:
        people.add_shop(session, "Somebody's own", "555-0101")
    with pytest.raises(Trouble, match="Somebody's own"):
        demo_shop.load_once(data)
    assert entries() == 0
    assert [shop.name for shop in db.session.query(Shop)] == ["Somebody's own"]
    assert not (data / demo_shop.LOADED).exists()
