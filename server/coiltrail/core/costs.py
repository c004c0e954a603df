"""What a step costs: work, parts and getting there, all in minutes.

Money is put in minutes of labour, so that both add up: at the shop's rate and prices where they are given, else as
the fault table has it. Origin of every number here: estimate, from memory.
"""

from . import checks, entries, faults, lying_open
from .tongue import phrase

MINUTES_SWAP = {"coil": 8, "boot": 10, "plug": 18, "injector": 80}
MINUTES_ROAD = 15  # to drive it under what makes it miss
MINUTES_TEST = 5  # to see whether the engine runs clean
REACH_FACTOR = {"open": 1.0, "tight": 2.0, "covered": 1.5}
# To unplug and unbolt a coil that sits on its plug, and to put it back; in the minutes of each check it comes off for.
MINUTES_COIL = 3
MINUTES_COVER = 30  # to take off and refit what covers a bank; shared by all that lies under it

# Of handing the car over with the cause not found: the visit is lost, the car is brought away, another searches.
GIVE_UP = 360
# What of that is spared where the cause is a workshop's job and rightly named.
NAMED_SPARES = 240
FALSE_ALARM = 0.02  # the test after a repair shows a miss although nothing is left
OVERLOOKED = 0.05  # it shows none although something is: an intermittent fault waits for the road
IN_VAIN = 0.5  # share of a part's price that is lost besides when it was not the cause: parts fitted are not taken back
COMEBACK = 120  # a second visit


class Costs:
    """Costs on one engine, as its places are reached and with the tools at hand.

    ``tools``: keys of checks.TOOLS, or None where nobody said what is in the van (then everything is).
    ``prices``: {kind of component: price of the part} in money, ``labour_rate``: money an hour; both or neither.
    Raises ValueError for a tool or a rate that cannot be.
    """

    def __init__(self, case, tools=None, prices=None, labour_rate=None):
        unknown = [tool for tool in tools or () if tool not in dict(checks.TOOLS)]
        if unknown:
            raise ValueError(phrase("Tools: there is no tool called '{unknown}'.", unknown=unknown[0]))
        if prices and not (labour_rate and labour_rate > 0):
            raise ValueError(phrase("Prices need the labor rate (money an hour) to be weighed against time."))
        self.engine = case.engine
        self.tools = tools
        self.prices = prices or {}
        self.labour_rate = labour_rate
        self.reaches = {}  # place -> how it is reached
        for _, entry in case.of_kind("part_noted"):
            if entry["body"].get("reach") in REACH_FACTOR and entry["body"].get("place"):
                self.reaches[entry["body"]["place"]] = entry["body"]["reach"]
        self.opened = self._opened(case)
        self.coils_off = lying_open.coils_off(case)

    def feasible(self, check):
        """Whether the tools for that check are at hand."""
        groups = checks.BY_KEY[check]["tools"]
        return self.tools is None or all(any(tool in self.tools for tool in group) for group in groups)

    def has(self, tool):
        """Whether that tool is at hand."""
        return self.tools is None or tool in self.tools

    def of_check(self, check, place=None, cylinder=None):
        """``(minutes, way)``: the work and the key of the way in, None where nothing must come off."""
        declared = checks.BY_KEY[check]
        reach = declared["reach"]
        if reach and place is None and cylinder is not None:
            place = "%s.%d" % (reach, cylinder)
        minutes = declared["minutes"]
        if self.coil_is_off(check, place, cylinder):
            minutes = max(1, minutes - MINUTES_COIL)
        return checks.minutes_to_fetch(check) + minutes * self._factor(place), self._way(place)

    def coil_is_off(self, check, place=None, cylinder=None):
        """Whether the coil that comes off for this check is off already."""
        position = lying_open.position_of(self.engine, place, cylinder)
        return check in lying_open.COIL_COMES_OFF and position in self.coils_off

    def of_swap(self, kind, one, other, seen_by="drop"):
        """``(minutes, way)`` of swapping two parts and looking at both cylinders again.

        ``seen_by``: how the miss is seen, "drop", "misfire_counts" or "road".
        """
        places = ["%s.%d" % (kind, one), "%s.%d" % (kind, other)]
        factor = 0.5 * sum(self._factor(place) for place in places)
        ways = [way for way in (self._way(place) for place in places) if way]
        look = MINUTES_ROAD if seen_by == "road" else 2 * checks.BY_KEY[seen_by]["minutes"]
        return MINUTES_SWAP[kind] * factor + look, ways[0] if ways else None

    def of_repair(self, kind, place):
        """``(cost, minutes, way)`` of putting right a component that is reached as ``place`` is (or None)."""
        minutes = faults.BY_KIND[kind]["minutes"] * self._factor(place)
        return minutes + self.price(kind) + MINUTES_TEST, minutes, self._way(place)

    def in_vain(self, kind):
        """What a repair costs besides when it was not the cause."""
        return IN_VAIN * self.price(kind)

    def price(self, kind):
        """Price of the part in minutes of labour."""
        if kind in self.prices:
            return 60.0 * self.prices[kind] / self.labour_rate
        return faults.BY_KIND[kind]["money"]

    def ways(self):
        """{key of a way in: minutes to open it}."""
        return {self._cover(bank + 1): MINUTES_COVER for bank in range(len(self.engine.banks))}

    def reach(self, place):
        """How a place is reached: as noted; under a coil that sits on its plug, as the coil is."""
        kind, position = entries.split_place(place)
        noted = self.reaches.get(place)
        if noted is None and kind in ("boot", "plug") and self.engine.boots_move_with_coil:
            noted = self.reaches.get("coil.%d" % position)
        return noted or "open"

    def _factor(self, place):
        return REACH_FACTOR[self.reach(place)]

    def _way(self, place):
        kind, position = entries.split_place(place)
        if kind is None or self.reach(place) != "covered":
            return None
        return self._cover(self.engine.bank_of(self.engine.served_by(kind, position)[0]))

    def _cover(self, bank):
        return "cover of bank %d" % bank

    def _opened(self, case):
        """Ways that are open: something under the cover was worked on since the car was last driven."""
        opened = set()
        for _, entry in case.counted:
            body = entry["body"]
            if entry["kind"] == "road_test":
                opened = set()
            elif entry["kind"] in ("check", "repair"):
                opened.add(self._way(body.get("place")))
            elif entry["kind"] == "parts_moved" and "before_arrival" not in (entry.get("when") or {}):
                for move in body["moves"]:
                    opened.update([self._way(move["from"]), self._way(move["to"])])
        return tuple(sorted([way for way in opened if way]))
