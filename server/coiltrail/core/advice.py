"""The next step by expected cost of repair.

Order: what must come first for safety or because it is lost otherwise (``before_all``), then what a swap showed
(``after_swap``), then finding the cylinder (``which_cylinder``), then the step of least expected cost (``lookahead``)
among checks, swaps, repairs and handing the car over.
"""

from . import (
    after_swap,
    before_all,
    candidates,
    costs,
    faults,
    lookahead,
    outlook,
    proof,
    proving,
    repair_order,
    set_of_plugs,
    steps,
    verification,
    which_cylinder,
    worlds,
)
from .chosen import Chosen
from .gradually import finish

MOST_STEPS = 4
DEPTH = 2  # steps looked ahead
WIDTH, DEEPER_WIDTH = 3, 8  # how many steps are looked at so deeply, in the first answer and in the deeper one
GONE = 0.5  # weight of "nothing left to repair" from which that is looked into before anything else


def next_steps(diagnosis, tools=None, prices=None, labour_rate=None, width=WIDTH):
    """The next steps, best first: a list of dicts as DEVELOPERS.md describes under "Shapes".

    ``tools``, ``prices``, ``labour_rate``: see ``costs.Costs``. ``width``: how many steps are looked at
    deeply. Raises ValueError where they cannot be.
    """
    fixed = verification.fixed(diagnosis.case, diagnosis)
    spent = costs.Costs(diagnosis.case, tools, prices, labour_rate)
    return finish(stepping(diagnosis, fixed, spent, width))


def stepping(diagnosis, fixed, spent, width=WIDTH):
    """The same in steps (``gradually``). ``fixed``: see ``verification.fixed``; ``spent``: a ``costs.Costs``."""
    proving_steps = proving.steps_after_repair(diagnosis, fixed)
    gaps = before_all.gaps_to_set(diagnosis.case)
    renewed = set_of_plugs.renew(diagnosis.case, spent)
    if renewed and set_of_plugs.concerns(diagnosis):
        gaps, renewed = renewed + gaps, []
    if proving_steps and not gaps:
        return proving_steps
    first = before_all.first_of_all(diagnosis.case)
    if first and first[0]["key"] in before_all.ALONE:
        return first
    again = after_swap.look_again(diagnosis.case, spent)
    first = before_all.questions(diagnosis.case) + first + again + gaps
    first += which_cylinder.compression_of_neighbours(diagnosis, spent)
    reading = [before_all.read_codes()] if before_all.codes_unread(diagnosis.case, spent) else []
    ways = worlds.of_diagnosis(diagnosis)
    if ways.gone > GONE and not before_all.missed_since_the_last_change(diagnosis.case):
        found = first + before_all.see_whether_it_is_gone(diagnosis) + reading
        return steps.without_doubles(found)[:MOST_STEPS]
    weighed = yield from _weighed(diagnosis, ways, spent, width)
    weighed = [step for step in weighed if not which_cylinder.looked_at_by(again, step)]
    located = weighed and candidates.located(diagnosis, ways)
    rounds = which_cylinder.rounds(diagnosis.case, spent)
    unnamed = rounds and not which_cylinder.named(diagnosis.case)
    if unnamed:
        weighed = [step for step in weighed if not which_cylinder.waits_for_the_round(step)]
    if located and rounds and (which_cylinder.only_told(diagnosis.case) or (unnamed and _at_one_place(weighed))):
        found = first + reading + rounds + weighed
    elif located:
        found = first + weighed[:1] + reading + (rounds if unnamed else []) + weighed[1:]
    else:
        found = first + reading + rounds + [step for step in weighed if step["act"] in ("check", "swap") or not rounds]
    if not located or not weighed or weighed[0]["act"] in ("check", "swap"):
        found += which_cylinder.look_at_connectors(diagnosis.case)
    found = set_of_plugs.placed(found, set_of_plugs.look(diagnosis.case, spent))
    found = found[: MOST_STEPS - len(renewed)] + renewed
    return steps.without_doubles(found)[:MOST_STEPS]


def _at_one_place(weighed):
    """Whether the best of these steps looks at one place alone, or none is left."""
    body = weighed[0]["body"] if weighed else {}
    return not weighed or bool(body.get("place") or body.get("cylinder") or "@" in body.get("component", ""))


def _weighed(diagnosis, ways, spent, width):
    """Steps by expected cost, cheapest first; of the repairs only those whose turn has come."""
    if len(ways.sets) < 2:
        return []
    yield
    fixes = candidates.repairs(diagnosis, ways, spent)
    seen = outlook.Outlook(diagnosis, ways)
    yield
    looks = []
    for candidate in candidates.observations(diagnosis, ways, seen, spent, before_all.unsafe(diagnosis.case)):
        if candidate:
            looks.append(candidate)
        yield
    problem = lookahead.Problem(
        ways.masks, [fix for _, _, fix in fixes], [look.observation for look in looks], _terms(diagnosis, ways, spent)
    )
    state = repair_order.State(seen.weights, opened=spent.opened)
    minutes = [
        look.observation.cost + repair_order.opening(problem.terms, state, look.observation.way) for look in looks
    ]
    proof.ask_for(diagnosis, ways, fixes, looks, minutes)
    yield
    follows = {}
    shallow = yield from lookahead.ranking(problem, state, follows=follows)
    chosen = Chosen(diagnosis, ways, spent, problem, state, fixes, looks, follows)
    ranked = chosen.telling_first(shallow)
    deep = yield from lookahead.ranking(problem, state, DEPTH, width, ranked)
    return chosen.steps(chosen.telling_first(deep), ranked)


def _terms(diagnosis, ways, spent):
    spared = {}
    for index in ways.faults:
        if faults.BY_KIND[diagnosis.model.components[index].kind]["workshop"]:
            spared[ways.mask_of((index,))] = costs.NAMED_SPARES
    return repair_order.Terms(costs.GIVE_UP, spared, spent.ways(), costs.FALSE_ALARM, costs.OVERLOOKED, costs.COMEBACK)
