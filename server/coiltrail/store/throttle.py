"""Slowing down whoever guesses passwords.

Failures are counted for a name from an address, for an address, and for a name from anywhere. Past a few, every further
failure doubles the wait. The wait for a name from anywhere stays short: whoever guesses from many addresses gets few
tries, and still cannot keep its owner out for long. The count is taken before the password is looked at, so that
guesses sent all at once do not slip through together.
"""

import hashlib

from sqlalchemy import delete
from sqlalchemy.orm import Session

from .clock import now_ms
from .database import add_if_missing, db, writing
from .models import SignInFailures
from .people import name_key

FREE_FOR_NAME = 5
FREE_FOR_ADDRESS = 30
FREE_FOR_NAME_ANYWHERE = 50
LONGEST_WAIT_S = 900
LONGEST_WAIT_ANYWHERE_S = 60
FORGOTTEN_AFTER_MS = 24 * 3_600_000


def begin_attempt(name: str, address: str) -> int:
    """Count an attempt. Gives 0 when it may go on, else the seconds to wait (and it is not counted)."""
    with writing() as session:
        counted = [
            (_row(session, _key(name, address)), FREE_FOR_NAME, LONGEST_WAIT_S),
            (_row(session, _key("", address)), FREE_FOR_ADDRESS, LONGEST_WAIT_S),
            (_row(session, _key(name, "")), FREE_FOR_NAME_ANYWHERE, LONGEST_WAIT_ANYWHERE_S),
        ]
        wait = max(_wait_s(*one) for one in counted)
        if not wait:
            for row, *_ in counted:
                row.count += 1
                row.last_ms = now_ms()
        return wait


def succeeded(name: str, address: str) -> None:
    """Forget the failures: whoever came in is no guesser."""
    with writing() as session:
        keys = (_key(name, address), _key("", address), _key(name, ""))
        session.execute(delete(SignInFailures).where(SignInFailures.key.in_(keys)))


def _row(session: Session, key: str) -> SignInFailures:
    add_if_missing(session, SignInFailures(key=key, count=0, last_ms=now_ms()))
    row = session.get_one(SignInFailures, key, with_for_update=True)
    if now_ms() - row.last_ms > FORGOTTEN_AFTER_MS:
        row.count = 0
    return row


def _wait_s(row: SignInFailures, free: int, longest_s: int) -> int:
    if row.count < free:
        return 0
    wait_s = min(2 ** min(row.count - free, 20), longest_s)
    return max(0, -(-(row.last_ms + wait_s * 1000 - now_ms()) // 1000))


def _key(name: str, address: str) -> str:
    # A hash: names of any length fit, and what was mistyped into the name field is not kept.
    return hashlib.sha256(f"{address}\n{name_key(name)}".encode("utf-8", "surrogatepass")).hexdigest()


def wait_of(what: str, address: str) -> int:
    """Seconds until somebody at ``address`` may try ``what`` again; 0: now. Unlike a sign-in, only failures count."""
    row = db.session.get(SignInFailures, _key(what, f"{what} {address}"))
    return _wait_s(row, FREE_FOR_ADDRESS, LONGEST_WAIT_S) if row and now_ms() - row.last_ms <= FORGOTTEN_AFTER_MS else 0


def count_failure(what: str, address: str) -> None:
    """Somebody at ``address`` tried ``what`` and failed."""
    with writing() as session:
        row = _row(session, _key(what, f"{what} {address}"))
        row.count += 1
        row.last_ms = now_ms()
