"""Requests drawn from the API's own document: nothing breaks, and every answer is one that the document names.

schemathesis draws requests that fit the document and requests that break it in one place. Entries of every kind are
drawn from the same document.
"""

import copy
import shutil
from collections import Counter

import pytest
import schemathesis.openapi
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
    unsupported_method,
)

from coiltrail.core import entries
from coiltrail.store import people
from coiltrail.store.database import db
from coiltrail.store.models import Person
from tests.conftest import config_in, new_phone, running
from tests.phone import sha256
from tests.store.shop_at_work import do_work

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    negative_data_rejection,
    unsupported_method,
]
# The same requests on every run; no example database, no shrinking: a failing request is printed as it was sent.
BOUNDED = settings(
    max_examples=30,
    derandomize=True,
    database=None,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture(scope="module")
def shop(migrated, tmp_path_factory):
    """One shop for all requests, so that they also meet what earlier ones left."""
    folder = tmp_path_factory.mktemp("fuzzed") / "data"
    shutil.copytree(migrated, folder)
    for app in running(config_in(folder)):
        app.wsgi_app = read_to_the_end(app.wsgi_app)
        yield app


def read_to_the_end(wsgi):
    """schemathesis leaves files that it was sent open; a connection would be read to its end."""

    def read(environ, start_response):
        answer = wsgi(environ, start_response)
        try:
            return [b"".join(answer)]
        finally:
            answer.close()

    return read


@pytest.fixture(scope="module")
def document(shop):
    document = schemathesis.openapi.from_wsgi("/api/openapi.json", shop)
    document.config.generation.update(with_security_parameters=False)  # the cookie is ours
    return document


CALLS = 47  # of the document, so that none is left out unseen
# Links, codes, names, passwords and ids inside a body are never the right ones by chance; the phone is not shut out.
REFUSED_ALWAYS = {
    "POST /api/owner",
    "POST /api/sign-in",
    "POST /api/password",
    "POST /api/invitations/look",
    "POST /api/invitations/join",
    "POST /api/pairings/pair",
    "POST /api/handed-in",
    "POST /api/handed-in/accept",
    "POST /api/handed-in/leave",
    "POST /api/tags/labels",
}


def test_requests_drawn_from_the_document(document, shop, there):
    operations = [found.ok() for found in document.get_all_operations()]
    assert len(operations) == CALLS
    for operation in operations:
        statuses = statuses_of(operation, shop, there)
        # Some requests must have reached what the call is for.
        assert any(status < 400 for status in statuses) != (operation.label in REFUSED_ALWAYS), (operation, statuses)


def statuses_of(operation, shop, there):
    """Send requests drawn for one call; the statuses of the answers, each of them checked."""
    statuses = set()

    @BOUNDED
    @given(case=st.one_of([operation.as_strategy(mode) for mode in modes_of(operation)]), known=st.booleans())
    def send(case, known):
        reached = any(status < 400 for status in statuses)  # what is drawn changes with the texts of the source
        if (known or not reached) and case.meta.generation.mode is GenerationMode.POSITIVE:
            case.path_parameters = {name: there[name] for name in case.path_parameters or {}}
        response = case.call_and_validate(cookies={"coiltrail_device": signed_in(shop)}, checks=CHECKS)
        statuses.add(response.status_code)

    send()
    return statuses


def modes_of(operation):
    """A call that takes nothing has nothing to break."""
    takes = [*operation.path_parameters, *operation.headers, *operation.query, *operation.body]
    return list(GenerationMode) if takes else [GenerationMode.POSITIVE]


def test_entries_drawn_from_the_document(document, shop):
    """Entries of every kind, with bodies as documented or broken in one place: each is taken or set aside."""
    operation = syncing(document, shop)
    accepted, set_aside = Counter(), Counter()

    @settings(BOUNDED, max_examples=90)
    @given(case=st.one_of([operation.as_strategy(mode) for mode in GenerationMode]))
    def send(case):
        checks = [check for check in CHECKS if check is not negative_data_rejection]
        response = case.call_and_validate(cookies={"coiltrail_device": signed_in(shop)}, checks=checks)
        if response.status_code != 200:
            return
        answer, sent = response.json(), case.body.get("entries", [])
        told = Counter([*answer["accepted"], *(apart["id"] for apart in answer["set_aside"])])
        assert told == Counter(id_of(entry) for entry in sent)
        kinds = {id_of(entry): entry.get("kind") for entry in sent if isinstance(entry, dict)}
        accepted.update(kinds[entry_id] for entry_id in answer["accepted"])
        set_aside.update(kinds.get(apart["id"]) for apart in answer["set_aside"])

    send()
    assert len(accepted) >= 8 and len(set_aside) >= 4, (accepted, set_aside)


def id_of(entry):
    """What the answer names an entry by: nothing that is no id at all can be named."""
    named = entry.get("id") if isinstance(entry, dict) else None
    return named if isinstance(named, str) else None


def syncing(document, shop):
    """The call that takes entries, in a document that names the body of each kind."""
    raw = copy.deepcopy(document.raw_schema)
    raw["paths"] = {"/api/sync": raw["paths"]["/api/sync"]}
    envelope = raw["components"]["schemas"]["Envelope"]
    drawn = {"oneOf": [entry_of(kind["kind"], envelope) for kind in entries.KINDS]}
    raw["components"]["schemas"]["SyncRequest"] = {
        "type": "object",
        "required": ["cursor", "entries"],
        "additionalProperties": False,
        "properties": {
            "cursor": {"enum": [0]},
            "entries": {"type": "array", "minItems": 3, "maxItems": 5, "items": drawn},
        },
    }
    schema = schemathesis.openapi.from_dict(raw)
    schema.app = shop
    schema.config.generation.update(with_security_parameters=False, allow_x00=False)
    return next(schema.get_all_operations()).ok()


def entry_of(kind, envelope):
    properties = envelope["properties"] | {
        "kind": {"enum": [kind]},
        "body": {"$ref": f"#/components/schemas/{kind}"},
    }
    return {"type": "object", "required": envelope["required"], "properties": properties}


@pytest.fixture(scope="module")
def there(shop):
    """What the changing parts of addresses can name."""
    phone = new_phone(shop)
    work = do_work(phone)
    tag = next(entry for entry in work.entries if entry["kind"] == "tag_bound")
    bob = {"name": "Bob", "role": "mechanic", "password": "another password"}
    return {
        "person_id": phone.client.post("/api/people", json=bob).json["id"],
        "invitation_id": phone.client.post("/api/invitations", json={"name": "Eve", "role": "desk"}).json["id"],
        "pairing_id": phone.client.post("/api/pairings").json["id"],
        "device_id": phone.device,
        "link_id": phone.client.post(f"/api/cases/{work.cases[0]}/report-links", json={"days": 7}).json["id"],
        "sha256": sha256(work.photos[0]),
        "code": tag["body"]["code"],
        "case_id": work.cases[0],
    }


def signed_in(shop):
    """A token, anew each time: the last request may have signed the device out, or somebody's sign-in away."""
    with shop.app_context():
        db.session.query(Person).update({"left_ms": None})
        db.session.commit()
        person = db.session.query(Person).filter_by(name_key="ada").one()
        return people.sign_in(person, "01890000-0000-7000-8000-000000000001", "A phone")[1]
