"""Opens a data directory and serves it. ``serving.py`` starts this with the private Python.

All in one process, since a process of its own for each step would take most of the three seconds a start may take.
"""

import logging
import os
import sys
from pathlib import Path

import lan
from demo_shop import demo_sign_in, load_once
from flask import Flask
from sqlalchemy.exc import DBAPIError

from coiltrail.app import create_app
from coiltrail.config import Config, settings
from coiltrail.serve import serve
from coiltrail.store import migrations, pairings, people
from coiltrail.store.audit import By
from coiltrail.store.database import db
from coiltrail.terminal_square import terminal_square
from coiltrail.trouble import Trouble


def main(data: Path, host: str, port: int, *, demo: bool, on_lan: bool = False, pair: str | None = None) -> int:
    """Opens the shop in ``data``, says where and how to sign in, and serves it until stopped; returns the exit code."""
    page = None
    try:
        if demo:
            forget_the_real_shop()
        ground = lan.prepare(data, host, port, os.environ.get("PUBLIC_URL")) if on_lan else None
        use_settings(data, ground.address if ground else address_of(host, port), ground.trust_page if ground else "")
        app = create_app(Config.from_environment())
        bring_up_to_date(app, data)
        with app.app_context():
            if demo:
                load_once(data)
            sign_in = demo_sign_in(data) if demo else shop_sign_in()
            pairing = pairing_of(pair) if pair else ""
            address = settings().public_url
            # The server forks, and a connection to SQLite must not be carried across.
            db.engine.dispose()
        print(f"Coiltrail is served at {address} (Ctrl-C stops it).")
        print(f"Its data is in {data}.")
        if ground:
            page = lan.show_trust_page(ground, host, port)
            print(ground.words())
        if pairing:
            print(pairing)
        print(sign_in, flush=True)
        serve(host, port, *((ground.certificate, ground.key, ground.renew) if ground else ()))
    except (Trouble, ValueError) as trouble:
        print(trouble, file=sys.stderr)
        return 1
    finally:
        if page:
            page.stdin.close()
            page.wait()
    return 0


def forget_the_real_shop() -> None:
    """The invented shop takes neither database nor address from the environment: they are a real shop's."""
    os.environ.pop("DATABASE_URL", None)
    os.environ.pop("PUBLIC_URL", None)


def use_settings(data: Path, address: str, trust_page: str = "") -> None:
    """Tells the application where its data is and, where the environment does not say so, what its address is."""
    os.environ["COILTRAIL_DATA"] = str(data)
    os.environ.setdefault("PUBLIC_URL", address)
    os.environ["TRUST_PAGE"] = trust_page


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


def pairing_of(name: str) -> str:
    """A code that pairs a phone of somebody's, for the terminal. Raises Trouble when nobody has this name."""
    person = people.find(name)
    if person is None:
        raise Trouble(f"Nobody who works here is called {name}: give --pair the name they sign in with.")
    _, token = pairings.show(By(person.shop_id, person.id))
    link = f"{settings().public_url}/#pair={token}"
    return f"This pairs a phone of {person.name}'s, once and within five minutes:\n{terminal_square(link)}\n{link}"


if __name__ == "__main__":
    data, host, port, *options = sys.argv[1:]
    pair = options[options.index("--pair") + 1] if "--pair" in options else None
    sys.exit(main(Path(data), host, int(port), demo="--demo" in options, on_lan="--lan" in options, pair=pair))
