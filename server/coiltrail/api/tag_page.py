"""What the address on a tag shows.

Signed in: the application, which reads the address and opens the part. A stranger: whose part this is and how
it gets home, in the same words whether or not such a tag exists. Nothing is looked up of the code, and from one address
only so many pages come.
"""

import base64
import hashlib
from importlib import resources

from flask import Blueprint, Flask, Response, current_app, make_response, render_template

from .. import languages, shell
from ..core import tags
from ..core.tongue import phrase
from ..store.database import db
from ..store.models import Shop
from .guard import request_address, signed_in_device
from .rate import PerAddress

blueprint = Blueprint("tag_page", __name__)

_STYLE = (resources.files("coiltrail") / "templates" / "tag_page.css").read_text(encoding="utf-8")
_POLICY = (
    f"default-src 'none'; style-src 'sha256-{base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()}'; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)


AT_ONCE, THEN_EVERY_S = 30, 10.0  # a find is one page; a whole crate of finds still goes


def register(app: Flask) -> None:
    app.extensions["coiltrail.strangers"] = PerAddress(AT_ONCE, THEN_EVERY_S)
    app.register_blueprint(blueprint)


@blueprint.get("/t/<code>")
@blueprint.get("/T/<code>")
def open_tag(code: str) -> Response:
    """The application at the part, or the page for strangers."""
    page = shell.of_app().file("/")
    response = shell.answer(page) if page and signed_in_device() else _for_strangers(code)
    response.vary.update(("Cookie", "Accept-Language"))
    return response


def _for_strangers(code: str) -> Response:
    wait_s = current_app.extensions["coiltrail.strangers"].wait_s(request_address())
    shop = db.session.query(Shop).first()
    # Only a well-formed code is repeated on the page; whether it is bound to anything is not looked up.
    typed = tags.check_tag(code).get("code")
    page = render_template(
        "tag_page.html",
        shop=shop,
        code=typed,
        wait_s=wait_s,
        style=_STYLE,
        phrase=phrase,
        language=languages.spoken(),
    )
    response = make_response(page)
    response.headers["Content-Security-Policy"] = _POLICY
    response.headers["Cache-Control"] = "no-store"
    if wait_s:
        response.status_code = 429
        response.headers["Retry-After"] = str(wait_s)
    return response
