"""The findings as a structure that a page can lay out for the owner: plain words, no training needed."""

from . import (
    casefile,
    closing,
    entries,
    lay_words,
    left_over,
    measured,
    measures,
    money,
    owner_proof,
    owner_story,
    plaintext,
    seen,
    verification,
)
from .tongue import phrase

LAMP_CAUTION = "If the warning lamp flashes again, stop and call us: damage is being done."
# Common practice, no source: what a flashing lamp warns of.
CATALYST_CAUTION = (
    "While the warning lamp flashed, unburnt fuel got into the catalyst: it may have suffered. If the warning lamp "
    "comes on again, have it looked at."
)
CATALYST_CAUTION_NOW = (
    "While the warning lamp flashed, unburnt fuel got into the catalyst: it may have suffered. Have it looked at."
)
FLASHING_CAUTION = "Do not drive on while the warning lamp flashes: damage is being done."
READINESS_CAUTION = (
    "With the fault memory the car's self-tests were cleared. They run again by themselves within some days of "
    "driving; an emissions inspection may turn the car away until then."
)
LEFT_UNREPAIRED = "What is left to be done"  # stands instead of ``left`` where nothing was repaired
# What stands on a report's page besides what is told of the case.
WORDS = (
    ("noticed", "What was noticed"),
    ("standing", "Not repaired"),
    ("wrong", "What was wrong"),
    ("found", "How we found it"),
    ("done", "What we did"),
    ("runs", "How it runs now"),
    ("shake_before", "Before"),
    ("shake_after", "After"),
    ("holds", "How it is now"),
    ("codes", "Fault codes in the memory of the car"),
    ("code", "Code"),
    ("code_before", "Before"),
    ("code_now", "Now"),
    ("left", "Left for later, apart from this repair"),
    ("advice", "Our advice"),
    ("watch", "What to keep an eye on"),
    ("questions", "Any question? Call us"),
    ("before", "Already there before the work"),
    ("damage", "Damage that was there before"),
    ("photo", "Photo"),
    ("to", "to"),
    ("open", "work in progress"),
    ("bill", "What it costs"),
    ("estimate", "What it is expected to cost"),
    ("item", "Item"),
    ("quantity", "Quantity"),
    ("each", "Each"),
    ("amount", "Amount"),
    ("together", "Total"),
    ("agreed", "Agreed beforehand"),
    ("signature", "Signature"),
    ("no_photo", "The photo is not in the shop yet."),
)


def told_at_closing(case):
    """What the core said when the case was closed, ``{"explanations", "fixed"}``; None where it kept nothing.

    Then nothing needs to be worked out again, and the report says what the mechanic saw.
    """
    closed = case.last("case_closed")
    told = closed["body"].get("probabilities") if closed and case.status == "closed" else None
    if isinstance(told, dict) and isinstance(told.get("explanations"), list):
        return told
    return None


def report(case, told=None):
    """The owner's report of a folded case, as DEVELOPERS.md describes under "Shapes".

    ``told``: ``{"explanations", "fixed"}`` as the diagnosis gives them, or None.
    """
    opened = case.opened
    told = told or {}
    fixed = told.get("fixed")
    story = owner_story.Story(case)
    return {
        "title": casefile.title(opened),
        "vehicle": vehicle(opened),
        "customer": _customer(opened.get("customer") or {}),
        "complaint": _complaint(case),
        "standing": owner_proof.standing(case),
        "found": story.found,
        "cause": _cause(case, told.get("explanations") or [], fixed),
        "done": story.done,
        "proof": owner_proof.proof(case, fixed) + [row["text"] for row in story.after],
        "codes": owner_proof.codes_told(case),
        "left": _left(case),
        "advice": ((case.last("case_closed") or {}).get("body") or {}).get("advice") or "",
        "cautions": _cautions(case),
        "before": photos(case, lambda body: body.get("shows") == "damage_before"),
        "shake": measured.before_and_after(case),
        "marks": _marks(case),
        "money": money.of_case(case),
        "agreed": money.agreement(case),
        "opened_ms": case.log[0]["at"][0],
        "closed_ms": case.last("case_closed")["at"][0] if case.status == "closed" else None,
        "open": case.status == "open",
        "repaired": not _unrepaired(case),
        "words": words(not _unrepaired(case)),
    }


def words(repaired=True):
    """The fixed texts of a report's page in the language spoken, so that a page in another one can show it.

    ``repaired``: false for a case that was closed without a repair.
    """
    told = {key: phrase(text) for key, text in WORDS}
    return told if repaired else dict(told, left=phrase(LEFT_UNREPAIRED))


def _unrepaired(case):
    return case.status == "closed" and not case.repairs()


def vehicle(opened, personal=True):
    """The car as rows of label and text; without its plate where it goes to others than its owner."""
    car = opened.get("vehicle") or {}
    # The owner's report has the car as its title.
    rows = [] if personal else [(phrase("Vehicle"), casefile.title({"vehicle": dict(car, plate="")}))]
    for key, label in (("plate", phrase("Plate")), ("vin", "VIN"), ("engine_name", phrase("Engine"))):
        if car.get(key) and (personal or key != "plate"):
            rows.append((label, str(car[key])))
    if opened.get("odometer"):
        rows.append((phrase("Odometer"), measures.show(opened["odometer"])))
    return [list(row) for row in rows]


def _customer(customer):
    """Whose car it is, as on a bill; the owner knows the own telephone number."""
    labels = (("name", phrase("Name")), ("address", phrase("Address")))
    return [[label, customer[key]] for key, label in labels if customer.get(key)]


def _complaint(case):
    entry = case.last("complaint")
    if entry is None:
        return ""
    body, told = entry["body"], []
    # What only a newer version knows is left out: it has no plain words here.
    symptoms = [lay_words.SYMPTOMS.get(one) for one in body.get("symptoms") or []]
    circumstances = [lay_words.CIRCUMSTANCES.get(one) for one in body.get("circumstances") or []]
    lists = [", ".join([phrase(words) for words in group if words]) for group in (symptoms, circumstances)]
    noticed = " ".join([words for words in lists if words])  # "shaking, stalling when accelerating"
    if noticed:
        told.append(plaintext.sentence(noticed) + ".")
    if body.get("lamp") in lay_words.LAMP:
        told.append(phrase(lay_words.LAMP[body["lamp"]]))
    if body.get("words"):
        told.append(phrase('In your words: "{words}"', words=body["words"]))
    return " ".join(told)


def _cause(case, told, fixed):
    closed = case.last("case_closed")
    if closed and case.status == "closed":
        cause = closed["body"]["cause"]
        named = [e for e in told if isinstance(e, dict) and cause in (e.get("cause"), e.get("label"))]
        kept = _components(named[0]) if named else []
        components = kept or closed["body"].get("components") or []
        text = _failed(case, kept)
        return {
            "heading": phrase("What is wrong") if _unrepaired(case) else phrase("What was wrong"),
            "text": text or closed["body"]["cause"],
            "plain": _meaning(components),
            "sure": owner_proof.proved(fixed),
        }
    if told:
        components = _components(told[0])
        sure = phrase(
            "Not certain yet: by what was found so far the chance is {p}.", p=verification.percent(told[0]["p"])
        )
        return {
            "heading": phrase("What may be wrong"),
            "text": _failed(case, components) or told[0]["label"],
            "plain": _meaning(components),
            "sure": sure,
        }
    return {"heading": phrase("What may be wrong"), "text": phrase("Not known yet"), "plain": "", "sure": ""}


def _components(explanation):
    """Names of the components that an explanation blames; of what an older version kept, none."""
    faults = explanation.get("faults")
    return [fault.get("component") or "" for fault in faults] if isinstance(faults, list) else []


def _failed(case, components):
    """What has failed, a sentence for each component; "" where one is not known."""
    told = []
    for name in components:
        kind, cylinders = owner_story.of_component(case, name)
        if kind not in lay_words.FAULTS:
            return ""
        words = owner_story.where(case, cylinders) if cylinders else ""
        sentences = _damage(case, name) or [phrase(lay_words.FAULTS[kind][0], where=words)]
        told += [plaintext.sentence(sentence) for sentence in sentences]
    return " ".join(told)


def _damage(case, name):
    """What was seen at a component, a sentence for each damage."""
    kind, cylinders = owner_story.of_component(case, name)
    words = owner_story.where(case, cylinders) if cylinders else ""
    told = [
        phrase(lay_words.DAMAGE["%s/%s" % (row["check"], row["finding"])], where=words) for row in seen.at(case, name)
    ]
    out = seen.way_out(case, name) if kind == "compression" else None
    return told + ([phrase(lay_words.WAYS_OUT[out], where=words)] if out else [])


def _meaning(components):
    """What these failures mean to somebody who does not know the parts."""
    told = []
    for name in components:
        meaning = lay_words.FAULTS.get(name.partition("@")[0].partition("/")[0], ("", ""))[1]
        if meaning and phrase(meaning) not in told:
            told.append(phrase(meaning))
    return " ".join(told)


def _left(case):
    """What was left for later; as long as the case is open, the codes that stand apart are not told as such."""
    closed = case.last("case_closed")
    rows = (closed["body"].get("later") or []) if closed and case.status == "closed" else []
    meanings = {row["code"]: row["text"] for row in casefile.view(case)["codes"]["rows"]} if rows else {}
    told = []
    for row in rows:
        text = _left_text(case, row)
        why = phrase(lay_words.LEFT_WHY.get(row.get("why"), ""))
        if row.get("what") == left_over.UNREPAIRED:
            why = ""  # said at the top
        ready_made = [text, meanings.get(row.get("code"))] + closing.texts_of_damage(case)
        typed = row.get("text") or ""
        why = left_over.sentences([why, typed]) if row.get("what") else "" if typed in ready_made else typed
        one = {"code": row.get("code") or "", "text": text, "why": why}
        if one not in told and (text or why or one["code"]):
            told.append(one)
    return told


def _left_text(case, row):
    """What a row leaves for later, for the owner; "" where its own text is all there is."""
    what, name = row.get("what"), row.get("component") or ""
    if row.get("code"):
        return owner_proof.code_text(case, row["code"])
    if what == left_over.LAMP:
        return phrase("To read the codes and clear them, so that the warning lamp can go out.")
    if what == left_over.UNREPAIRED:
        return phrase("The repair of what was found.")
    kind, cylinders = owner_story.of_component(case, name)
    words = owner_story.where(case, cylinders) if cylinders else ""
    cleaned = what == left_over.CLEANED or _cleaned(case, name)
    if cleaned and kind in lay_words.WORKED_ON and (what or not row.get("text")):
        return phrase(lay_words.CLEANED, what=phrase(lay_words.WORKED_ON[kind], where=words))
    if what == left_over.DAMAGE and row.get("found") in lay_words.DAMAGE:
        return phrase(lay_words.DAMAGE[row["found"]], where=words)
    return "" if cleaned or what else " ".join(_damage(case, name))


def _cleaned(case, name):
    """Whether the last work on a component was to clean it."""
    works = [entry["body"]["work"] for _, entry in case.repairs() if entry["body"].get("component") == name]
    return bool(name) and works[-1:] == ["cleaned"]


def _cautions(case):
    rows = []
    complaint = case.last("complaint")
    lamp = complaint["body"].get("lamp") if complaint else None
    if lamp in entries.LAMPS_OF_MISSING:
        rows.append(phrase(FLASHING_CAUTION) if _unrepaired(case) else phrase(LAMP_CAUTION))
    if lamp == "flashed":
        on = closing.lamp_stands(case) == "on"
        rows.append(phrase(CATALYST_CAUTION_NOW) if on else phrase(CATALYST_CAUTION))
    if case.of_kind("codes_cleared"):
        rows.append(phrase(READINESS_CAUTION))
    return rows


def _marks(case):
    """What is drawn over pictures, by their SHA-256, with the picture's size in pixels."""
    marked = {}
    for entry in case.photos():
        marks, body = case.marks_on(entry["id"]), entry["body"]
        if marks:
            size = {key: body.get(key) for key in ("width", "height")}
            marked[body["sha256"]] = dict(size, marks=marks)
    return marked


def photos(case, wanted):
    """Pictures (SHA-256) of the case whose photo entries' bodies are ``wanted``."""
    return [e["body"]["sha256"] for e in case.photos() if wanted(e["body"])]
