"""Every language is complete: each English text has its own, with the same places to fill, and none is left over."""

import json
import re
from collections.abc import Iterator

import pytest

from coiltrail import languages
from coiltrail.core import bridge, tongue
from demo_fixtures import shop
from demo_fixtures.stories import STORIES, VARIETY
from tests.core.trade_cases import CASES
from tests.languages import english

OTHERS = [language for language in languages.LANGUAGES if language != languages.ENGLISH]
TOLD = {"explanations": [], "fixed": None}

# Literals that look like texts and are none: names of errors, keys, what a programmer reads.
FOR_PROGRAMS = {
    "pwa/app/declared.js": ("no kind of entry is called {}", "{} has no field {}"),
    "pwa/app/engine-drawing.js": (" moved", " empty", " picked"),
    "pwa/app/pieces/round-station.js": ("Found anew in the same round",),  # kept in the log: casefile puts it in words
    "pwa/app/pieces/kept-marks.js": ("Rubbed out",),  # likewise
    "pwa/app/put-right.js": ("Put right",),  # likewise
    "pwa/app/tongue.js": ("English", "Español"),
    "pwa/field/core.js": ("A newer question took its place.",),
    "pwa/field/hearing.js": ("AudioWorkletNode",),
    "pwa/field/motion.js": ("DeviceMotionEvent",),
    "pwa/field/kinds.js": ("checkBody needs declaration() to have been awaited.",),
}
# Files that speak to programs alone.
OF_PROGRAMS = (
    "pwa/app/report-file.js",
    "pwa/app/template-text.js",
    "pwa/field/contractions.js",
    "pwa/field/core-worker.js",
    "pwa/field/runtime.js",
)
NAMES = re.compile(
    r"[A-Z]\w+(Error|Missing|Refused|Saved)|Refused|Content-Type|Upload-\w+|Coiltrail|coiltrail backup 1|[a-z ]+"
)


# Spelling of Britain where the app's English is that of America; a few words that trade texts are likely to hold.
BRITISH = re.compile(
    r"\b(labour|colour\w*|vapours?|neighbours?|tyres?|greys?|metres?|litres?|centres?|recognis\w+|immobilis\w+"
    r"|windscreens?|bonnets?|behaviour|aluminium|moulds?|cancell(?:ed|ing)|label(?:led|ling)|analys(?:ed?|ing))\b",
    re.IGNORECASE,
)


@pytest.fixture(scope="module")
def wanted() -> dict[str, str]:
    return english.texts()


@pytest.mark.parametrize("language", OTHERS)
def test_every_text_has_its_translation_and_every_translation_its_text(language, wanted):
    known = languages.catalogue(language)
    assert [f"{wanted[text]}: {text}" for text in wanted if text not in known] == []
    assert [text for text in known if text not in wanted] == []


def test_an_order_of_what_is_put_in_is_a_text_too(wanted):
    assert wanted["{month} {day}, {year}"].startswith("server/coiltrail/report_page.py")
    assert [text for text in ("{day}.", "12 %", "") if english.has_words(text)] == []


def test_english_is_spelt_as_in_america(wanted):
    assert [f"{wanted[text]}: {text}" for text in wanted if BRITISH.search(text)] == []


@pytest.mark.parametrize("language", OTHERS)
def test_what_is_put_in_and_the_room_around_stay_the_same(language):
    for text, said in languages.catalogue(language).items():
        assert said.strip(), text
        assert places(said) == places(text), text
        assert said.count("|") == text.count("|"), text
        assert (said[0] == " ", said[-1] == " ") == (text[0] == " ", text[-1] == " "), text


# Words in whose place DEVELOPERS.md ("Languages") has another, because one country alone says them or they mean
# something else there; a dot or a space at the thousands; quotation marks of print.
NOT_SAID_IN_SPANISH = re.compile(
    r"\b(la traba|arnés|rampa|condu(?!ct|ce en)\w+|fallos?|desenchuf\w+|masas?|correas?|guardabarros|repuesto|régimen|"
    r"rótulos?|rengl\w+|cascabele\w*|soplado|vano|rajad\w+|en ralentí|no creíble|llave puesta|llave fuera|"
    r"par de apriete|reclamación|cuadro|tú|tus?|vos)\b|\d[.\xa0 ]\d00\b|[\"«»]",
    re.I,
)


def test_spanish_says_one_thing_by_one_term():
    said = languages.catalogue("es").values()
    assert [text for text in said if NOT_SAID_IN_SPANISH.search(text)] == []


def test_spanish_opens_its_questions_and_quotations():
    for text in languages.catalogue("es").values():
        assert [text.count(mark) for mark in "¿¡“"] == [text.count(mark) for mark in "?!”"], text


def places(text: str) -> set[str]:
    return set(re.findall(r"\{[^}]*\}", text))


def test_every_text_of_the_page_goes_through_the_catalogue():
    unspoken = [(text, place) for text, place in english.in_javascript("unspoken") if not for_programs(text, place)]
    assert unspoken == []
    assert list(english.in_javascript("early")) == []


def for_programs(text: str, place: str) -> bool:
    file = place.partition(":")[0]
    return file in OF_PROGRAMS or text in FOR_PROGRAMS.get(file, ()) or bool(NAMES.fullmatch(text))


# What leaves the core

# Where answers carry words for people.
FOR_PEOPLE = ("label", "text", "title", "why", "how", "needs", "caution", "means", "reason", "place_label", "sure")
FOR_PEOPLE += ("message", "rival", "becomes", "proof", "cautions", "complaint", "vehicle", "customer", "part", "group")
FOR_PEOPLE += ("words", "readiness", "cause", "agreed", "signed", "how")
NOT_WORDS = re.compile(r"[a-z_@0-9/.-]+")  # keys, ids, places
UNITS = re.compile(r"\b(min|rpm|km|mi|psi|kPa|EUR|VIN|\w{4}-\w{3}-\w{3})\b")  # and a tag in its groups


class Marked:
    """Gives every text back in marks, and remembers what it was asked for."""

    def __init__(self):
        self.asked = set()

    def get(self, text, default):
        self.asked.add(text)
        return "|".join(f"«{form.replace('{', '»{').replace('}', '}«')}»" for form in text.split("|"))


@pytest.fixture
def marked():
    catalogue = Marked()
    before = tongue._catalogue[0]
    tongue.use(catalogue)
    yield catalogue
    tongue.use(before)


def answers() -> Iterator[tuple[list[dict], dict]]:
    """What the bridge says of every case of the trade, every story and the invented shop: (entries, answer)."""
    for case in CASES:
        entries = case.build().entries
        for question in ("view", "diagnosis"):
            yield entries, ask(question, entries, **case.means)
    for story in STORIES + VARIETY:
        entries = story.build().entries
        for question, more in (("view", {}), ("report", {"diagnosis": TOLD})):
            yield entries, ask(question, entries, **more)
    for log in shop.build().cases:
        yield log.entries, ask("report", log.entries, diagnosis=TOLD)
        yield log.entries, ask("claim", log.entries, part=f"{log.case}.coil.2")
    for question in ("why", "trust", "learned"):
        entries = STORIES[1].build().entries
        yield entries, ask(question, entries, index=0)


def ask(question: str, entries: list[dict], **more) -> dict:
    return json.loads(bridge.answer(question, json.dumps({"entries": entries, **more})))


def test_whatever_leaves_the_bridge_went_through_the_catalogue(marked):
    unmarked = set()
    for entries, answer in answers():
        typed = sorted({one for one in strings(entries) if len(one) > 1}, key=len, reverse=True)
        unmarked |= {text for text in strings(answer, "") if not NOT_WORDS.fullmatch(text) and left_of(text, typed)}
    assert sorted(unmarked) == []
    for language in OTHERS:
        asked = {text for text in marked.asked if english.has_words(text)}
        assert sorted(asked - languages.catalogue(language).keys()) == []


def left_of(text: str, typed: list[str]) -> str:
    """Words of ``text`` that are neither marked, nor typed by somebody, nor a unit or a tag."""
    before = ""
    while text != before:
        before, text = text, re.sub(r"«[^«»]*»", " ", text)
    for one in typed:
        text = text.replace(one, "")
    return " ".join(re.findall(r"[^\W\d_]{3,}", UNITS.sub("", text)))


def strings(data: object, key: str | None = None) -> Iterator[str]:
    """Every text in ``data``; with ``key`` only those where words for people stand."""
    if isinstance(data, dict):
        for name in data:
            yield from strings(data[name], None if key is None else name)
    elif isinstance(data, list):
        for one in data:
            yield from strings(one, key)
    elif isinstance(data, str) and (key is None or key in FOR_PEOPLE):
        yield data
