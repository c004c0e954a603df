# itertools has no combinations, permutations, product or groupby; heapq no merge, nsmallest; functools no lru_cache.
# Cause: the modules of this build of MicroPython hold a part only.
# Way round: loops, sorted and a dict as a cache.
import itertools


def plain():
    return list(itertools.combinations((1, 2, 3), 2))


def way_round():
    return [(a, b) for a in (1, 2, 3) for b in (1, 2, 3) if a < b]
