"""The phone's check of a fingerprint's answer against py_webauthn (the PyPI package ``webauthn``), an implementation of
Web Authentication Level 2 by others, on the same answers, right and tampered with."""

import base64
import hashlib
import json
import subprocess
from pathlib import Path

import cbor2
import pytest
import webauthn
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, padding, rsa
from webauthn.helpers.exceptions import InvalidAuthenticationResponse

ORIGIN = "https://shop.example"
CHALLENGE = b"thirty-two bytes of a challenge!"
UP, UV = 0x01, 0x04
ES256, RS256 = -7, -257

# What is changed of a right answer -> what it is then.
ANSWERS = {
    "right": {},
    "another challenge": {"challenge": b"thirty-two bytes of another one!"},
    "another origin": {"origin": "https://other.example"},
    "another kind of answer": {"type": "webauthn.create"},
    "for another address": {"rp": "other.example"},
    "nobody present": {"flags": UV},
    "present, not recognised": {"flags": UP},
    "signed by another key": {"stolen": True},
    "signed for other data": {"signed": b"something else"},
}


class Authenticator:
    """Signs as a platform authenticator does."""

    def __init__(self, algorithm):
        self.algorithm = algorithm
        self.key = (
            ec.generate_private_key(ec.SECP256R1()) if algorithm == ES256 else rsa.generate_private_key(65537, 2048)
        )

    def spki(self):
        form = serialization.PublicFormat.SubjectPublicKeyInfo
        return self.key.public_key().public_bytes(serialization.Encoding.DER, form)

    def cose(self):
        numbers = self.key.public_key().public_numbers()
        if self.algorithm == ES256:
            return cbor2.dumps({1: 2, 3: ES256, -1: 1, -2: numbers.x.to_bytes(32), -3: numbers.y.to_bytes(32)})
        return cbor2.dumps({1: 3, 3: RS256, -1: numbers.n.to_bytes(256), -2: numbers.e.to_bytes(3)})

    def sign(self, data):
        if self.algorithm == ES256:
            return self.key.sign(data, ec.ECDSA(hashes.SHA256()))
        return self.key.sign(data, padding.PKCS1v15(), hashes.SHA256())


def answer(authenticator, challenge=CHALLENGE, origin=ORIGIN, **changed):
    told = {"type": changed.get("type", "webauthn.get"), "challenge": url64(challenge), "origin": origin}
    client_data = json.dumps(told).encode()
    rp_hash = hashlib.sha256(changed.get("rp", "shop.example").encode()).digest()
    data = rp_hash + bytes([changed.get("flags", UP | UV)]) + (7).to_bytes(4)
    signer = Authenticator(authenticator.algorithm) if changed.get("stolen") else authenticator
    signature = signer.sign(changed.get("signed", data + hashlib.sha256(client_data).digest()))
    return {"clientDataJSON": client_data, "authenticatorData": data, "signature": signature}


def library_says(authenticator, response):
    credential = {
        "id": url64(b"an id"),
        "rawId": url64(b"an id"),
        "type": "public-key",
        "response": {name: url64(value) for name, value in response.items()},
        "clientExtensionResults": {},
    }
    try:
        webauthn.verify_authentication_response(
            credential=credential,
            expected_challenge=CHALLENGE,
            expected_rp_id="shop.example",
            expected_origin=ORIGIN,
            credential_public_key=authenticator.cose(),
            credential_current_sign_count=0,
            require_user_verification=True,
        )
    except InvalidAuthenticationResponse:
        return False
    return True


def phone_says(cases):
    script = Path(__file__).with_name("passkey_verdicts.mjs")
    asked = json.dumps({"origin": ORIGIN, "cases": cases})
    ran = subprocess.run(["node", script], input=asked, capture_output=True, text=True, check=True)
    return json.loads(ran.stdout)


def url64(content):
    return base64.urlsafe_b64encode(content).decode().rstrip("=")


@pytest.mark.parametrize("algorithm", [ES256, RS256])
def test_phone_and_library_agree_on_every_answer(algorithm):
    # Many keys and signatures: in DER, about half of all numbers carry a leading zero and a few are short.
    authenticators = [Authenticator(algorithm) for _ in range(40 if algorithm == ES256 else 2)]
    made = [(one, name, answer(one, **changed)) for one in authenticators for name, changed in ANSWERS.items()]
    by_library = [library_says(one, response) for one, _, response in made]
    assert [name == "right" for _, name, _ in made] == by_library
    cases = [
        {"publicKey": plain64(one.spki()), "algorithm": algorithm, "challenge": plain64(CHALLENGE)}
        | {name: plain64(value) for name, value in response.items()}
        for one, _, response in made
    ]
    assert phone_says(cases) == by_library


def plain64(content):
    return base64.b64encode(content).decode()
