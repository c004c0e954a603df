# list.sort and sorted are not stable: equal keys come out in another order than they went in.
# Cause: MicroPython sorts by quicksort.
# Way round: make the key total, with the original index as its last part where nothing else decides.


PAIRS = [(i % 3, i) for i in range(30)]


def plain():
    return sorted(PAIRS, key=lambda pair: pair[0])


def way_round():
    return [pair for _, _, pair in sorted((pair[0], index, pair) for index, pair in enumerate(PAIRS))]
