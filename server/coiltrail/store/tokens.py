"""Random tokens of links, codes and cookies. Only their hash is kept."""

import hashlib
import secrets


def new_token() -> str:
    """256 random bits, as fits into an address."""
    return secrets.token_urlsafe(32)


def hash_of_token(token: str) -> str:
    """What is kept of a token."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
