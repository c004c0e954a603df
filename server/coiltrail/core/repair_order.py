"""The order of repairs that costs least, and what it is expected to cost. Nothing here knows a car.

*Worlds* are the ways things may stand: each is a bit mask of the faults present, with a weight. A repair takes
away the faults in its own mask; a test then shows whether anything is left, and the next repair follows. With
one fault to a world, costs that do not depend on each other and a test that never errs, the expected cost

    ECR = sum over i of C_i (1 - sum over j < i of p_j)

is least in the order of falling p / C (Kadane and Simon 1977). A cost V of having been in vain leaves that as it is,
with C + V in the place of C: the sum differs by p V in every order. Heckerman, Breese and Rommelse 1995 take the same
order for the repairs that may follow an observation. Where a way in must be opened first (its cost is shared by
all that lies behind it), the order of falling ratio holds for blocks (Horn 1972). The job may be handed over at
any point; a prefix of the order is then best, since a repair worth its cost after others of a lower ratio is
worth it before them.
"""


class Repair:
    """``mends``: mask of the faults it takes away. ``cost`` includes the test. ``way``: key of the way in, or None.

    ``in_vain``: what it costs besides where something is still wrong after it. ``proof``: what it costs besides as long
    as it is not proved to be the right one.
    """

    def __init__(self, mends, cost, way=None, in_vain=0.0, proof=0.0):
        self.mends = mends
        self.cost = cost
        self.way = way
        self.in_vain = in_vain
        self.proof = proof


class Terms:
    """What the rest costs, in the unit of the repairs' costs.

    ``give_up``: to hand the job over. ``spared``: {fault's mask: what of that is spared when this fault is rightly
    named}. ``ways``: {key of a way in: cost of opening it}. After a repair the test errs: ``false_alarm`` is the
    chance that it shows a miss although nothing is left, ``overlooked`` that it shows none although something is,
    which costs ``comeback``.
    """

    def __init__(self, give_up, spared=None, ways=None, false_alarm=0.0, overlooked=0.0, comeback=0.0):
        self.give_up = give_up
        self.spared = sorted((spared or {}).items())
        self.ways = ways or {}
        self.false_alarm = false_alarm
        self.overlooked = overlooked
        self.comeback = comeback
        self._named = (None, [])  # worlds, and for each fault that spares something the places of the worlds with it

    def naming(self, worlds):
        """What naming a fault spares, as (fault, saving, places of the worlds that have it)."""
        if self._named[0] is not worlds:
            rows = []
            for fault, saving in self.spared:
                rows.append((fault, saving, [k for k, mask in enumerate(worlds) if mask & fault]))
            self._named = (worlds, rows)
        return self._named[1]


class State:
    """What is known: ``weights`` of the worlds, ``mended`` faults (mask), ways ``opened``, and what has been done.

    ``proved``: repairs that need no proof any more, as a mask of their indices.

    Weights need not add up to one: all costs of a state are weighed by its mass.
    """

    def __init__(self, weights, mended=0, opened=(), repaired=(), observed=(), proved=0):
        self.weights = weights
        self.mended = mended
        self.opened = opened
        self.repaired = repaired
        self.observed = observed
        self.proved = proved

    def mass(self):
        """The sum of the weights."""
        return sum(self.weights)


def plan(worlds, repairs, terms, state):
    """The cheapest order: ``(expected cost, [index of each repair])``, the end of it being handing over."""
    order = _without_idle(worlds, repairs, state, best_order(worlds, repairs, terms, state))
    totals = _running_totals(worlds, repairs, terms, state, order)
    best = min(range(len(totals)), key=lambda count: (totals[count], count))
    return totals[best], order[:best]


def cost_of_order(worlds, repairs, terms, state, order):
    """Expected cost of exactly these repairs in this order, then handing over if something is left."""
    return _running_totals(worlds, repairs, terms, state, order)[-1]


def best_order(worlds, repairs, terms, state):
    """Indices of all repairs that could help, by falling chance over cost; ways in are opened in blocks."""
    left = [(mask & ~state.mended, weight) for mask, weight in zip(worlds, state.weights) if mask & ~state.mended]
    open_, behind = [], {}
    for index, repair in enumerate(repairs):
        gain = sum([weight for mask, weight in left if mask & repair.mends])
        if gain > 0 and index not in state.repaired:
            row = (gain, repair.cost + repair.in_vain + to_prove(repair, state, index), index)
            if repair.way is None or repair.way in state.opened or not terms.ways.get(repair.way):
                open_.append(row)
            else:
                behind.setdefault(repair.way, []).append(row)
    blocks = [(gain / cost, [index]) for gain, cost, index in open_]
    for way in sorted(behind):
        blocks += _blocks(behind[way], terms.ways[way])
    blocks.sort(key=lambda block: (-block[0], block[1]))
    return [index for _, indices in blocks for index in indices]


def _blocks(rows, opening):
    """Blocks of the repairs behind one way in: the first holds as many as raise the ratio of the whole."""
    rows = sorted(rows, key=lambda row: (-row[0] / row[1], row[2]))
    gain, cost, count = 0.0, opening, 0
    best = (0.0, 0)
    for row in rows:
        gain, cost, count = gain + row[0], cost + row[1], count + 1
        if gain / cost > best[0]:
            best = (gain / cost, count)
    together = [(best[0], [row[2] for row in rows[: best[1]]])]
    return together + [(row[0] / row[1], [row[2]]) for row in rows[best[1] :]]


def _without_idle(worlds, repairs, state, order):
    """The order without repairs that find nothing left to mend, since one before took it along."""
    mended, kept = state.mended, []
    for index in order:
        mends = repairs[index].mends & ~mended
        if any(weight > 0 and mask & mends for mask, weight in zip(worlds, state.weights)):
            kept.append(index)
            mended |= mends
    return kept


def _running_totals(worlds, repairs, terms, state, order):
    """Expected cost if the order is cut after 0, 1, 2 ... repairs and the job then handed over."""
    spent = 0.0
    totals = [handing_over(worlds, terms, state)]
    for index in order:
        cost, state = after_repair(worlds, repairs, terms, state, index)
        spent += cost
        totals.append(spent + handing_over(worlds, terms, state))
    return totals


def after_repair(worlds, repairs, terms, state, index):
    """``(cost, state)`` of one more repair whose test still shows a miss."""
    repair = repairs[index]
    mass = state.mass()
    cost = mass * (repair.cost + to_prove(repair, state, index) + opening(terms, state, repair.way))
    mended = state.mended | repair.mends
    weights, passed = [], 0.0
    for mask, weight in zip(worlds, state.weights):
        if mask & ~mended:
            cost += weight * repair.in_vain
            passed += weight * terms.overlooked
            weights.append(weight * (1.0 - terms.overlooked))
        else:
            weights.append(weight * terms.false_alarm)
    return (
        cost + passed * terms.comeback,
        State(
            weights,
            mended,
            with_way(state.opened, repair.way),
            state.repaired + (index,),
            state.observed,
            state.proved,
        ),
    )


def to_prove(repair, state, index):
    """What it costs to prove a repair first; nothing where that was done."""
    return 0.0 if not repair.proof or state.proved >> index & 1 else repair.proof


def handing_over(worlds, terms, state):
    """Expected cost of handing the job over now, with the cause named that spares most."""
    spared = 0.0
    for fault, saving, places in terms.naming(worlds):
        if not state.mended & fault:
            spared = max(spared, saving * sum([state.weights[k] for k in places]))
    return state.mass() * terms.give_up - spared


def opening(terms, state, way):
    """Cost of opening a way in; nothing where it is open or there is none."""
    return 0.0 if way is None or way in state.opened else terms.ways.get(way, 0.0)


def with_way(opened, way):
    """The ways that are open once ``way`` is."""
    return opened if way is None or way in opened else opened + (way,)
