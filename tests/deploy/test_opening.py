"""What opening a data directory says of its address and of data that it cannot serve."""

import re

import opening
import pytest
from sqlalchemy import text

from coiltrail.app import create_app
from coiltrail.config import Config
from coiltrail.store import people
from coiltrail.store.database import db
from coiltrail.trouble import Trouble


@pytest.mark.parametrize(
    ("host", "address"),
    [
        ("127.0.0.1", "http://localhost:8150"),
        ("0.0.0.0", "http://localhost:8150"),
        ("::", "http://localhost:8150"),
        ("192.0.2.7", "http://192.0.2.7:8150"),
        ("2001:db8::7", "http://[2001:db8::7]:8150"),
    ],
)
def test_the_address_to_open(host, address):
    assert opening.address_of(host, 8150) == address


@pytest.fixture
def environment(monkeypatch):
    """The variables that opening sets, put back afterwards."""
    for name in ("COILTRAIL_DATA", "DATABASE_URL", "PUBLIC_URL", "TRUST_PAGE"):
        monkeypatch.setenv(name, f"of the caller: {name}")
    return monkeypatch


def test_a_real_shop_keeps_the_database_and_address_it_was_given(environment, tmp_path):
    opening.use_settings(tmp_path, "http://localhost:8150")
    settings = {name: opening.os.environ[name] for name in ("COILTRAIL_DATA", "DATABASE_URL", "PUBLIC_URL")}
    assert settings == {
        "COILTRAIL_DATA": str(tmp_path),
        "DATABASE_URL": "of the caller: DATABASE_URL",
        "PUBLIC_URL": "of the caller: PUBLIC_URL",
    }


def test_the_invented_shop_stays_away_from_a_real_shop_s_database(environment, tmp_path):
    opening.forget_the_real_shop()
    opening.use_settings(tmp_path, "http://localhost:8150")
    assert "DATABASE_URL" not in opening.os.environ
    assert opening.os.environ["PUBLIC_URL"] == "http://localhost:8150"


def application(data):
    return create_app(Config.from_environment({"COILTRAIL_DATA": str(data)}))


def test_data_of_a_newer_version_is_left_alone(tmp_path):
    app = application(tmp_path)
    opening.bring_up_to_date(app, tmp_path)
    with app.app_context():
        db.session.execute(text("UPDATE alembic_version SET version_num = 'of the future'"))
        db.session.commit()
    with pytest.raises(
        Trouble, match=r"^The data in .* another version of Coiltrail: start that one, or a newer one\.$"
    ):
        opening.bring_up_to_date(app, tmp_path)
    with app.app_context():
        assert db.session.scalar(text("SELECT version_num FROM alembic_version")) == "of the future"
        db.engine.dispose()


def test_a_database_that_is_none(tmp_path):
    (tmp_path / "coiltrail.sqlite3").write_text("a letter, not a database. " * 100)
    with pytest.raises(Trouble, match=r"^The database of .* cannot be opened \(file is not a database\): .*--data\.$"):
        opening.bring_up_to_date(application(tmp_path), tmp_path)


def test_a_code_that_pairs_is_for_somebody_who_works_here(tmp_path):
    app = application(tmp_path)
    opening.bring_up_to_date(app, tmp_path)
    with app.app_context():
        people.make_owner(people.new_owner_link(), "Shop", "", "Robin Demo", "three wet plugs")
        shown = opening.pairing_of("robin demo")
        assert re.search(r"^http://localhost:8000/#pair=\S{43}$", shown, re.MULTILINE)
        with pytest.raises(Trouble, match=r"^Nobody who works here is called Kim: give --pair the name"):
            opening.pairing_of("Kim")
        db.engine.dispose()
