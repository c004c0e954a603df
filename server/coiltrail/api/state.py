"""What anyone may know of the shop before signing in."""

from marshmallow import Schema, fields

from .. import shell
from ..store import people
from ..store.clock import now_ms
from ..store.database import db
from ..store.models import Shop
from .resource import OPEN, Resource

blueprint = Resource("state", __name__, url_prefix="/api/state", description="The server and its clock")


class StateSchema(Schema):
    shop_name = fields.String(metadata={"description": "The same that stands on tags; missing before there is a shop."})
    needs_owner = fields.Boolean(required=True)
    server_ms = fields.Integer(required=True, metadata={"description": "The server's clock, ms since 1970 UTC."})
    release = fields.String(required=True, metadata={"description": "Id of the release in /release.json."})


@blueprint.get("")
@blueprint.doc(**OPEN)
@blueprint.response(200, StateSchema)
def read() -> dict:
    """The shop's name, whether it still needs an owner, the clock, the release."""
    shop = db.session.query(Shop).first()
    state = {
        "needs_owner": not people.has_owner(),
        "server_ms": now_ms(),
        "release": shell.of_app().release()["release"],
    }
    return state | ({"shop_name": shop.name} if shop else {})
