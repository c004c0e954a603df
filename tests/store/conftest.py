"""A shop on SQLite and on PostgreSQL, for what must hold on both."""

import dataclasses

import pytest
from sqlalchemy import create_engine, text

from coiltrail.bench import postgres
from coiltrail.store import migrations, people
from coiltrail.store.database import writing
from tests.conftest import config_in, running


@pytest.fixture(scope="module")
def postgres_url():
    """The address of an empty PostgreSQL. A machine without its programs goes without; ``.ci/run`` installs them."""
    if not postgres.is_here():
        pytest.skip("PostgreSQL is not installed")
    with postgres.cluster() as url:
        yield url


@pytest.fixture
def emptied(postgres_url):
    """The same address; what a test puts there is taken away after it."""
    yield postgres_url
    engine = create_engine(postgres_url)
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()


@pytest.fixture(params=["sqlite", "postgresql"])
def on_each(request, tmp_path):
    """The application with a shop and nobody in it, on each database."""
    config = config_in(tmp_path)
    if request.param == "postgresql":
        config = dataclasses.replace(config, database_url=request.getfixturevalue("emptied"))
    yield from with_a_shop(config)


def with_a_shop(config):
    for app in running(config):
        migrations.apply(app)
        with app.app_context(), writing() as session:
            people.add_shop(session, "Driveway Motors", "555-0134")
        yield app
