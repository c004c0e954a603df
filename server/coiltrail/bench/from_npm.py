"""Programs from npm that are measured with, installed when they are first needed and no part of the product."""

import os
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

from ..trouble import Trouble


def install(name: str, packages: Sequence[str]) -> Path:
    """The directory, outside the tree, that holds ``packages``, installed where they are not. Raises Trouble."""
    cache = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / f"coiltrail-{name}"
    stamp = cache / "installed"
    if stamp.is_file() and stamp.read_text() == "\n".join(packages):
        return cache
    npm = shutil.which("npm")
    if not npm:
        raise Trouble("npm is not on this machine")
    cache.mkdir(parents=True, exist_ok=True)
    command = [npm, "install", "--prefix", cache, "--ignore-scripts", "--no-audit", "--no-fund", *packages]
    done = subprocess.run(command, capture_output=True, text=True)
    if done.returncode:
        raise Trouble(f"npm could not install it ({done.stderr.strip().splitlines()[-1:]})")
    stamp.write_text("\n".join(packages))
    return cache
