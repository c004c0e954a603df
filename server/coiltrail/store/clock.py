"""Time and ids as the server gives them."""

import secrets
import time


def now_ms() -> int:
    """Milliseconds since 1970-01-01 UTC."""
    return time.time_ns() // 1_000_000


def uuid7() -> str:
    """A new UUID version 7 (RFC 9562, section 5.7): 48 bits of milliseconds, then random bits."""
    bits = now_ms() << 80 | secrets.randbits(80)
    bits = bits & ~(0xF << 76) | 0x7 << 76
    bits = bits & ~(0b11 << 62) | 0b10 << 62
    text = f"{bits:032x}"
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))
