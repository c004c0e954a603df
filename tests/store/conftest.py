"""A shop on SQLite and on PostgreSQL, for what must hold on both."""

import dataclasses

import pytest

from coiltrail.bench import postgres
from coiltrail.store import migrations, people
from coiltrail.store.database import writing
from tests.conftest import config_in, running


@pytest.fixture(params=["sqlite", "postgresql"])
def on_each(request, tmp_path):
    """The application with a shop and nobody in it, on each database."""
    config = config_in(tmp_path)
    if request.param == "sqlite":
        yield from with_a_shop(config)
    elif postgres.is_here():
        with postgres.cluster() as url:
            yield from with_a_shop(dataclasses.replace(config, database_url=url))
    else:
        pytest.skip("PostgreSQL is not installed")


def with_a_shop(config):
    for app in running(config):
        migrations.apply(app)
        with app.app_context(), writing() as session:
            people.add_shop(session, "Driveway Motors", "555-0134")
        yield app
