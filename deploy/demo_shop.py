"""The invented shop of ``--demo``: built by the scripts of demo_fixtures, loaded once into an empty data directory."""

import json
import sys
import tempfile
from pathlib import Path

from places import ROOT

from coiltrail import demo
from coiltrail.store import people

# In the data directory, written once the shop is all there: its people, to say how to sign in.
LOADED = "demo-people.json"


def load_once(data: Path) -> None:
    """Loads the invented shop, unless it has been. Raises coiltrail's Trouble when ``data`` holds another shop."""
    if (data / LOADED).is_file() and people.has_owner():
        return
    print("Loading the invented shop ...", flush=True)
    sys.path.append(str(ROOT))
    from demo_fixtures import build, shop

    with tempfile.TemporaryDirectory() as folder:
        build.build(Path(folder))
        demo.load(Path(folder))
    (data / LOADED).write_text(json.dumps(shop.PEOPLE), encoding="utf-8")


def demo_sign_in(data: Path) -> str:
    """The invented people with their passwords, one a line."""
    invented = json.loads((data / LOADED).read_text(encoding="utf-8"))
    return "\n".join(
        [
            "Sign in as one of the invented people:",
            *(f"  {person['name']} ({person['role']}), password {person['password']}" for person in invented),
        ]
    )
