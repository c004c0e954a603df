"""The findings as a structure that a page can lay out for the owner: plain words, no training needed."""

from . import casefile, explanations, measured, measures, money, verification
from .tongue import phrase

HOLDS = 0.95  # probability of being fixed from which a drive counts as proof to the owner; common practice, no source

LAMP_CAUTION = "A flashing warning lamp means damage in progress: stop and do not drive on."
READINESS_CAUTION = (
    "Clearing codes also cleared the readiness tests, which an emissions inspection checks; "
    "they return with some days of driving."
)
# What stands on a report's page besides what is told of the case.
WORDS = (
    ("noticed", "What was noticed"),
    ("wrong", "What was wrong"),
    ("found", "How it was found"),
    ("done", "What was done"),
    ("runs", "How it runs now"),
    ("shake_before", "Before"),
    ("shake_after", "After"),
    ("holds", "How we know it holds"),
    ("left", "Left for later"),
    ("advice", "Advice"),
    ("before", "Already there before the work"),
    ("damage", "Damage that was there before"),
    ("photo", "Photo"),
    ("to", "to"),
    ("open", "work in progress"),
    ("bill", "What it costs"),
    ("estimate", "What it is expected to cost"),
    ("item", "For"),
    ("quantity", "Quantity"),
    ("each", "Each"),
    ("amount", "Amount"),
    ("together", "Together"),
    ("agreed", "Agreed beforehand"),
    ("signature", "Signature"),
    ("no_photo", "The photo is not in the shop yet."),
)
SAFE_WORDS = "What was found rests on the checks listed here; the maker's service information comes first."


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
    return {
        "title": casefile.title(opened),
        "vehicle": vehicle(opened),
        "customer": _customer(opened.get("customer") or {}),
        "complaint": _complaint(case),
        "found": _found(case),
        "cause": _cause(case, told.get("explanations") or [], fixed),
        "done": _done(case),
        "proof": _proof(case, fixed),
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
        "words": words(),
    }


def words():
    """The fixed texts of a report's page in the language spoken, so that a page in another one can show it."""
    return {key: phrase(text) for key, text in WORDS}


def vehicle(opened, personal=True):
    """The car as rows of label and text; without its plate where it goes to others than its owner."""
    car = opened.get("vehicle") or {}
    rows = [(phrase("Vehicle"), casefile.title(opened if personal else {"vehicle": dict(car, plate="")}))]
    for key, label in (("plate", phrase("Plate")), ("vin", "VIN"), ("engine_name", phrase("Engine"))):
        if car.get(key) and (personal or key != "plate"):
            rows.append((label, str(car[key])))
    if opened.get("odometer"):
        rows.append((phrase("Odometer"), measures.show(opened["odometer"])))
    return [list(row) for row in rows]


def _customer(customer):
    labels = (
        ("name", phrase("Name")),
        ("phone", phrase("Phone")),
        ("email", phrase("E-mail")),
        ("address", phrase("Address")),
    )
    return [[label, customer[key]] for key, label in labels if customer.get(key)]


def _complaint(case):
    entry = case.last("complaint")
    if entry is None:
        return ""
    words = casefile.row_text(entry)
    said = entry["body"].get("words")
    return '%s. "%s"' % (words, said) if said and said != words else words


def _found(case):
    rows = []
    for _, entry in case.counted:
        if entry["kind"] in ("codes_read", "check", "parts_moved"):
            rows.append({"text": plain(entry), "photos": photos_of(case, entry)})
    return _grouped(rows)


def plain(entry):
    """One entry in words for somebody without training."""
    declared = {
        "codes_read": phrase("Trouble codes read"),
        "parts_moved": phrase("Parts moved to see whether the fault moves along"),
    }
    text = casefile.row_text(entry)
    return "%s: %s" % (declared[entry["kind"]], text) if entry["kind"] in declared else text


def _grouped(rows):
    """The same look on several cylinders is one line: "Drop test, cylinder 1: Full drop; cylinder 2: ..."."""
    grouped = []
    for row in rows:
        head, comma, rest = row["text"].partition(", ")
        last = grouped[-1] if grouped else None
        if last and comma and last["head"] == head and ": " in rest:
            last["text"] += "; " + rest
            last["photos"] = last["photos"] + row["photos"]
        else:
            grouped.append(
                {"head": head if comma and ": " in rest else None, "text": row["text"], "photos": row["photos"]}
            )
    return [{"text": row["text"], "photos": row["photos"]} for row in grouped]


def _cause(case, told, fixed):
    closed = case.last("case_closed")
    if closed and case.status == "closed":
        return {"text": _confirmed(case, closed["body"]["cause"], told), "sure": _proved(fixed)}
    if told:
        best = told[0]
        return {
            "text": best["label"],
            "sure": phrase("Not confirmed yet; {p} by the findings so far.", p=verification.percent(best["p"])),
        }
    return {"text": phrase("Not known yet"), "sure": ""}


def _proved(fixed):
    if not fixed or not fixed["driven"]:
        return phrase("As confirmed by the mechanic.")
    minutes = round(fixed["driven"])
    if fixed["p"] >= HOLDS:
        return phrase("Proved by a drive of {n} minute.|Proved by a drive of {n} minutes.", n=minutes)
    return phrase(
        "Driven for {n} minute since, not proved yet: {p}.|Driven for {n} minutes since, not proved yet: {p}.",
        n=minutes,
        p=verification.percent(fixed["p"]),
    )


def _confirmed(case, cause, told):
    """The cause as the mechanic wrote it; one taken over from what the core had said is said in the language spoken."""
    for explanation in told:
        if isinstance(explanation, dict) and explanation.get("label") == cause:
            return explanations.in_words(case, explanation.get("faults")) or cause
    return cause


def _done(case):
    rows = []
    for _, entry in case.of_kind("repair"):
        text = casefile.row_text(entry)
        if entry["body"].get("torque") and entry["body"].get("torque_source"):
            text = phrase("{work} (value from: {source})", work=text, source=entry["body"]["torque_source"])
        rows.append({"text": text, "photos": photos_of(case, entry)})
    return rows


def _proof(case, fixed):
    rows = []
    for _, entry in case.counted:
        if entry["kind"] == "codes_cleared":
            rows.append(phrase("Codes cleared."))
        elif entry["kind"] == "road_test":
            rows.append(phrase("Driven: {drive}.", drive=casefile.row_text(entry)))
    if fixed:
        rows.append(verification.in_words(case, fixed))
        after = verification.codes_after(case)
        if after["returned"]:
            rows.append(phrase("Came back: {codes}.", codes=", ".join(after["returned"])))
        elif after["gone"]:
            rows.append(phrase("Did not come back: {codes}.", codes=", ".join(after["gone"])))
    return rows


def _left(case):
    closed = case.last("case_closed")
    rows = (closed["body"].get("later") or []) if closed and case.status == "closed" else []
    meanings = {row["code"]: row["text"] for row in casefile.view(case)["codes"]["rows"]} if rows else {}
    return [
        {"code": row.get("code") or "", "text": meanings.get(row.get("code"), ""), "why": row.get("text") or ""}
        for row in rows
    ]


def _cautions(case):
    rows = []
    complaint = case.last("complaint")
    if complaint and complaint["body"].get("lamp") == "flashing":
        rows.append(phrase(LAMP_CAUTION))
    if case.of_kind("codes_cleared"):
        rows.append(phrase(READINESS_CAUTION))
    return rows + [phrase(SAFE_WORDS)]


def photos_of(case, entry):
    """Pictures (SHA-256) that belong to an entry."""
    return photos(case, lambda body: body.get("of") == entry["id"])


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
