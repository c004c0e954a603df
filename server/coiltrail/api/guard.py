"""Who may ask, and from where: runs before every request."""

from urllib.parse import urlsplit

from flask import Flask, Response, g, request

from ..config import settings
from ..core.tongue import phrase
from ..store import people
from ..store.audit import By
from ..store.clock import now_ms
from ..store.database import writing
from ..store.models import Device
from .errors import refuse

COOKIE = "coiltrail_device"
SAFE = ("GET", "HEAD", "OPTIONS")
# All of /api that needs no sign-in; everything else under /api does.
OPEN = {
    "state.read",
    "people.make_owner",
    "people.sign_in",
    "invitations.look",
    "invitations.join",
    "pairings.pair",
    "api-docs.openapi_json",
}
# What a device that was shut out may still do: hand in what it recorded. It is answered with nothing of the shop's.
FOR_SHUT_OUT = {"handed_in.hand_in", "photos.ask_progress", "photos.add_piece"}


def register(app: Flask) -> None:
    app.before_request(_guard)
    app.after_request(_renew_cookie)


def signed_in_device() -> Device | None:
    """The device that asks, when somebody is signed in on it."""
    if "device" not in g:
        token = request.cookies.get(COOKIE)
        g.device = people.device_of(token) if token else None
    return g.device


def shut_out_device() -> Device | None:
    """The device that asks, when it was shut out."""
    token = request.cookies.get(COOKIE)
    return people.shut_out_device_of(token) if token else None


def acting() -> By:
    """Who asks, for the audit list."""
    device = signed_in_device()
    return By(device.person.shop_id, device.person_id, device.id, request_address())


def request_address() -> str:
    """Where the request comes from."""
    return request.remote_addr or ""


def give_cookie(response: Response, token: str) -> None:
    """Let the device keep ``token`` for a year."""
    response.set_cookie(
        COOKIE,
        token,
        max_age=people.SIGNED_IN_FOR // 1000,
        httponly=True,
        samesite="Lax",
        secure=request.is_secure or settings().https,
    )


def _guard() -> None:
    if request.method not in SAFE:
        _same_origin()
        if request.content_length is None and "Transfer-Encoding" in request.headers:
            # Werkzeug would cut such a body at the limit instead of refusing it.
            refuse(411, "length_needed", phrase("Say how long the request is, with the header Content-Length."))
    if request.endpoint and request.path.startswith("/api/") and request.endpoint not in OPEN:
        device = signed_in_device()
        if device is None and shut_out_device():
            if request.endpoint in FOR_SHUT_OUT:
                return
            refuse(
                401,
                "shut_out",
                phrase("This device was shut out. What it recorded before is handed in, to be looked at."),
            )
        if device is None:
            refuse(401, "signed_out", phrase("Sign in again on this device. What is recorded here stays here."))
        _see(device)


def _see(device: Device) -> None:
    """Once a day, let the year of the device's sign-in begin anew."""
    if device.last_seen_ms < now_ms() - people.DAY_MS:
        with writing():
            device.last_seen_ms = now_ms()
        g.renew_cookie = True


def _same_origin() -> None:
    origin = request.headers.get("Origin")
    ours = (request.host, urlsplit(settings().public_url).netloc)
    if request.headers.get("X-Coiltrail") != "1" or (origin is not None and urlsplit(origin).netloc not in ours):
        refuse(
            403,
            "wrong_origin",
            phrase("This request does not come from the application. Open it anew from its own address."),
        )


def _renew_cookie(response: Response) -> Response:
    if g.get("renew_cookie"):
        give_cookie(response, request.cookies[COOKIE])
    return response
