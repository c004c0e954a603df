"""A report as a page of its own, for whoever has no application: behind a link, and in an export."""

import datetime
import json
from collections.abc import Callable

from jinja2 import Environment, PackageLoader

from .core import bridge
from .store.models import Shop
from .trouble import Trouble

_templates = Environment(loader=PackageLoader("coiltrail"), autoescape=True, trim_blocks=True, lstrip_blocks=True)


def report_of(log: list[dict]) -> dict:
    """The report of a case's log. Raises Trouble where it tells no case."""
    told = json.loads(bridge.answer("report", json.dumps({"entries": log})))
    if "error" in told:
        raise Trouble(told["error"]["message"])
    return told


def page_of(report: dict, shop: Shop, *, photo: Callable[[str], str | None], head: str) -> str:
    """The report as HTML. ``photo``: the address of a picture, None where it is not to be had; ``head``: HTML for the
    style."""
    return _templates.get_template("report.html").render(
        report=report, shop=shop, photo=photo, head=head, day=_day, dates=_dates(report)
    )


def gone_page(shop: Shop | None, words: str) -> str:
    """What stands where a report stands no more."""
    return _templates.get_template("report_gone.html").render(shop=shop, words=words)


def _dates(report: dict) -> str:
    days = [_day(ms) for ms in (report["opened_ms"], report["closed_ms"]) if ms is not None]
    return " to ".join(dict.fromkeys(days))


def _day(ms: int) -> str:
    day = datetime.datetime.fromtimestamp(ms / 1000, datetime.UTC)
    return f"{day.day} {day:%b %Y}"
