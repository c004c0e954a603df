"""A measurement on both databases, each time in a new shop."""

import tempfile
from collections.abc import Callable
from contextlib import ExitStack

from ..app import create_app
from ..config import Config
from ..store import migrations, people
from ..store.database import db, writing
from ..trouble import Trouble
from . import postgres


def on_both(measure: Callable[[str, str, str], None]) -> None:
    """Call ``measure`` with the database's name, the shop and the person who works in it; say where there is none."""
    _in_a_new_shop(measure, "SQLite")
    try:
        with postgres.cluster() as url:
            _in_a_new_shop(measure, "PostgreSQL", url)
    except Trouble as trouble:
        print(f"PostgreSQL: {trouble}")


def _in_a_new_shop(measure: Callable[[str, str, str], None], name: str, url: str | None = None) -> None:
    with ExitStack() as stack:
        settings = {"COILTRAIL_DATA": stack.enter_context(tempfile.TemporaryDirectory())}
        app = create_app(Config.from_environment(settings | ({"DATABASE_URL": url} if url else {})))
        migrations.apply(app)
        stack.enter_context(app.app_context())
        with writing() as session:
            shop_id = people.add_shop(session, "Driveway Motors", "555-0134").id
        measure(name, shop_id, people.add_person(shop_id, "Ada", "owner", "coil boot plug lead").id)
        db.session.remove()
        db.engine.dispose()
