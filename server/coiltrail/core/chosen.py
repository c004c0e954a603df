"""The best acts put in words as steps, with what a mechanic looks at on the way."""

from . import (
    after_swap,
    candidates,
    checks,
    costs,
    entries,
    faults,
    grading,
    how_it_shows,
    lookahead,
    proof,
    repair_order,
    seen,
    steps,
    strength,
    which_cylinder,
)
from .tongue import phrase

LEAST_SAVING = 2.0  # minutes; a check that is expected to spare less than this is not worth the trouble. Estimate
CLEARLY_CHEAPER = 0.6  # share of another's minutes up to which a check that spares as much comes first. Estimate
SURE_ENOUGH = 0.90  # posterior at which a repair is shown beside a better step
CONNECTORS = {"coil": "connector_look", "injector": "injector_connector"}  # a part: the look at its connector
# A leak: the checks that show it, the surest first. Nobody seals what he has not seen leak. Common practice, no source.
A_LEAK_LEADS = 0.6  # posterior from which it is looked for before anything else. Estimate
SHOWS_THE_LEAK = {"runner": ("runner_leak", "runner_gas"), "unmetered_air": ("air_leak", "intake_gas")}
# Minutes by which a check must be expected to spare more than another to stand before it where what it shows hardly
# changes what is done next, and where it is made parked for a miss that comes on the road alone. Estimate, from memory
DECIDES_NOTHING, NOT_AS_IT_RUNS = 4.0, 60.0
# The same for what needs another way in while a coil is off: it goes back on first, and off again later.
BACK_ON_FIRST = 2.0 * costs.MINUTES_COIL
LEAST_SHOWN = 0.04  # chance below which an outcome is not told
# The likeliest of causes is named from this share on, or where the next is not nearly as likely. Estimate, from memory
STANDS_OUT, ALIKE = 0.2, 0.8


class Chosen:
    """Puts ranked acts in words."""

    def __init__(self, diagnosis, ways, spent, problem, state, fixes, looks, follows):
        self.diagnosis = diagnosis
        self.ways = ways
        self.spent = spent
        self.problem = problem
        self.state = state
        self.fixes = fixes
        self.looks = looks
        self.at_once, self.order = repair_order.plan(problem.worlds, problem.repairs, problem.terms, state)
        self.at_hand = [index for index in sorted(follows) if self._lies_open(self.looks[index].what)]
        self.waits = {index: self._waiting(index, follows) for index in follows}

    def _waiting(self, index, follows):
        """By how much cheaper an observation must be to stand before others, in minutes."""
        act, check, _, _ = self.looks[index].what
        case = self.diagnosis.case
        if act == "check" and (
            how_it_shows.counts_for_little(case, check) or how_it_shows.looks_elsewhere(case, check)
        ):
            return NOT_AS_IT_RUNS
        proves = bool(self.order) and self.looks[index].observation.proves >> self.order[0] & 1
        elsewhere = BACK_ON_FIRST if self.at_hand and index not in self.at_hand else 0.0
        return elsewhere + (0.0 if proves or lookahead.decides(follows, index) else DECIDES_NOTHING)

    def _lies_open(self, what):
        """Whether the way in to a check or a swap is open, since the coil there is off."""
        act, which, where, cylinder = what
        if act == "swap":
            return which != "injector" and where in self.spent.coils_off
        return self.spent.coil_is_off(which, where, cylinder)

    def telling_first(self, ranked):
        """Ranked acts, those put back that mostly change no decision, or do not show what comes on the road alone."""
        return sorted(ranked, key=lambda act: (self._with_waiting(act), act))

    def _with_waiting(self, act):
        return act[0] + (self.waits[act[2]] if act[1] == "observe" else 0.0)

    def steps(self, deep, ranked):
        """The best act first, as the deep look has it; then what is as good as proved, and the checks that pay."""
        best = self._best(deep, ranked)
        told = self._boot_that_moved_along(best) or self._looks_on_the_way(best) + [self._step(best)]
        if best[1] == "repair":
            for index in self.order:
                proved = not repair_order.to_prove(self.problem.repairs[index], self.state, index)
                if proved and self.diagnosis.fault(self.fixes[index][0]) >= SURE_ENOUGH:
                    told.append(self._repair(index))
        seen = [best[1:]]
        for act in deep + ranked:
            if act[1] == "observe" and act[0] < self.at_once - LEAST_SAVING and act[1:] not in seen:
                seen.append(act[1:])
                told.append(self._step(act))
        return told

    def _best(self, deep, ranked):
        """Of acts as good as alike, one that ends the search; else one that costs clearly less by itself.

        ``deep`` and ``ranked``: as ``telling_first`` has them.
        """
        ending = min([act for act in deep + ranked if act[1] == "hand_over" or self._likely(act)])
        looks = [act for act in deep if act[1] == "observe" and ending[0] - act[0] >= LEAST_SAVING]
        if not looks:
            return ending
        least = self._with_waiting(looks[0])
        alike = [act for act in looks if self._with_waiting(act) - least < LEAST_SAVING]
        cheapest = min(alike, key=lambda act: (self._minutes(act[2]), act))
        clearly = self._minutes(cheapest[2]) <= CLEARLY_CHEAPER * self._minutes(looks[0][2])
        return cheapest if clearly else looks[0]

    def _likely(self, act):
        """Whether an act is a repair of something that is more than a guess."""
        if act[1] != "repair":
            return False
        return proof.chance(self.ways, self.fixes[act[2]][2]) >= proof.LEAST_LIKELY

    def _looks_on_the_way(self, best):
        """What a mechanic sees anyway on the way to the best step, or would be sorry not to have looked at before."""
        _, act, index = best
        leading = self.fixes[self.order[0]][0] if self.order else None
        kind = self.diagnosis.model.components[leading].kind if self.order else ""
        if kind in SHOWS_THE_LEAK and self.diagnosis.fault(leading) > A_LEAK_LEADS:
            return self._seeing_the_leak(leading, SHOWS_THE_LEAK[kind])
        if act == "observe" and self.looks[index].what[1] in which_cylinder.COMPRESSION_CHECKS:
            _, test, _, cylinder = self.looks[index].what
            test = phrase(checks.BY_KEY[test]["label"])
            why = phrase("It comes out anyway for what is next, {test}: look at it first.", test=test.lower())
            return self._look("plug_look", "plug.%d" % cylinder, why)
        if act == "hand_over":
            return self._measuring_first()
        if act == "repair":
            component = self.fixes[index][0]
            place = candidates.place_of(self.diagnosis, component)
            kind = self.diagnosis.model.components[component].kind
            sure = self.diagnosis.fault(component) >= proof.SURE_OF_A_PART
            if kind in CONNECTORS and not sure and not self._had_in_hand(place):
                why = phrase("A minute, before a part is bought for what may be its connector.")
                return self._look(CONNECTORS[kind], place, why)
        return []

    def _measuring_first(self):
        """The measurement at a cylinder that no longer seals, before its owner is sent to a workshop for it."""
        blamed = [(-self.ways.chance(i), i) for i in self.ways.faults]
        index = min(blamed)[1] if blamed else None
        if index is None or self.diagnosis.model.components[index].kind not in ("compression", "gasket"):
            return []
        cylinder = self.diagnosis.standing(index)[1][0]
        case = self.diagnosis.case
        made = [e["body"] for _, e in case.of_kind("check") if e["body"]["check"] in which_cylinder.COMPRESSION_CHECKS]
        if cylinder in [body.get("cylinder") for body in made]:
            return []
        why = phrase("Nobody is sent to a workshop for it unmeasured.")
        return (self._look("compression", None, why, cylinder) + self._look("leak_down", None, why, cylinder))[:1]

    def _boot_that_moved_along(self, best):
        """The look at a boot that moved along with its coil, in place of buying the coil for what may be the boot."""
        _, act, index = best
        case = self.diagnosis.case
        place = candidates.place_of(self.diagnosis, self.fixes[index][0]) if act == "repair" else None
        kind, position = entries.split_place(place)
        if kind != "coil" or not case.engine.boots_move_with_coil:
            return []
        coil, boot = [
            case.trails.get(case.trails.at_place.get("%s.%d" % (each, position))) for each in ("coil", "boot")
        ]
        if coil is None or boot is None or not coil.trail[-1][2]:
            return []  # nothing was moved here
        rival = sum([self.ways.chance(i) for i in self.ways.faults if self.diagnosis.standing(i)[0] == boot.place])
        looked = [
            case.trails.occupant("boot." + entry["body"]["place"].partition(".")[2], moment)
            for moment, entry in case.of_kind("check")
            if entry["body"]["check"] == "coil_look" and entry["body"].get("place")
        ]
        if rival < candidates.REAL_RIVAL or boot.id in looked:
            return []
        why = phrase("Coil and boot moved together: look at the boot, or move it alone, before a coil is bought.")
        return self._look("coil_look", place, why)

    def _seeing_the_leak(self, component, shown_by):
        """The first of these checks that can be made at a leak, where none of them was."""
        if any(entry["body"]["check"] in shown_by for _, entry in self.diagnosis.case.of_kind("check")):
            return []
        cylinders = self.diagnosis.standing(component)[1]
        why = phrase("Where it leaks has to be seen before it is sealed.")
        found = []
        for check in shown_by:
            found += self._look(check, None, why, cylinders[0] if len(cylinders) == 1 else None)
        return found[:1]

    def _had_in_hand(self, place):
        """Whether anything was checked at that place, so that its connector was seen."""
        return any(entry["body"].get("place") == place for _, entry in self.diagnosis.case.of_kind("check"))

    def _look(self, check, place, why, cylinder=None):
        """That check as a step, where it is open and tells something; else nothing."""
        for index, look in enumerate(self.looks):
            if look.what == ("check", check, place, cylinder):
                return [steps.check(check, place, cylinder, self._minutes(index), why, None, self.diagnosis.case)]
        return []

    def _minutes(self, index):
        """What a check costs by itself, with the way in."""
        look = self.problem.observations[index]
        return look.cost + repair_order.opening(self.problem.terms, self.state, look.way)

    def _step(self, ranked):
        cost, act, index = ranked
        if act == "repair":
            return self._repair(index)
        if act == "hand_over":
            return self._hand_over()
        look = self.looks[index]
        saves = max(0.0, self.at_once - cost)
        minutes = self._minutes(index)
        kind, what, where, cylinder = look.what
        if kind == "swap":
            stored = after_swap.codes_stand(self.diagnosis.case, self.spent)
            engine = self.diagnosis.case.engine
            return steps.swap(engine, what, where, cylinder, minutes, self._told(index), saves, stored)
        why = self._told(index)
        if how_it_shows.counts_for_little(self.diagnosis.case, what):
            why = "%s %s" % (why, how_it_shows.when_it_counts(self.diagnosis.case))
        if index in self.at_hand:
            why = "%s %s" % (phrase("The coil is off already."), why)
        return steps.check(what, where, cylinder, minutes, why, saves, self.diagnosis.case)

    def _repair(self, index):
        component, minutes, fix = self.fixes[index]
        minutes += repair_order.opening(self.problem.terms, self.state, fix.way)
        why = self._why_repair(component, fix)
        if self._oil_in_the_well(component):
            why = "%s %s" % (why, phrase("Oil stands in the well: seal the cover too, or it comes back."))
        return steps.repair(self.diagnosis, component, minutes, why)

    def _oil_in_the_well(self, component):
        """Whether oil was found where this part goes."""
        kind, position = entries.split_place(candidates.place_of(self.diagnosis, component))
        found = [
            grading.finding_of(self.diagnosis.case, entry)
            for _, entry in self.diagnosis.case.of_kind("check")
            if entry["body"]["check"] == "coil_look" and entry["body"].get("place") == "coil.%d" % (position or 0)
        ]
        return kind in ("coil", "boot", "plug") and found[-1:] == ["oil_in_well"]

    def _why_repair(self, component, fix):
        """How likely it is that this repair is the right one; what goes with the part counts with it."""
        alone = self._percent(component)
        if not fix.mends & (fix.mends - 1):
            return phrase("What was found makes it {share} likely.", share=alone)
        together = sum([w for mask, w in zip(self.ways.masks, self.ways.weights) if mask & fix.mends])
        return phrase(
            "What was found makes it {share} likely; with its boot, which comes off with it, {together}.",
            share=alone,
            together=strength.percent(together / sum(self.ways.weights)),
        )

    def _hand_over(self):
        workshop = [
            (-self.ways.chance(i), i)
            for i in self.ways.faults
            if faults.BY_KIND[self.diagnosis.model.components[i].kind]["workshop"]
        ]
        if workshop and -min(workshop)[0] > 0.5:
            index = min(workshop)[1]
            why = phrase(
                "What was found makes it {share} likely, and it is no work for a driveway.", share=self._percent(index)
            )
            out = seen.way_out(self.diagnosis.case, self.diagnosis.model.components[index].name)
            if out:
                found, means = checks.finding_label("leak_down", out), checks.finding_means("leak_down", out)
                heard = phrase("The leak-down says what it is (\u201c{found}\u201d): {means}", found=found, means=means)
                why = "%s %s" % (why, heard)
            return steps.hand_over(self.diagnosis.model.components[index].label, 10, why)
        return steps.hand_over("", 10, phrase("Going on here would be expected to cost more than a workshop's search."))

    def _told(self, index):
        """What the likeliest outcomes would mean, in one sentence."""
        mass = self.state.mass()
        rows = []
        for label, after in zip(self.looks[index].labels, lookahead.outcomes(self.problem, self.state, index)):
            if after.mass() >= LEAST_SHOWN * mass:
                rows.append((-after.mass(), label, self._likeliest(after)))
        told = []
        for _, label, words in sorted(rows)[:2]:
            swap = self.looks[index].what[0] == "swap"
            told.append(
                phrase("If the miss {found}: {leads}", found=label, leads=words)
                if swap
                else phrase("If \u201c{found}\u201d: {leads}", found=label, leads=words)
            )
        return "; ".join([told[0]] + [words[0].lower() + words[1:] for words in told[1:]]) + "."

    def _likeliest(self, after):
        ranked = []
        for fault, index in enumerate(self.ways.faults):
            p = sum([w for mask, w in zip(self.ways.masks, after.weights) if mask & 1 << fault]) / after.mass()
            ranked.append((-p, index))
        p, index = min(ranked)
        if -p < STANDS_OUT and len(ranked) > 1 and sorted(ranked)[1][0] < ALIKE * p:
            return phrase("nothing stands out yet")
        what = self.diagnosis.model.components[index].label
        return phrase("most likely {what} ({share})", what=what, share=strength.percent(-p))

    def _percent(self, index):
        """The share of a fault: that of the list of causes, where it stands there alone, so that a screen says one."""
        share = self.diagnosis.fault(index)
        listed = [p for blamed, p in self.diagnosis.listed if blamed == (index,) and p <= share]
        return strength.percent(listed[0] if listed else share)
