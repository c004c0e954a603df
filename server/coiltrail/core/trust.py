"""How far to trust the verdict: whether it stands when the tables' numbers are wrong.

The tables are estimates. Each group of their numbers that this case uses (how often a kind of component fails, how
a cylinder runs with a kind of fault, what one check or code says) is halved and doubled in odds, one group at a
time, and the leading explanation is weighed anew against its rivals. The verdict holds where it stays ahead
throughout; else it hangs on the group that topples it. The tables themselves are never touched: a case's own model
is copied with its numbers bent.
"""

from . import explanations, figures, strength
from .gradually import finish
from .tongue import phrase

FACTORS = (("halved", 0.5), ("doubled", 2.0))
MOST_RIVALS = 3


def trust(diagnosis):
    """How far the leading explanation can be trusted, as DEVELOPERS.md describes; None where nothing is suspected."""
    return finish(trusting(diagnosis))


def trusting(diagnosis):
    """The same in steps (``gradually``)."""
    if not diagnosis.listed:
        return None
    leading = diagnosis.listed[0][0]
    # As in "why": one that blames the same and more is no rival.
    rivals = [blamed for blamed, _ in diagnosis.listed if not set(leading) <= set(blamed)]
    contenders = [leading] + (rivals[:MOST_RIVALS] or [()])
    now = _margin(diagnosis, lambda model: model, contenders)
    rows = []
    for group, label in groups(diagnosis):
        row = {"group": group, "label": label, "holds": True, "becomes": None}
        for name, factor in FACTORS:
            margin, ahead = _margin(diagnosis, bending(group, factor), contenders)
            row[name] = margin
            row[name + "_words"] = strength.lead(margin)
            row[name + "_odds"] = strength.odds(margin)
            if margin < 0.0:
                row["holds"] = False
                row["becomes"] = _label(diagnosis, ahead)
                row[name + "_words"] = phrase("{rival} leads", rival=row["becomes"])
            yield
        row["moves"] = max(abs(row[name] - now[0]) for name, _ in FACTORS)
        rows.append(row)
    diagnosis.posterior.given(lambda model: model)
    rows.sort(key=lambda row: (row["holds"], min(row["halved"], row["doubled"]) - now[0], row["group"]))
    return _told(_label(diagnosis, contenders[0]), now, rows)


def groups(diagnosis):
    """The groups of numbers that bear on the suspects of a case, as (key, words), in a fixed order."""
    model, case = diagnosis.model, diagnosis.case
    found = set()
    for index in diagnosis.suspects:
        component = model.components[index]
        found.add(("prior", component.kind))
        found.update([("profile", state["profile"]) for state in component.states if state["profile"]])
    for keys, _, entry in model.factors:
        signs = [("sign", _sign_of(key)) for key in keys if model.observables[key].sign]
        found.update(signs)
        if len(signs) < len(keys):
            found.add(("entry", _source(case, entry)))
    for _, _, entry in model.counts:
        found.add(("entry", _source(case, entry)))
    for _, _, _, entry in model.looks:
        found.add(("entry", _source(case, entry)))
    return [("%s/%s" % pair, figures.words(*pair)) for pair in sorted(found)]


def _sign_of(key):
    """The sign of an observable's key: read over several cylinders it has one number, and a key for each."""
    return key[0].partition("/")[0]


def _source(case, entry_id):
    """Where an entry's numbers stand: under its check's name or its kind."""
    for entry in case.log:
        if entry["id"] == entry_id:
            return entry["body"]["check"] if entry["kind"] == "check" else entry["kind"]
    return ""


# Numbers bent


class Bent:
    """A model with one group of its numbers multiplied by ``factor`` in odds; the model itself stays as it is."""

    def __init__(self, model, group, factor):
        sort, _, name = group.partition("/")
        self.engine = model.engine
        self.components = model.components
        self.observables = model.observables
        self.factors, self.looks, self.counts = model.factors, model.looks, model.counts
        if sort == "prior":
            self.components = [_Weighed(c, factor) if c.kind == name else c for c in model.components]
        elif sort == "entry":
            self._bend_entries(model, name, factor)
        else:
            self.observables = {
                key: _BentObservable(model.observables[key], sort, name, factor) for key in sorted(model.observables)
            }

    def _bend_entries(self, model, name, factor):
        own = {e["id"] for e in model.case.log if _source(model.case, e["id"]) == name}
        self.factors = [
            (keys, _times(chances, factor), entry) if entry in own and _runs(model, keys) else (keys, chances, entry)
            for keys, chances, entry in model.factors
        ]
        self.counts = [
            (segments, _times(chances, factor) if entry in own else chances, entry)
            for segments, chances, entry in model.counts
        ]
        self.looks = [
            (index, generation, _times_by_state(by_state, factor) if entry in own else by_state, entry)
            for index, generation, by_state, entry in model.looks
        ]


def _runs(model, keys):
    """Whether a factor says how a cylinder runs; that of a sign holds no numbers of its own."""
    return any(not model.observables[key].sign for key in keys)


def _times(chances, factor):
    return tuple([odds_times(p, factor) for p in chances])


def _times_by_state(by_state, factor):
    return {state: odds_times(by_state[state], factor) for state in by_state}


class _Weighed:
    """A component whose chance to be at fault is bent."""

    def __init__(self, component, factor):
        self.kind = component.kind
        self.states = component.states
        self.adds_up = component.adds_up
        self.paths = component.paths
        bad = sum([w for w, path in zip(component.weights, component.paths) if path[0] != 0])
        total = sum(component.weights)
        now = odds_times(bad / total, factor) * total if total > 0 else 0.0
        self.weights = [
            w * (now / bad if path[0] != 0 else (total - now) / (total - bad)) if 0.0 < bad < total else w
            for w, path in zip(component.weights, component.paths)
        ]


class _BentObservable:
    """An observable of which one profile or one sign is bent, at each level: P(more than the level) in odds."""

    def __init__(self, observable, sort, name, factor):
        self.plain = observable
        self.key, self.cell, self.levels = observable.key, observable.cell, observable.levels
        self.served, self.condition, self.sign = observable.served, observable.condition, observable.sign
        self.profile = name if sort == "profile" else None
        self.bends_sign = sort == "sign" and observable.sign is not None and _sign_of(observable.key) == name
        self.factor = factor

    def cumulative(self, component, state):
        """As of the plain observable, bent."""
        row = self.plain.cumulative(component, state)
        own = self.plain.sign is None and component.states[state]["profile"] == self.profile
        return self._bent(row) if row and (own or self.bends_sign) else row

    def leak(self):
        """As of the plain observable, bent."""
        row = self.plain.leak()
        return self._bent(row) if self.bends_sign else row

    def _bent(self, row):
        return tuple([1.0 - odds_times(1.0 - p, self.factor) for p in row])


def odds_times(p, factor):
    """The probability whose odds are ``factor`` times those of ``p``; nought and one stay."""
    return p * factor / (1.0 - p + p * factor)


# Weighing


def bending(group, factor):
    """What bends one group of a model's numbers."""
    return lambda model: Bent(model, group, factor)


def _margin(diagnosis, change, contenders):
    """(decibans by which the first contender is ahead of the best other, that other), of models so changed."""
    diagnosis.posterior.given(change)
    weights = [diagnosis.weight(blamed) for blamed in contenders]
    rival = max(range(1, len(weights)), key=lambda k: (weights[k], -k))
    return explanations.decibans(weights[0] / max(weights[rival], 1e-300)), contenders[rival]


def _label(diagnosis, blamed):
    return phrase(", and ").join([diagnosis.label(index) for index in blamed]) or phrase("something else")


def _told(label, now, rows):
    toppled = [row for row in rows if not row["holds"]]
    if toppled:
        text = phrase(
            "It hangs on {numbers}: if our figure there is twice too high, {rival} leads instead. "
            "Take it as the first thing to try, not as proved."
            if toppled[0]["halved"] < 0.0
            else "It hangs on {numbers}: if our figure there is twice too low, {rival} leads instead. "
            "Take it as the first thing to try, not as proved.",
            numbers=toppled[0]["label"],
            rival=toppled[0]["becomes"],
        )
    elif not rows:
        text = phrase("It stays ahead even if one of our figures is twice too high or twice too low.")
    else:
        text = phrase(
            "It stays ahead even if one of our figures is twice too high or twice too low; most depends on {numbers}.",
            numbers=rows[0]["label"],
        )
    return {
        "label": label,
        "holds": not toppled,
        "margin": now[0],
        "hangs_on": rows[0]["group"] if rows else None,
        "text": "%s %s" % (strength.ahead(now[0]), text),
        "rows": rows,
    }
