"""The ways things may stand, for looking ahead: a few worlds with weights, from the posterior.

The leading explanations come with their exact weights. What they leave over is shared out among single faults by
the share of each component's probability that its prior does not account for, (P - prior) / (1 - prior): a fault
that would be as likely without the findings explains none of them. Of the suspects every single fault has been
weighed exactly, so that what is left over of them is a world in which they are at fault together. What then still
remains are explanations like those listed with some further fault that explains nothing: it is shared out in
proportion. Worlds in which nothing is left to repair, since the part at fault is off the engine or its connector
makes contact again, are kept apart.
"""

MOST_FAULTS = 14  # more would slow the look ahead on a phone and hardly change the next step
LEAST_WEIGHT = 0.002


class Worlds:
    """``faults``: component indices, fault ``k`` being bit ``1 << k``; ``masks`` and ``weights`` of the worlds.

    The last world is the one of something else, which no repair mends; its mask is no fault's. ``sets`` are the
    component indices of each world's faults. ``gone``: weight of what was at fault and is so no longer, which is in
    no world.
    """

    def __init__(self, faults, sets, weights, gone):
        self.faults = faults
        self.gone = gone
        self.sets = sets + [()]
        self.weights = weights
        self.masks = [self.mask_of(blamed) for blamed in sets] + [1 << len(faults)]

    def mask_of(self, blamed):
        """The mask of these component indices; those that are no fault here are left out."""
        mask = 0
        for index in blamed:
            if index in self.faults:
                mask |= 1 << self.faults.index(index)
        return mask

    def chance(self, index):
        """Weight of the worlds in which component ``index`` is at fault."""
        mask = self.mask_of((index,))
        return sum([w for m, w in zip(self.masks, self.weights) if m & mask])


def of_diagnosis(diagnosis):
    """The worlds of a diagnosis, with only such faults as stand on the engine now."""
    listed, gone = _listed(diagnosis)
    remaining = diagnosis.rest
    left = _left_over(diagnosis, listed)
    scale = min(1.0, remaining / sum([share for share, _ in left])) if left else 0.0
    for share, blamed in left:
        listed[blamed] = listed.get(blamed, 0.0) + share * scale
        remaining -= share * scale
    sets = sorted(listed, key=lambda blamed: (-listed[blamed], blamed))
    faults = sorted({index for blamed in sets for index in blamed})
    total = sum([listed[blamed] for blamed in sets])
    likewise = 1.0 + max(0.0, remaining) / (total + gone) if total > 0.0 else 1.0
    return Worlds(faults, sets, [listed[blamed] * likewise for blamed in sets] + [0.0], gone * likewise)


def _left_over(diagnosis, listed):
    """What the listed sets do not explain, as (weight, set): suspects together, other components one by one."""
    explained = {}
    for blamed in sorted(listed):  # so that the sums come out alike
        for index in blamed:
            explained[index] = explained.get(index, 0.0) + listed[blamed]
    together, alone = [], []
    for index in _standing(diagnosis):
        prior = 1.0 - diagnosis.model.components[index].prior[0]
        share = (diagnosis.fault(index) - prior) / (1.0 - prior) - explained.get(index, 0.0)
        if share > LEAST_WEIGHT:
            (together if index in diagnosis.suspects else alone).append((share, index))
    alone.sort(key=lambda row: (-row[0], row[1]))
    room = max(0, MOST_FAULTS - len(set(explained) | {index for _, index in together}))
    rows = [(share, (index,)) for share, index in alone[:room]]
    if together:
        most = max(together)[0]
        rows.append((most, tuple(sorted([index for share, index in together if share > 0.5 * most]))))
    return rows


def _standing(diagnosis):
    return [index for index in range(len(diagnosis.model.components)) if diagnosis.standing(index)[1]]


def _listed(diagnosis):
    """Weight of each listed set of faults that still stand, and the weight of what stands no longer."""
    listed, gone = {}, 0.0
    for blamed, weight in diagnosis.listed:
        still = 1.0
        standing = tuple([index for index in blamed if diagnosis.standing(index)[1]])
        if len(standing) == 1:
            # A connector may have become good when it was pressed on again.
            still = diagnosis.fault(standing[0]) / max(diagnosis.ever(standing[0]), 1e-12)
        if standing:
            listed[standing] = listed.get(standing, 0.0) + weight * still
        gone += weight * (1.0 - still) if standing else weight
    return listed, gone
