# [*a, *b], {**a, **b} and match are syntax errors.
# Cause: MicroPython's grammar ends before them.
# Way round: list(a) + list(b); dict.update; if and elif.


def plain():
    return eval("[*[1], *[2]]"), eval("{**{1: 2}}")


def way_round():
    both = {1: 2}
    both.update({3: 4})
    return [1] + [2], sorted(both.items())
