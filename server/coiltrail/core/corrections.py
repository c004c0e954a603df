"""Entries that were put right: which one stands in the place of a struck one."""

# Why the phone itself strikes an entry for another; the log keeps these words, whatever language is spoken.
FOUND_ANEW, PUT_RIGHT = "Found anew in the same round", "Put right"


def successors(case):
    """{id of a struck entry: id of the one in its place}. A phone keeps the one and strikes the other in one go."""
    by_number = {(entry["device"], entry["n"]): entry for entry in case.log}
    found = {}
    for _, strike in case.of_kind("struck"):
        former = strike["body"]["entry"]
        new = by_number.get((strike["device"], strike["n"] - 1))
        if strike["body"]["why"] in (FOUND_ANEW, PUT_RIGHT) and new and former in case.struck and new["id"] != former:
            found[former] = new["id"]
    return found


def told_at(case):
    """{id of a check: the moment it is told at}: where it was first recorded, and a round in one piece.

    What was found after something was moved or repaired stays behind that.
    """
    at = {entry["id"]: moment for moment, entry in enumerate(case.log)}
    followed = successors(case)
    for former in [entry["id"] for entry in case.log if entry["id"] in followed]:
        at[followed[former]] = min(at[followed[former]], at[former])
    rounds = {}
    changes = [moment for moment, entry in case.counted if entry["kind"] in ("parts_moved", "repair")]
    told = {}
    for moment, entry in _checks(case, at):
        key = (entry["body"].get("round") or entry["id"], len([m for m in changes if m < moment]))
        told[entry["id"]] = rounds.setdefault(key, moment)
    return told


def _checks(case, at):
    rows = [(at[entry["id"]], moment, entry) for moment, entry in case.of_kind("check")]
    return [(first, entry) for first, _, entry in sorted(rows, key=lambda row: row[:2])]
