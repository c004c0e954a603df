"""Ids sort by time and are UUIDs of version 7."""

import re
import uuid

from coiltrail.core.entries import UUID_PATTERN
from coiltrail.store.clock import now_ms, uuid7


def test_uuid7_is_one_for_the_standard_library_and_for_the_core():
    made = uuid7()
    assert re.fullmatch(UUID_PATTERN, made)
    parsed = uuid.UUID(made)
    assert (parsed.version, parsed.variant) == (7, uuid.RFC_4122)


def test_uuid7_begins_with_the_time_and_never_repeats():
    before = now_ms()
    made = [uuid7() for _ in range(1000)]
    assert len(set(made)) == 1000
    assert all(before <= uuid.UUID(one).int >> 80 <= now_ms() for one in made)
