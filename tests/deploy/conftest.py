"""The commands of deploy/ are scripts beside their modules, not a package, so their folder goes on the path."""

import sys
from pathlib import Path

# Last, so that no module of the standard library is hidden by one of the same name.
sys.path.append(str(Path(__file__).resolve().parents[2] / "deploy"))
