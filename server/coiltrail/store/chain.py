"""Evidence of what a phone has seen of the log, so that a restored database is noticed by itself.

Every number of the log carries a hash over everything up to it. A phone keeps the last number it was told with its
hash, the log's *head*, and shows it with the next request. A database that holds another hash there, or nothing, has
forgotten something that the phone was told: it was restored from a backup, whether or not anybody said so.
"""

import hashlib

from sqlalchemy import bindparam, select, union_all
from sqlalchemy.orm import Session

from .models import Entry, SetAside, Shop

Head = tuple[int, str]  # a number of the log and the hash there; (0, "") before the first

CHAIN_LETTERS = 32  # of SHA-256 in hexadecimal: 128 bits

_CHAIN_AT = union_all(
    *(
        select(table.chain).where(table.shop_id == bindparam("shop"), table.number == bindparam("number"))
        for table in (Entry, SetAside)
    )
)


def link(before: str, content: str) -> str:
    """The hash at a number whose content is ``content``, after the hash ``before``."""
    return hashlib.sha256((before + content).encode()).hexdigest()[:CHAIN_LETTERS]


def head_of(session: Session, shop: Shop) -> Head:
    """The head of the log of ``shop``, whose row is locked."""
    number = shop.next_number - 1
    return number, _at(session, shop.id, number)


def contradicts(session: Session, shop: Shop, seen: Head) -> bool:
    """Whether the log of ``shop``, whose row is locked, is not one that had the head ``seen``."""
    number, chain = seen
    return number >= shop.next_number or _at(session, shop.id, number) != chain


def _at(session: Session, shop_id: str, number: int) -> str:
    return session.scalar(_CHAIN_AT, {"shop": shop_id, "number": number}) or ""
