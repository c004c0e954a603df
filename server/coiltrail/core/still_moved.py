"""Parts that were moved for a test and sit elsewhere than they came: to be put back, or left there on purpose."""

from . import entries

QUESTION = "close/moved/"  # and the moves, as "coil.3>1,coil.1>3", answered by ``answered``
KEPT = "kept"
LONGEST_QUESTION = 200  # characters that the field takes


def parts(case):
    """Parts on the engine that sit elsewhere than they came; a boot that goes with its coil is none of its own."""
    away = []
    for part in case.trails.in_order():
        position = entries.split_place(part.place)[1]
        if part.came_at and position and part.came_at != position and not rides(case, part):
            away.append(part)
    return away


def left_on_purpose(case):
    """Those of them that somebody left there on purpose; a part that came away since needs no new answer."""
    away = parts(case)
    return away if kept(case, away) else []


def question(away):
    """The question whether ``away`` stays where it is."""
    return (QUESTION + ",".join([_move(part) for part in away]))[:LONGEST_QUESTION]


def kept(case, away):
    """The answer that all of ``away`` stays where it is, or None."""
    for _, entry in reversed(case.of_kind("answered")):
        asked, answer = entry["body"]["question"], entry["body"]["answer"]
        if away and asked.startswith(QUESTION) and answer == KEPT:
            if asked == question(away) or all(_move(part) in asked[len(QUESTION) :].split(",") for part in away):
                return entry
    return None


def rides(case, part):
    """Whether it is a boot that goes wherever its coil goes: what is said of the coil is said of it."""
    return part.kind == "boot" and case.engine.boots_move_with_coil


def _move(part):
    return "%s.%d>%d" % (part.kind, part.came_at, entries.split_place(part.place)[1])
