"""Before a part is bought it is proved, where something cheap can prove it: it is moved, looked at or measured.

A part that is replaced unseen is paid for whether it was the cause or not, and the customer is told of it. So buying
one rests on a finding at that very part, on a swap, or on near certainty; else what proves it comes first, and until
then its repair costs that proof as well.
"""

from . import entries, grading, which_cylinder

# Posterior of a part, with what goes along with it, from which it is bought without a proof of its own: beyond it a
# swap would spare a wrong part in one case of twenty or fewer. Common practice, no source.
SURE_OF_A_PART = 0.95
LEAST_LIKELY = 0.10  # under it nothing is mended or bought: it would be a guess. Common practice, no source
CHEAP = 45.0  # minutes that such a proof may take, with the drive after a swap. Estimate, from memory

# Findings at a part that speak against that part itself: its look, its own reading.
PROVED_BY = {
    "coil": (
        ("coil_primary", "out_of_range"),
        ("coil_primary", "open"),
        ("coil_secondary", "out_of_range"),
        ("coil_secondary", "open"),
        ("coil_look", "cracked"),
        ("coil_look", "swollen"),
    ),
    "boot": (
        ("coil_look", "tracked"),
        ("coil_look", "cracked"),
        ("coil_look", "oil_in_well"),
        ("boot_resistance", "out_of_range"),
        ("boot_resistance", "open"),
    ),
    "plug": (
        ("plug_look", "worn"),
        ("plug_look", "sooty"),
        ("plug_look", "ash"),
        ("plug_look", "cracked"),
        ("plug_look", "tracked"),
        ("plug_gap", "wide"),
        ("plug_gap", "narrow"),
    ),
    "injector": (
        ("injector_resistance", "out_of_range"),
        ("injector_resistance", "open"),
        ("injector_balance", "less"),
        ("injector_balance", "more"),
    ),
}
# Findings that together leave nothing but the part, each made while it sat at that place.
LEFT_OVER = {
    "coil": (("spark", ("none", "weak")), ("coil_supply", ("good",)), ("coil_pulse", ("present",))),
    "injector": (("injector_sound", ("silent", "faint")), ("injector_pulse", ("present",))),
    # Oil on a plug comes from somewhere: a new one fouls too where the cylinder no longer seals.
    "plug": (("plug_look", ("oiled",)), ("compression", ("good",))),
}
# What proves a part: a coil or boot is moved, and measured where it cannot be; a plug or an injector is looked at, and
# moved where that shows nothing.
MOVED = ("coil", "boot")
LOOKED_AT = {
    "coil": ("spark", "coil_pulse", "coil_supply", "coil_primary", "coil_secondary"),
    "boot": ("coil_look", "boot_resistance"),
    "plug": ("plug_look",),
    "injector": ("injector_sound", "injector_pulse", "injector_resistance", "injector_balance"),
}


def chance(ways, repair):
    """How likely it is that a repair is about what is at fault; what goes along with the part counts with it."""
    together = sum([w for mask, w in zip(ways.masks, ways.weights) if mask & repair.mends])
    return together / max(sum(ways.weights), 1e-300)


def ask_for(diagnosis, ways, fixes, looks, costs):
    """Tell each repair what it costs to prove its part first, and each look which repairs it proves.

    ``fixes``: as ``candidates.repairs`` gives them; ``looks``: candidates; ``costs``: minutes of each, way in and all.
    """
    for number, (component, _, repair) in enumerate(fixes):
        proving = _open_proofs(diagnosis, ways, component, repair, looks)
        proving = [k for k in proving if costs[k] <= CHEAP]
        if proving:
            # The way in is opened for the repair anyhow.
            repair.proof = min([looks[k].observation.cost for k in proving])
            for k in proving:
                looks[k].observation.proves |= 1 << number


def _open_proofs(diagnosis, ways, component, repair, looks):
    """Places in ``looks`` of what would prove the part of a repair; none where it is proved, sure, or no part."""
    place, _ = diagnosis.standing(component)
    kind, position = entries.split_place(place)
    likely = max(diagnosis.fault(component), chance(ways, repair))
    if kind not in PROVED_BY or not LEAST_LIKELY <= likely < SURE_OF_A_PART or _proved(diagnosis.case, kind, place):
        return []
    if kind == "plug" and ("plug_look", "oiled") in _found_at(diagnosis.case, kind, place):
        seals = [
            k
            for k, look in enumerate(looks)
            if look.what[1] in which_cylinder.COMPRESSION_CHECKS and look.what[3] == position
        ]
        if seals:
            return seals
    at = [k for k, look in enumerate(looks) if _of_part(diagnosis.case, look.what, kind, position)]
    swaps = [k for k in at if looks[k].what[0] == "swap"]
    seen = [k for k in at if looks[k].what[0] == "check"]
    return (swaps or seen) if kind in MOVED else (seen or swaps)


def _of_part(case, what, kind, position):
    """Whether a swap or check is one that proves the part of that kind at that position."""
    act, which, where, _ = what
    if act == "swap":
        along = which == "coil" and kind == "boot" and case.engine.boots_move_with_coil
        return where == position and (which == kind or along)
    found, at = entries.split_place(where)
    if which not in LOOKED_AT[kind] or found is None:
        return False
    return at == (case.engine.coil_of(position) if found == "coil" and kind != "coil" else position)


def _proved(case, kind, place):
    """Whether the part that sits there now was found bad itself, is all that is left, or was tried in another place."""
    part = case.trails.occupant(place, len(case.log))
    moved = case.trails.get(part).trail[-1][2] if part else False
    if moved and not (kind == "boot" and case.engine.boots_move_with_coil):
        return True
    found = _found_at(case, kind, place)
    if any(pair in found for pair in PROVED_BY[kind]):
        return True
    left_over = LEFT_OVER.get(kind, ())
    return bool(left_over) and all(any((check, one) in found for one in ones) for check, ones in left_over)


def _found_at(case, kind, place):
    """Pairs of check and finding at the part that sits there now, wherever it sat then; of a plug, at its cylinder."""
    part = case.trails.occupant(place, len(case.log))
    found = set()
    for moment, entry in case.of_kind("check"):
        body = entry["body"]
        _, position = entries.split_place(body.get("place"))
        position = position or (body.get("cylinder") if kind == "plug" else None)
        if position and case.trails.occupant("%s.%d" % (kind, position), moment) == part:
            found.add((body["check"], grading.finding_of(case, entry)))
    return found
