"""A report as a page of its own, for whoever has no application: behind a link, and in an export."""

import datetime
import json
from collections.abc import Callable

from jinja2 import Environment, PackageLoader

from . import languages
from .core import bridge
from .core import report as core_report
from .core.tongue import phrase
from .store.models import Shop
from .trouble import Trouble

_templates = Environment(loader=PackageLoader("coiltrail"), autoescape=True, trim_blocks=True, lstrip_blocks=True)
_templates.globals["phrase"] = phrase
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def report_of(log: list[dict]) -> dict:
    """The report of a case's log in the language spoken, which it names. Raises Trouble where it tells no case."""
    told = json.loads(bridge.answer("report", json.dumps({"entries": log})))
    if "error" in told:
        raise Trouble(told["error"]["message"])
    return told | {"language": languages.spoken()}


def page_of(report: dict, shop: Shop, *, photo: Callable[[str], str | None], head: str) -> str:
    """The report as HTML, in its own language. ``photo``: the address of a picture, None where it is not to be had;
    ``head``: HTML for the style."""
    with languages.speaking(report.get("language") or languages.ENGLISH):
        return _templates.get_template("report.html").render(
            report=report, words=core_report.words(), shop=shop, photo=photo, head=head, day=_day, dates=_dates(report)
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
    return f"{day.day} {phrase(_MONTHS[day.month - 1])} {day.year}"
