"""Under which conditions the miss comes: what a drive is to bring about, and what proves a repair."""

from . import canonical, codes, grading, measures
from .tongue import phrase

COLD_BELOW = 323.15  # kelvin of the coolant, under which a freeze frame was taken cold (50 °C). Estimate, from memory

CONDITION_WORDS = {
    "idle": "at idle",
    "load": "under load",
    "cold": "cold",
    "hot": "hot",
    "wet": "in the wet",
    "dry": "in the dry",
}
# Of two opposite conditions a drive under one says nothing of a miss that comes under the other.
OPPOSITES = {"idle": "load", "load": "idle", "cold": "hot", "hot": "cold", "wet": "dry", "dry": "wet"}

SHOWS_A_MISS = (
    ("drop", "none"),
    ("drop", "small"),
    ("misfire_counts", "some"),
    ("misfire_counts", "many"),
    ("wiggle", "misses"),
    ("wiggle", "runs"),
    ("spray", "misses"),
)


def shows_a_miss(case, entries):
    """Whether one of these entries shows that the engine misses: a finding, or a reading that comes to one."""
    for entry in entries:
        body = entry["body"]
        if entry["kind"] == "road_test" and not clean(body):
            return True
        if entry["kind"] == "check" and (body["check"], grading.finding_of(case, entry)) in SHOWS_A_MISS:
            return True
    return False


def clean(body):
    """Whether a road test went without a miss."""
    return body["felt"] == "none" and not any(row["count"] for row in body.get("counts") or ())


def named(body):
    """The cylinders that a road test says missed, as felt or as codes or counters told on the way."""
    return [] if body["felt"] == "none" else sorted(set(body.get("missed") or ()))


def provoking(case, moment=None):
    """Conditions under which it missed: of the last drive that missed, else of the complaint, else of a freeze frame.

    ``moment``: only what came before it is looked at.
    """
    told, always = (), False
    for m, entry in case.counted:
        body = entry["body"]
        if moment is not None and m >= moment:
            break
        if entry["kind"] == "complaint":
            always = "always" in (body.get("circumstances") or ())
            told = () if always else body.get("circumstances") or ()
        elif entry["kind"] == "road_test" and not clean(body) and body.get("conditions"):
            told = body["conditions"]
    # What is said of both sides of a pair provokes nothing.
    found = [c for c in sorted(OPPOSITES) if c in told and OPPOSITES[c] not in told]
    return found or ([] if always else _of_frame(freeze_frame(case, moment)))


def in_words(case):
    """Those conditions in words, empty where none is known."""
    return listed(provoking(case))


def listed(conditions):
    """Conditions in words: "cold and in the wet"."""
    return phrase(" and ").join([phrase(CONDITION_WORDS[condition]) for condition in conditions])


def freeze_frame(case, moment=None):
    """The latest freeze frame of a misfire code; None where there is none."""
    found = None
    for m, entry in case.of_kind("codes_read"):
        frame = entry["body"].get("freeze_frame") or {}
        read = [row["code"] for row in entry["body"]["codes"]]
        named = [code for code in ([frame["code"]] if frame.get("code") else read) if codes.problem_of(code) is None]
        of_a_miss = any(codes.kind_of(code) in ("misfire", "misfire_random") for code in named)
        if (moment is None or m < moment) and of_a_miss and _said(frame):
            found = frame
    return found


def _of_frame(frame):
    """Conditions that a freeze frame shows; a warm engine is nothing that provokes."""
    if not frame:
        return []
    coolant = (frame.get("coolant") or {}).get("si")
    cold = ["cold"] if coolant and coolant < COLD_BELOW else []
    base = grading.frame_condition(frame)
    return cold + ([base] if base else [])


def drive_so(case):
    """Lines that say how to drive so that it misses: the conditions, and the engine as a freeze frame kept it."""
    lines = []
    when = in_words(case)
    if when:
        lines.append(phrase("It misses {when}: bring that about.", when=when))
    frame = freeze_frame(case)
    if frame:
        lines.append(
            phrase(
                "When its code was set: {engine}. Drive it like that, where it is safe.", engine=", ".join(_said(frame))
            )
        )
    return lines


def _said(frame):
    """Speed, load, coolant and road speed of a freeze frame, as far as they were kept."""
    said = []
    if frame.get("rpm"):
        said.append(phrase("{n} rpm", n=canonical.number(frame["rpm"])))
    if frame.get("load"):
        said.append(phrase("{n} % load", n=canonical.number(frame["load"])))
    if frame.get("coolant"):
        said.append(phrase("coolant {temperature}", temperature=measures.show(frame["coolant"])))
    if frame.get("speed"):
        said.append(measures.show(frame["speed"]))
    return said
