"""The same networks in pyAgrum, a general-purpose Bayesian-network library: run as a program by ``runtimes``.

The network is the one of ``tests/outside/case_network.py``, drawn from the log by a reading of its own. Where the whole
of it is too large for the library, as many components as it can take are left free to fail and the others held good,
and the diagnosis is measured on the same.
"""

import json
import random
import sys
import time
from collections.abc import Callable

from ..config import PWA
from ..core import casefile, posterior, readings

MOST = 20_000_000  # numbers in the library's tables, eight bytes each
FEWER = (40, 30, 20, 14, 8, 5)  # components left free


def main() -> None:
    given = json.load(sys.stdin)
    sys.path.insert(0, str(PWA.parent))
    try:
        import pyagrum

        from tests.outside.test_posterior_network import good_paths, is_free
    except ImportError:
        sys.exit("missing")
    pyagrum.setNumberOfThreads(1)
    case = casefile.fold(given["entries"])
    network, free = _network(case)
    model = readings.model_of(case)
    held = {i: good_paths(c) for i, c in enumerate(model.components) if not is_free(c, network)}
    library = _timed(network.posterior, given["times"])
    ours = _timed(lambda: posterior.Posterior(model, held).marginals(), given["times"])
    print(json.dumps({"library": min(library), "ours": min(ours), "free": free}))


def _network(case: casefile.CaseFile):
    """The network, and how many of its components are free to fail: None where it is the whole."""
    from tests.outside.case_network import CaseNetwork

    network = CaseNetwork(case)
    if network.size() <= MOST:
        return network, None
    everything = sorted({component[:2] for component, _ in network.states})
    for number in FEWER:
        network = CaseNetwork(case, set(random.Random(0).sample(everything, min(number, len(everything)))))
        if network.size() <= MOST:
            return network, number
    sys.exit("too large")


def _timed(work: Callable[[], object], times: int) -> list[float]:
    took: list[float] = []
    while len(took) < times and sum(took) < 3000:
        began = time.perf_counter()
        work()
        took.append(1000 * (time.perf_counter() - began))
    return took


if __name__ == "__main__":
    main()
