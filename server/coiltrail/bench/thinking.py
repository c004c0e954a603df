"""What is measured, in steps, on both runtimes: this file obeys the portable subset and goes to the phone's runtime.

``begin(what, entries_json)``, then ``advance()`` until it gives something; a question that is not asked of a log has
its arguments in place of the entries. Of ``posterior`` only what follows the reading of the log counts, as with a
library that is given a network; the answers are whole, from entries to JSON.
"""

import json

from coiltrail.core import bridge, casefile, posterior, readings

try:
    from gc import mem_alloc, mem_free
except ImportError:  # CPython
    mem_alloc = mem_free = lambda: 0

# Bytes the phone's runtime may still take, which it counts as free (its gc_get_max_new_split).
MAY_TAKE = 128 * 2**20

_begun = [None]
_peak = [0]


def begin(what, entries_json):
    entries = json.loads(entries_json)
    if what == "posterior":
        _begun[0] = _posterior(readings.model_of(casefile.fold(entries)))
    else:
        bridge.begin(what, json.dumps({"entries": entries}) if isinstance(entries, list) else entries_json)
        _begun[0] = None


def advance():
    if _begun[0] is None:
        return bridge.advance()
    try:
        next(_begun[0])
    except StopIteration as done:
        return done.value
    return ""


def advance_looking():
    """The same, and look how much the heap holds, garbage of this step and all."""
    answer = advance()
    _peak[0] = max(_peak[0], mem_alloc())
    return answer


def heap():
    """JSON: the most bytes held at the end of a step, and the heap's size."""
    return json.dumps({"peak": _peak[0], "heap": mem_alloc() + mem_free() - MAY_TAKE})


def _posterior(model):
    solved = posterior.Posterior(model, later=True)
    yield from solved.solving()
    marginals = yield from solved.marginal_steps()
    return json.dumps({"marginals": len(marginals)})
