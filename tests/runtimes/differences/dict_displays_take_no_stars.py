# {**a, **b} is a syntax error.
# Cause: MicroPython's grammar knows ** in calls only.
# Way round: dict(a, **b), or a copy and update.


def plain():
    return eval("{**{'a': 1}, **{'b': 2}}['b']")


def way_round():
    return dict({"a": 1}, **{"b": 2})["b"]
