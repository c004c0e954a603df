"""What is all but ruled out is left out where a case ties too much together to be worked out whole.

Parts of several kinds moved between the same cylinders tie all that serves these cylinders into one table, which grows
beyond what a phone holds. Most of it is about faults that the findings speak against already: of the healthy cylinder's
parts, and of a part that ran well where it was moved to. A fault is left out whose weight stays under a limit, however
the rest of the engine is: its prior times what looks at it say, times what each finding says of it against a sound
part where it is less likely with it. What makes a finding likelier counts as nothing, since another fault may explain
that finding too.
"""

from .path_weights import path_weights
from .rows import Rows

MOST_NUMBERS = 1500000  # in all tables of a plan: 12 MB, of the 32 that a phone may be asked for
# Tried one after the other. With a coil, a plug and an injector moved between two cylinders of a V6 and driven after
# each, no probability of a fault is off by more than 0.3 % up to 0.0003, by 4 % at 0.001.
LIMITS = (0.00001, 0.0001, 0.0003, 0.001, 0.003)


def thin(model, limit):
    """Leave out of ``model``, for good, each path whose support is under ``limit``; never being sound."""
    for component, row in zip(model.components, support(model)):
        kept = [k for k, path in enumerate(component.paths) if not any(path) or row[k] >= limit]
        component.paths, component.weights = [component.paths[k] for k in kept], [component.weights[k] for k in kept]


def support(model):
    """Of each path of every component the most that its weight can be beside a sound one, see above."""
    rows, found = Rows(model), []
    for component, weights in zip(model.components, path_weights(model, {})):
        sound = sum([w for w, path in zip(weights, component.paths) if not any(path)])
        found.append([min(1.0, w / sound) if sound > 0.0 else 1.0 for w in weights])
    for keys, chances, _ in model.factors:
        alone = [1.0] * len(chances)  # P(largest <= level) with all sound
        serving = {}  # component -> what it does to each observable that it serves: (by state, generation)
        for key in keys:
            observable = model.observables[key]
            alone = [a * b for a, b in zip(alone, observable.leak())]
            for index, generation in observable.served:
                by_state = rows.of(key, model.components[index])
                if by_state:
                    serving.setdefault(index, []).append((by_state, generation))
        without = _chance(chances, alone)
        for index in serving if without > 0.0 else ():  # in any order
            for k, path in enumerate(model.components[index].paths):
                largest = alone
                for by_state, generation in serving[index]:
                    row = by_state[path[generation]]
                    largest = [a * b for a, b in zip(largest, row)] if row else largest
                found[index][k] *= min(1.0, _chance(chances, largest) / without)
    return found


def _chance(chances, largest):
    """Chance of a finding, by P(largest <= level)."""
    before, total = 0.0, 0.0
    for chance, upto in zip(chances, largest):
        total += chance * (upto - before)
        before = upto
    return total
