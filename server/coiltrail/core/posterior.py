"""Exact inference over all faults at once.

The likelihood of a case has the product form of a noisy maximum (Henrion 1989; Diez 1993): how a cylinder
runs, and every sign, is the largest of independent contributions, so that

    P(largest <= m) = product over components of P(contribution <= m | state).

Evidence on an observable is a signed sum of such products (a finite difference of its likelihood). What that comes
to is planned once for a case (``network``) and worked out, with nothing cut off and nothing sampled, for every
question about it: other weights, other numbers, less evidence. One pass backwards gives every marginal, since
the marginal of a path is its weight times the slope of the evidence in that weight.
"""

from . import thinning
from .gradually import finish
from .network import Network
from .path_weights import path_weights


class Posterior:
    """The posterior of a ``model.Model``. ``clamped``: {component index: allowed path indices}, for good.

    ``evidence``: probability of the evidence (with ``clamped``: jointly with it). ``marginals()``: posterior of
    the paths of every component. ``running``: ``runs_full`` will be asked. ``every_level``: ``given`` will be asked for
    less evidence. ``later`` true: nothing is known until the steps of ``solving()`` are run.
    """

    def __init__(self, model, clamped=None, later=False, running=False, every_level=False):
        self.model = model
        self.clamped = clamped or {}
        self.asked = [model.running_now(cylinder) for cylinder in model.engine.numbers] if running else ()
        self.every_level = every_level
        self.limit = 0.0  # under which support a fault was left out (``thinning``); 0: nothing was
        if not later:
            finish(self.solving())

    def solving(self):
        """Work out the evidence, in steps (``gradually``)."""
        yield from self._planning()
        self.network.load(self.model, path_weights(self.model, self.clamped))
        yield
        self.evidence = self.network.evidence()

    def _planning(self):
        """Plan the whole model or, where that is too large, a thinner one.

        What is asked of a model later (clamped, or with less evidence) takes it as it was solved first.
        """
        for limit in (0.0,) + thinning.LIMITS:
            if limit:
                thinning.thin(self.model, limit)
                self.limit = limit
            self.network = Network(self.model, self.every_level, self.asked, self.clamped)
            yield from self.network.planning()
            if self.clamped or self.every_level or sum(self.network.plan.lengths) <= thinning.MOST_NUMBERS:
                return

    def marginals(self):
        """Posterior of the paths of every component: a list of lists, in the model's order."""
        return finish(self.marginal_steps())

    def marginal_steps(self):
        """The same, in steps (``gradually``)."""
        if not self.evidence > 0.0:
            raise ValueError("These findings cannot all be true together; strike the one that is wrong.")
        self.network.find_slopes()
        yield
        return self.network.marginals()

    def runs_full(self, cylinder):
        """Probability that a cylinder runs full at idle now, after ``marginals`` and before any other question."""
        return self.network.runs_full(self.model.running_now(cylinder))

    def jointly(self, clamped):
        """Probability of the evidence jointly with what ``clamped`` allows."""
        self.network.load_weights(path_weights(self.network.loaded, clamped))
        return self.network.evidence()

    def given(self, change):
        """From now on answer for what ``change`` makes of the model: other numbers, or less evidence."""
        model = change(self.model)
        self.network.load(model, path_weights(model, {}))
