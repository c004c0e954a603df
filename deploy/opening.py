"""Opens a data directory and serves it. ``serving.py`` starts this with the private Python.

All in one process, since a process of its own for each step would take most of the three seconds a start may take.
"""

import logging
import os
import sys
from pathlib import Path

from demo_shop import demo_sign_in, load_once
from flask import Flask
from sqlalchemy.exc import DBAPIError

from coiltrail.app import create_app
from coiltrail.config import Config, settings
from coiltrail.serve import serve
from coiltrail.store import migrations, people
from coiltrail.store.database import db
from coiltrail.trouble import Trouble


def main(data: Path, host: str, port: int, *, demo: bool) -> int:
    """Opens the shop in ``data``, says where and how to sign in, and serves it until stopped; returns the exit code."""
    use_settings(data, host, port, demo=demo)
    try:
        app = create_app(Config.from_environment())
        bring_up_to_date(app, data)
        with app.app_context():
            if demo:
                load_once(data)
            sign_in = demo_sign_in(data) if demo else shop_sign_in()
            address = settings().public_url
            # The server forks, and a connection to SQLite must not be carried across.
            db.engine.dispose()
        print(f"Coiltrail is served at {address} (Ctrl-C stops it).")
        print(f"Its data is in {data}.")
        print(sign_in, flush=True)
        serve(host, port)
    except (Trouble, ValueError) as trouble:
        print(trouble, file=sys.stderr)
        return 1
    return 0


def use_settings(data: Path, host: str, port: int, *, demo: bool) -> None:
    """Tells the application where its data is and what its address is, where the environment does not say so already.

    The invented shop takes neither database nor address from the environment: they are a real shop's.
    """
    os.environ["COILTRAIL_DATA"] = str(data)
    if demo:
        os.environ.pop("DATABASE_URL", None)
        os.environ.pop("PUBLIC_URL", None)
    os.environ.setdefault("PUBLIC_URL", address_of(host, port))


def address_of(host: str, port: int) -> str:
    """The address to open on this machine for a server that listens on ``host``."""
    if host in ("127.0.0.1", "::1", "0.0.0.0", "::"):
        host = "localhost"
    return f"http://{f'[{host}]' if ':' in host else host}:{port}"


def bring_up_to_date(app: Flask, data: Path) -> None:
    """Migrates the database. Raises Trouble when it is none of ours or newer than this version."""
    # Flask-Migrate logs Alembic's words and ends the program; ours come instead.
    logging.getLogger("flask_migrate").disabled = True
    try:
        migrations.apply(app)
    except SystemExit:
        raise Trouble(
            f"The data in {data} was written by another version of Coiltrail: start that one, or a newer one."
        ) from None
    except DBAPIError as error:
        raise Trouble(
            f"The database of {data} cannot be opened ({error.orig}): copy a backup back, or name another with --data."
        ) from None


def shop_sign_in() -> str:
    """How to sign in to a real shop: by the one-time link as long as it has no owner."""
    if people.has_owner():
        return "Sign in with your name and password."
    return f"Make the shop's owner by this link, good once: {settings().public_url}/#owner={people.new_owner_link()}"


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), demo="demo" in sys.argv[4:]))
