"""The tables. Times are milliseconds since 1970 UTC; ids are UUIDv7 as text.

What phones recorded is kept as JSON text in ASCII: the exact value received, whatever characters it
holds, on any database.
"""

from sqlalchemy import (
    DDL,
    BigInteger,
    CheckConstraint,
    ForeignKey,
    Index,
    Integer,
    String,
    Text,
    UniqueConstraint,
    event,
)
from sqlalchemy.dialects.postgresql import TSVECTOR
from sqlalchemy.orm import Mapped, mapped_column, relationship

from .clock import now_ms, uuid7
from .database import db

ROLES = ("owner", "mechanic", "desk")

_ID = String(36)
_SHA256 = String(64)
_CHAIN = String(32)


class Shop(db.Model):
    """A shop. ``next_number`` is what its next entry gets; whoever numbers locks this row."""

    __tablename__ = "shop"

    id: Mapped[str] = mapped_column(_ID, primary_key=True, default=uuid7)
    name: Mapped[str] = mapped_column(String(120))
    phone: Mapped[str] = mapped_column(String(40))
    epoch: Mapped[str] = mapped_column(_ID, default=uuid7)
    next_number: Mapped[int] = mapped_column(BigInteger, default=1)


class Person(db.Model):
    """Somebody who works here, or did until ``left_ms``. ``name_key`` is the name without regard to capitals."""

    __tablename__ = "person"
    __table_args__ = (
        UniqueConstraint("shop_id", "name_key"),
        CheckConstraint("role IN ('owner', 'mechanic', 'desk')", name="role"),
    )

    id: Mapped[str] = mapped_column(_ID, primary_key=True, default=uuid7)
    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"))
    name: Mapped[str] = mapped_column(String(120))
    name_key: Mapped[str] = mapped_column(Text)  # some letters unfold into many
    role: Mapped[str] = mapped_column(String(10))
    password_hash: Mapped[str] = mapped_column(String(200))
    left_ms: Mapped[int | None] = mapped_column(BigInteger)

    shop: Mapped[Shop] = relationship()


class Device(db.Model):
    """A phone or desk where somebody signed in. Without ``token_sha256`` it is signed out.

    One that was shut out (``revoked_ms``) keeps its token: by it, it may still hand in what it recorded before.
    """

    __tablename__ = "device"
    __table_args__ = (UniqueConstraint("token_sha256"), Index(None, "person_id"))

    id: Mapped[str] = mapped_column(_ID, primary_key=True)
    person_id: Mapped[str] = mapped_column(ForeignKey("person.id"))
    name: Mapped[str] = mapped_column(String(120))
    token_sha256: Mapped[str | None] = mapped_column(_SHA256)
    created_ms: Mapped[int] = mapped_column(BigInteger, default=now_ms)
    last_seen_ms: Mapped[int] = mapped_column(BigInteger, default=now_ms)
    revoked_ms: Mapped[int | None] = mapped_column(BigInteger)
    unsynced: Mapped[str | None] = mapped_column(Text)  # JSON: what the phone last said is only on it

    person: Mapped[Person] = relationship()


class Entry(db.Model):
    """One entry of a case's log.

    ``number`` counts what the shop took in, in the order it was committed; entries and what was set aside
    share the count. ``chain`` (see ``chain.py``) stands for the whole log up to this number.
    """

    __tablename__ = "entry"
    __table_args__ = (UniqueConstraint("shop_id", "id"), Index(None, "shop_id", "case_id"))

    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"), primary_key=True)
    number: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    id: Mapped[str] = mapped_column(_ID)
    case_id: Mapped[str] = mapped_column(_ID)
    kind: Mapped[str] = mapped_column(String(40))
    device: Mapped[str] = mapped_column(_ID)  # any device's, also one that never signed in here
    n: Mapped[int] = mapped_column(BigInteger)
    at_ms: Mapped[int] = mapped_column(BigInteger)
    at_counter: Mapped[int] = mapped_column(BigInteger)
    content: Mapped[str] = mapped_column(Text)
    chain: Mapped[str] = mapped_column(_CHAIN)
    blanked_sha256: Mapped[str | None] = mapped_column(_SHA256)  # of ``content``, where it was blanked since


class SetAside(db.Model):
    """What a phone sent and the log could not take, kept with the reason.

    ``entry_id``, ``number`` and ``chain`` stand where it can be passed on to the phones: where it is an entry
    by its envelope. ``settled_ms``: when the log took the same entry after all.
    """

    __tablename__ = "set_aside"
    __table_args__ = (
        UniqueConstraint("shop_id", "content_sha256"),
        UniqueConstraint("shop_id", "number"),
        Index(None, "shop_id", "entry_id"),
    )

    id: Mapped[str] = mapped_column(_ID, primary_key=True, default=uuid7)
    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"))
    device_id: Mapped[str | None] = mapped_column(ForeignKey("device.id"))
    content: Mapped[str] = mapped_column(Text)
    content_sha256: Mapped[str] = mapped_column(_SHA256)
    field: Mapped[str] = mapped_column(String(200))
    message: Mapped[str] = mapped_column(Text)
    received_ms: Mapped[int] = mapped_column(BigInteger, default=now_ms)
    entry_id: Mapped[str | None] = mapped_column(_ID)
    number: Mapped[int | None] = mapped_column(BigInteger)
    chain: Mapped[str | None] = mapped_column(_CHAIN)
    settled_ms: Mapped[int | None] = mapped_column(BigInteger)
    blanked_sha256: Mapped[str | None] = mapped_column(_SHA256)  # of ``content``, where it was blanked since


class Erasure(db.Model):
    """An entry that is to stand without what is personal (``erasure.py``), whether it is here yet or not."""

    __tablename__ = "erasure"

    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"), primary_key=True)
    entry_id: Mapped[str] = mapped_column(_ID, primary_key=True)
    case_id: Mapped[str] = mapped_column(_ID)


class PhotoFile(db.Model):
    """A photo, recording or signature that an entry names or a phone sends.

    ``size`` is the length of the whole, once a phone has said it; ``received`` how many bytes of it are
    here. ``unfit`` says why a whole that arrived cannot be kept: its name is its hash, so it never will be.
    """

    __tablename__ = "photo_file"
    __table_args__ = (Index(None, "shop_id", "complete"),)

    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(_SHA256, primary_key=True)
    size: Mapped[int | None] = mapped_column(Integer)
    received: Mapped[int] = mapped_column(Integer, default=0)
    complete: Mapped[bool] = mapped_column(default=False)
    unfit: Mapped[str | None] = mapped_column(Text)
    media_type: Mapped[str | None] = mapped_column(String(40))
    width: Mapped[int | None] = mapped_column(Integer)
    height: Mapped[int | None] = mapped_column(Integer)
    first_named_ms: Mapped[int] = mapped_column(BigInteger, default=now_ms)


class Tag(db.Model):
    """Where to find the ``tag_bound`` entries of a code."""

    __tablename__ = "tag"
    __table_args__ = (Index(None, "shop_id", "code"),)

    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"), primary_key=True)
    entry_id: Mapped[str] = mapped_column(_ID, primary_key=True)
    code: Mapped[str] = mapped_column(String(10))
    case_id: Mapped[str] = mapped_column(_ID)


class ReportLink(db.Model):
    """An address by which somebody without a sign-in reads one report, as it stood when the link was made.

    ``content``: the report as JSON; null once the link was withdrawn.
    """

    __tablename__ = "report_link"
    __table_args__ = (UniqueConstraint("token_sha256"), Index(None, "shop_id", "case_id"))

    id: Mapped[str] = mapped_column(_ID, primary_key=True, default=uuid7)
    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"))
    case_id: Mapped[str] = mapped_column(_ID)
    token_sha256: Mapped[str] = mapped_column(_SHA256)
    made_by: Mapped[str] = mapped_column(ForeignKey("person.id"))
    made_ms: Mapped[int] = mapped_column(BigInteger, default=now_ms)
    expires_ms: Mapped[int] = mapped_column(BigInteger)
    withdrawn_ms: Mapped[int | None] = mapped_column(BigInteger)
    content: Mapped[str | None] = mapped_column(Text)


class OwnerLink(db.Model):
    """The one-time link by which the first owner signs up."""

    __tablename__ = "owner_link"

    token_sha256: Mapped[str] = mapped_column(_SHA256, primary_key=True)
    created_ms: Mapped[int] = mapped_column(BigInteger, default=now_ms)


class Invitation(db.Model):
    """A one-time link by which somebody new joins, or by which ``person_id`` sets a new password."""

    __tablename__ = "invitation"
    __table_args__ = (UniqueConstraint("token_sha256"),)

    id: Mapped[str] = mapped_column(_ID, primary_key=True, default=uuid7)
    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"))
    token_sha256: Mapped[str] = mapped_column(_SHA256)
    name: Mapped[str] = mapped_column(String(120))
    role: Mapped[str] = mapped_column(String(10))
    person_id: Mapped[str | None] = mapped_column(ForeignKey("person.id"))
    invited_by: Mapped[str | None] = mapped_column(ForeignKey("person.id"))  # none: the command line
    created_ms: Mapped[int] = mapped_column(BigInteger, default=now_ms)
    expires_ms: Mapped[int] = mapped_column(BigInteger)
    used_ms: Mapped[int | None] = mapped_column(BigInteger)
    withdrawn_ms: Mapped[int | None] = mapped_column(BigInteger)


class Pairing(db.Model):
    """A one-time token that a desk shows for some minutes; the phone that brings it is signed in as ``person_id``."""

    __tablename__ = "pairing"
    __table_args__ = (UniqueConstraint("token_sha256"), Index(None, "person_id"))

    id: Mapped[str] = mapped_column(_ID, primary_key=True, default=uuid7)
    token_sha256: Mapped[str] = mapped_column(_SHA256)
    person_id: Mapped[str] = mapped_column(ForeignKey("person.id"))
    expires_ms: Mapped[int] = mapped_column(BigInteger)
    used_ms: Mapped[int | None] = mapped_column(BigInteger)
    device_id: Mapped[str | None] = mapped_column(ForeignKey("device.id"))  # which came

    person: Mapped[Person] = relationship()
    device: Mapped[Device | None] = relationship()


class HandedIn(db.Model):
    """An entry from a device that was shut out: kept apart from the log until somebody has looked at it.

    ``content_sha256`` is of what came; ``content`` is without what was erased since, and empty once the log has it.
    """

    __tablename__ = "handed_in"
    __table_args__ = (
        UniqueConstraint("device_id", "content_sha256"),
        CheckConstraint("outcome IN ('accepted', 'left')", name="outcome"),
    )

    id: Mapped[str] = mapped_column(_ID, primary_key=True, default=uuid7)
    device_id: Mapped[str] = mapped_column(ForeignKey("device.id"))
    content: Mapped[str] = mapped_column(Text)
    content_sha256: Mapped[str] = mapped_column(_SHA256)
    photo_sha256: Mapped[str | None] = mapped_column(_SHA256)  # the file it names
    received_ms: Mapped[int] = mapped_column(BigInteger, default=now_ms)
    outcome: Mapped[str | None] = mapped_column(String(10))
    reason: Mapped[str | None] = mapped_column(Text)


class Audit(db.Model):
    """One line of who did what: see ``audit.py``. Rows are only added."""

    __tablename__ = "audit"
    __table_args__ = (Index(None, "shop_id", "at_ms"),)

    id: Mapped[str] = mapped_column(_ID, primary_key=True, default=uuid7)
    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"))
    at_ms: Mapped[int] = mapped_column(BigInteger, default=now_ms)
    deed: Mapped[str] = mapped_column(String(40))
    person_id: Mapped[str | None] = mapped_column(ForeignKey("person.id"))
    device_id: Mapped[str | None] = mapped_column(_ID)
    about: Mapped[str] = mapped_column(Text)
    address: Mapped[str] = mapped_column(String(60))


class SignInFailures(db.Model):
    """Sign-ins that failed, counted for a name from an address, or for an address."""

    __tablename__ = "sign_in_failures"

    key: Mapped[str] = mapped_column(_SHA256, primary_key=True)
    count: Mapped[int] = mapped_column(Integer, default=0)
    last_ms: Mapped[int] = mapped_column(BigInteger, default=now_ms)


class CaseSummary(db.Model):
    """What a case's log says at one glance, and the words it is found by; derived (``derived.py``), in no backup.

    ``key`` rises with the order in which cases first came in. ``rule``: the rule by which the row was made. ``vin``
    and ``plate`` are without spaces and dashes. ``calls_since``: since when a customer waits to be called, if at all
    (ms). ``shown`` is JSON, in each language. ``words`` is text on SQLite, where the FTS5 table ``case_words`` indexes
    it, and a tsvector on PostgreSQL.
    """

    __tablename__ = "case_summary"
    __table_args__ = (
        UniqueConstraint("shop_id", "case_id"),
        Index(None, "shop_id", "key"),
        Index(None, "shop_id", "closed", "key"),
        Index(None, "shop_id", "vin"),
        Index(None, "shop_id", "plate"),
        Index(None, "shop_id", "calls_since"),
    )

    key: Mapped[int] = mapped_column(Integer, primary_key=True)
    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"))
    case_id: Mapped[str] = mapped_column(_ID)
    rule: Mapped[int] = mapped_column(Integer)
    closed: Mapped[bool] = mapped_column()
    opened_ms: Mapped[int] = mapped_column(BigInteger)
    last_ms: Mapped[int] = mapped_column(BigInteger)
    vin: Mapped[str | None] = mapped_column(String(40))
    plate: Mapped[str | None] = mapped_column(String(40))
    calls_since: Mapped[int | None] = mapped_column(BigInteger)
    shown: Mapped[str] = mapped_column(Text)
    words: Mapped[str] = mapped_column(Text().with_variant(TSVECTOR(), "postgresql"))


class CasePart(db.Model):
    """A part of a case that is on the shelf's list, or counts for its brand; derived like ``CaseSummary``.

    ``closed_ms``, ``fitted``, ``failed`` and ``months``
    (``core.shelf.tallies``) stand where the case is closed and the part has a brand. ``shown``: JSON of its row on the
    shelf, in each language; ``words``: what it is found by there, a space on either side of each. Both null where it
    is not there.
    """

    __tablename__ = "case_part"
    __table_args__ = (Index(None, "shop_id", "next"), Index(None, "shop_id", "brand"))

    shop_id: Mapped[str] = mapped_column(ForeignKey("shop.id"), primary_key=True)
    case_id: Mapped[str] = mapped_column(_ID, primary_key=True)
    part_id: Mapped[str] = mapped_column(String(80), primary_key=True)
    kind: Mapped[str] = mapped_column(String(20))
    brand: Mapped[str | None] = mapped_column(String(80))
    part_number: Mapped[str | None] = mapped_column(String(80))
    closed_ms: Mapped[int | None] = mapped_column(BigInteger)
    fitted: Mapped[bool | None] = mapped_column()
    failed: Mapped[bool | None] = mapped_column()
    months: Mapped[int | None] = mapped_column(Integer)
    next: Mapped[str | None] = mapped_column(String(20))
    deadline: Mapped[str | None] = mapped_column(String(10))
    shown: Mapped[str | None] = mapped_column(Text)
    words: Mapped[str | None] = mapped_column(Text)


# The index of the words, and how it follows the rows. Migration 0005 holds the same.
_FTS5 = (
    "CREATE VIRTUAL TABLE case_words USING fts5(words, content='case_summary', content_rowid='key', detail=none, "
    "columnsize=0, prefix='2 3', tokenize='unicode61 remove_diacritics 0')",
    "CREATE TRIGGER case_summary_added AFTER INSERT ON case_summary BEGIN "
    "INSERT INTO case_words(rowid, words) VALUES (new.key, new.words); END",
    "CREATE TRIGGER case_summary_gone AFTER DELETE ON case_summary BEGIN "
    "INSERT INTO case_words(case_words, rowid, words) VALUES ('delete', old.key, old.words); END",
    "CREATE TRIGGER case_summary_changed AFTER UPDATE OF words ON case_summary BEGIN "
    "INSERT INTO case_words(case_words, rowid, words) VALUES ('delete', old.key, old.words); "
    "INSERT INTO case_words(rowid, words) VALUES (new.key, new.words); END",
)
for _statement in _FTS5:
    event.listen(CaseSummary.__table__, "after_create", DDL(_statement).execute_if(dialect="sqlite"))
event.listen(
    CaseSummary.__table__,
    "after_create",
    DDL("CREATE INDEX ix_case_summary_words ON case_summary USING gin (words) WITH (fastupdate = off)").execute_if(
        dialect="postgresql"
    ),
)
event.listen(CaseSummary.__table__, "before_drop", DDL("DROP TABLE IF EXISTS case_words").execute_if(dialect="sqlite"))
