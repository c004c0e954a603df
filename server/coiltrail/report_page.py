"""A report as a page of its own, for whoever has no application: behind a link, and in an export."""

import datetime
import json
from collections.abc import Callable, Mapping
from contextvars import ContextVar
from types import MappingProxyType

from jinja2 import Environment, PackageLoader

from . import languages
from .core import bridge, measures
from .core import report as core_report
from .core.tongue import phrase
from .store.models import Shop
from .trouble import Trouble

_templates = Environment(loader=PackageLoader("coiltrail"), autoescape=True, trim_blocks=True, lstrip_blocks=True)
_templates.globals["phrase"] = phrase
# In full: 5/6 is another day in Texas than in Kent.
_MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


# Several threads answer at once, each in the units it was asked for.
_units: ContextVar[Mapping[str, str]] = ContextVar("units", default=MappingProxyType({}))
measures.keep_choice_in(_units)


def report_of(log: list[dict], units: Mapping[str, str] | None = None) -> dict:
    """The report of a case's log in the language spoken, which it names. Raises Trouble where it tells no case.

    ``units``: dimension to unit; quantities of others stand as they were typed.
    """
    before = _units.set({})
    try:
        told = json.loads(bridge.answer("report", json.dumps({"entries": log, "units": units or {}})))
    finally:
        _units.reset(before)  # the thread serves somebody else next
    if "error" in told:
        raise Trouble(told["error"]["message"])
    return told | {"language": languages.spoken()}


def page_of(report: dict, shop: Shop, *, photo: Callable[[str], str | None], head: str) -> str:
    """The report as HTML, in its own language. ``photo``: the address of a picture, None where it is not to be had;
    ``head``: HTML for the style."""
    with languages.speaking(report.get("language") or languages.ENGLISH):
        return _templates.get_template("report.html").render(
            report=report,
            words=core_report.words(report.get("repaired", True)),
            shop=shop,
            photo=photo,
            head=head,
            day=_day,
            dates=_dates(report),
        )


def gone_page(shop: Shop | None, words: str) -> str:
    """What stands where a report stands no more."""
    return _templates.get_template("report_gone.html").render(
        shop=shop, words=phrase(words), language=languages.spoken()
    )


def _dates(report: dict) -> str:
    days = [_day(ms) for ms in (report["opened_ms"], report["closed_ms"]) if ms is not None]
    return f" {core_report.words()['to']} ".join(dict.fromkeys(days))


def _day(ms: int) -> str:
    day = datetime.datetime.fromtimestamp(ms / 1000, datetime.UTC)
    return phrase("{month} {day}, {year}", month=phrase(_MONTHS[day.month - 1]), day=day.day, year=day.year)
