"""Settings, read once from the environment. None of them is a secret of the tree; a password for the
database comes in ``DATABASE_URL`` from whoever runs the server."""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from flask import current_app

# Environment variable -> what it is for. DEVELOPERS.md carries the same table; a test compares them.
SETTINGS = {
    "COILTRAIL_DATA": "directory of the database and the photos; default `shop-data` where the command is run",
    "DATABASE_URL": "database; default SQLite in the data directory, `postgresql://...` needs the extra `postgres`",
    "PUBLIC_URL": "the shop's one address, on labels and in links; default `http://localhost:8000`",
    "TRUST_PAGE": "where phones learn to trust the shop's own authority, shown beside the pairing code; default none",
    "TRUSTED_PROXIES": "how many reverse proxies stand before the server; default 0",
}

PWA = Path(__file__).resolve().parents[2] / "pwa"


@dataclass(frozen=True)
class Config:
    """Where the server keeps things and what it refuses."""

    data: Path
    database_url: str
    public_url: str = "http://localhost:8000"
    trust_page: str | None = None
    trusted_proxies: int = 0
    pwa: Path = PWA
    request_limit: int = 2_000_000  # bytes of one request
    answer_limit: int = 256_000  # bytes of entries in one sync answer
    piece_limit: int = 1_000_000  # bytes of one piece of a photo
    photo_limit: int = 20_000_000  # bytes of a photo or recording, as entries declares it
    pixel_limit: int = 40_000_000  # width times height of a picture

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] = os.environ) -> "Config":
        """Settings from environment variables. Raises ValueError naming the one that cannot be used."""
        data = Path(environment.get("COILTRAIL_DATA") or "shop-data").resolve()
        return cls(
            data=data,
            database_url=_database_url(environment.get("DATABASE_URL"), data),
            public_url=_public_url(environment.get("PUBLIC_URL") or cls.public_url),
            trust_page=environment.get("TRUST_PAGE") or None,
            trusted_proxies=_count("TRUSTED_PROXIES", environment.get("TRUSTED_PROXIES") or "0"),
        )

    @property
    def https(self) -> bool:
        return self.public_url.startswith("https://")


def settings() -> Config:
    """The settings of the running application."""
    return current_app.extensions["coiltrail"]


def _database_url(url: str | None, data: Path) -> str:
    if not url:
        return f"sqlite:///{data / 'coiltrail.sqlite3'}"
    for plain in ("postgres://", "postgresql://"):
        if url.startswith(plain):
            return "postgresql+psycopg://" + url[len(plain) :]
    return url


def _public_url(url: str) -> str:
    url = url.rstrip("/")
    scheme, _, host = url.partition("://")
    if scheme not in ("http", "https") or not host or any(mark in host for mark in "/?#@ "):
        raise ValueError(f"PUBLIC_URL: give scheme and host alone, for example https://shop.example, not {url}")
    return f"{scheme}://{host.lower()}"


def _count(name: str, text: str) -> int:
    if not text.isdecimal():
        raise ValueError(f"{name}: give a whole number, 0 or more, not {text}")
    return int(text)
