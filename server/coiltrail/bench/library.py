"""The same networks in pyAgrum, a general-purpose Bayesian-network library: run as a program by ``runtimes``.

The network is the one of ``tests/outside/case_network.py``, drawn from the log by a reading of its own.
"""

import json
import sys
import time

from ..config import PWA
from ..core import casefile

MOST = 50_000_000  # numbers in the library's tables, eight bytes each


def main() -> None:
    given = json.load(sys.stdin)
    sys.path.insert(0, str(PWA.parent))
    try:
        import pyagrum

        from tests.outside.case_network import CaseNetwork
    except ImportError:
        sys.exit("missing")
    pyagrum.setNumberOfThreads(1)
    network = CaseNetwork(casefile.fold(given["entries"]))
    if network.size() > MOST:
        sys.exit("too large")
    took = []
    while len(took) < given["times"] and sum(took) < 3000:
        began = time.perf_counter()
        network.posterior()
        took.append(1000 * (time.perf_counter() - began))
    print(json.dumps(took))


if __name__ == "__main__":
    main()
