# Plain dicts come out in another order than they were filled in; so do sets.
# Cause: MicroPython's dict is a hash table without an order of insertion.
# Way round: sort the keys, or keep a list of pairs.


FILLED = {"b": 1, "a": 2, "c": 3, "zz": 4, "y": 5}


def plain():
    return list(FILLED)


def way_round():
    return sorted(FILLED)
