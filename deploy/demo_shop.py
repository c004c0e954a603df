"""The invented shop of ``--demo``: built by the scripts of demo_fixtures, loaded once into an empty data directory."""

import json
import sys
import tempfile
from pathlib import Path

from places import ROOT

from coiltrail import demo

# In the data directory, once the shop is all there.
LOADED = "demo-loaded.json"


def load_once(data: Path) -> None:
    """Loads the invented shop, unless it has been. Raises coiltrail's Trouble when ``data`` holds another shop."""
    if (data / LOADED).is_file():
        return
    print("Loading the invented shop ...", flush=True)
    sys.path.append(str(ROOT))
    from demo_fixtures import shop

    with tempfile.TemporaryDirectory() as folder:
        shop.build(Path(folder))
        demo.load(Path(folder))
        people = json.loads((Path(folder) / "shop.json").read_text(encoding="utf-8"))["people"]
    (data / LOADED).write_text(json.dumps(people), encoding="utf-8")


def demo_sign_in(data: Path) -> str:
    """The invented people with their passwords, one a line."""
    people = json.loads((data / LOADED).read_text(encoding="utf-8"))
    names = [f"  {person['name']} ({person['role']}), password: {person['password']}" for person in people]
    return "\n".join(["Sign in as one of the invented people:", *names])
