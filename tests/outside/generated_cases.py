"""Small cases of every arrangement, made from a seed, on which two computations are compared."""

import random

from coiltrail.core import casefile, checks, evidence
from demo_fixtures.logbook import Logbook

# family -> (cylinders, layout, ignition, how parts are moved)
FAMILIES = {
    "pairs": (4, "inline", "coil_on_plug", "pairs"),
    "chain": (3, "inline", "coil_on_plug", "chain"),
    "ring": (3, "inline", "coil_on_plug", "ring"),
    "leads": (3, "inline", "coil_near_plug", "pairs"),
    "waste spark": (4, "inline", "waste_spark", "pairs"),
    "distributor": (3, "inline", "distributor", "pairs"),
    "vee": (4, "vee", "coil_on_plug", "pairs"),
    "waste spark in vee": (4, "vee", "waste_spark", "pairs"),
    "distributor in vee": (4, "vee", "distributor", "pairs"),
    "single": (1, "inline", "coil_on_plug", "none"),
    "six": (6, "vee", "coil_on_plug", "chain"),
}
SYMPTOMS = ("shakes", "no_power", "smell", "noise")
CIRCUMSTANCES = ("idle", "load", "wet", "always", "cold")


class Writer:
    """Writes one generated case. ``draw``: the source of chance."""

    def __init__(self, family: str, seed: int):
        self.draw = random.Random(f"{family}-{seed}")
        cylinders, layout, ignition, self.how = FAMILIES[family]
        self.log = Logbook(f"{family}-{seed}", cylinders, layout, ignition)
        self.engine = self.log.engine
        self.next_in_chain = self.draw.choice(self.engine.numbers)
        self.swaps = 0

    def write(self) -> casefile.CaseFile:
        draw = self.draw
        if draw.random() < 0.3 and self.how != "none":
            self.swap(before_arrival=1)
        if draw.random() < 0.5:
            self.complaint()
        acts = [self.running, self.running, self.check, self.check, self.codes, self.move, self.move, self.repair]
        acts += [self.drive, self.clear]
        for _ in range(draw.randint(2, 5 if self.engine.cylinders < 6 else 4)):
            draw.choice(acts)()
        self.running()
        return casefile.fold(self.log.entries)

    # Acts

    def complaint(self) -> None:
        draw = self.draw
        self.log.complaint(
            *draw.sample(SYMPTOMS, 2),
            circumstances=draw.sample(CIRCUMSTANCES, draw.randint(0, 2)),
            lamp=draw.choice(("off", "flashing", "flashed")),
        )

    def running(self) -> None:
        draw = self.draw
        conditions = draw.choice((None, None, ["load"], ["idle", "wet"]))
        if draw.random() < 0.7:
            findings = {c: draw.choice(("none", "small", "full")) for c in self.some(self.engine.numbers)}
            self.log.drop(findings, disabled=draw.choice(("coil", "injector", "tool", None)), conditions=conditions)
        else:
            findings = {c: draw.choice(("none", "some", "many")) for c in self.some(self.engine.numbers)}
            self.log.round("misfire_counts", findings, conditions=conditions)

    def check(self) -> None:
        about = self.draw.choice([c for c in checks.CHECKS if c["key"] not in evidence.RUNNING])
        finding = self.draw.choice(about["findings"])["value"]
        if about["about"] == "engine":
            self.log.check(about["key"], finding)
        elif about["about"] == "cylinder":
            self.log.check(about["key"], finding, cylinder=self.draw.choice(self.engine.numbers))
        else:
            self.log.check(about["key"], finding, place=f"{about['about']}.{self.position(about['about'])}")

    def codes(self) -> None:
        draw = self.draw
        cylinder, coil = draw.choice(self.engine.numbers), self.position("coil")
        possible = ["P0300", f"P030{cylinder}", f"P035{coil}", f"P020{cylinder}", "P0171", "P0174", "P0172", "P0340"]
        read = draw.sample(possible, draw.randint(0, 3))
        if read and draw.random() < 0.2:
            read.append(f"{read[0]} permanent")
        elif read and draw.random() < 0.3:
            read[0] += draw.choice((" pending", " permanent"))
        frame = None
        if read and draw.random() < 0.3:
            frame = {"code": read[-1][:5], "rpm": draw.choice((800, 1400, 2600))}
        self.log.codes(*read, complete=draw.random() < 0.7, freeze_frame=frame)

    def clear(self) -> None:
        self.log.clear()

    def drive(self) -> None:
        draw = self.draw
        counts = {draw.choice(self.engine.numbers): draw.choice((0, 5, 400))} if draw.random() < 0.5 else None
        conditions = draw.choice((None, ["wet"], ["idle", "hot"]))
        missed = sorted(self.some(self.engine.numbers)) if draw.random() < 0.4 else None
        self.log.drive(10, draw.choice(("none", "sometimes", "always")), counts, conditions=conditions, missed=missed)

    def move(self) -> None:
        if self.how == "none" or self.draw.random() < 0.15:
            self.trial()
        else:
            self.swap()

    def swap(self, before_arrival: int | None = None) -> None:
        """Parts change places: any two, or the same coil carried on and on, or three coils in a ring."""
        draw, log = self.draw, self.log
        self.swaps += 1
        kinds = ["plug", "injector"] + ["coil"] * (4 if len(self.engine.coils) > 1 else 0)
        kinds += ["boot"]
        kind = draw.choice(kinds)
        most = self.engine.positions(kind)
        if self.how == "ring" and kind == "coil":
            log.move(("coil.1", "coil.2"), ("coil.2", "coil.3"), ("coil.3", "coil.1"), before_arrival=before_arrival)
        elif self.how == "chain" and kind == "coil":
            from_ = self.next_in_chain
            self.next_in_chain = from_ % most + 1
            log.swap("coil", from_, self.next_in_chain, before_arrival=before_arrival)
        else:
            more = {"boot_stays": True} if kind == "coil" and draw.random() < 0.2 else {}
            if kind == "boot":
                more["named"] = False  # the logbook does not follow a boot that went along with its coil
            log.swap(kind, *draw.sample(range(1, most + 1), 2), before_arrival=before_arrival, **more)

    def trial(self) -> None:
        """A spare coil is put in on trial."""
        place = f"coil.{self.position('coil')}"
        self.log.move((place, "off"), named=False)
        spare = self.log.new_id()
        entry = self.log.entries[-1]
        entry["body"]["moves"].append({"part": spare, "from": "off", "to": place})

    def repair(self) -> None:
        draw = self.draw
        cylinder, coil = draw.choice(self.engine.numbers), self.position("coil")
        neighbours = [f"gasket@{a}-{b}" for a, b in self.engine.neighbours()]
        mended = [f"coil_connector@{coil}", f"coil_connector@{coil}", f"coil_wiring@{coil}", f"runner@{cylinder}"]
        mended += ["unmetered_air", "fuel_delivery", "coil_supply@1", *neighbours[:1]]
        if draw.random() < 0.5:
            self.log.mend(draw.choice(mended))
        elif draw.random() < 0.3:
            kind = draw.choice(("plug", "injector"))
            self.log.add("repair", work="cleaned", place=f"{kind}.{cylinder}")
        else:
            kind = draw.choice(("coil", "plug", "injector"))
            entry = self.log.replace(f"{kind}.{self.position(kind)}", use=draw.choice(("new", "new", "used")))
            if entry["body"].get("removed"):
                self.log.fate(entry["body"]["removed"], "bench_tested", bench=draw.choice(("good", "bad", "unclear")))

    # Choices

    def some(self, numbers) -> list[int]:
        return sorted(self.draw.sample(list(numbers), self.draw.randint(1, min(2, len(numbers)))))

    def position(self, kind: str) -> int:
        return self.draw.randint(1, self.engine.positions(kind))


def case_of(family: str, seed: int) -> casefile.CaseFile:
    """The generated case of that family and seed, folded."""
    return Writer(family, seed).write()
