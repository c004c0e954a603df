"""What each role may do beyond recording cases, which everybody may: one table, and one way to insist on it."""

from ..core.tongue import phrase
from ..store.models import Device
from .errors import refuse
from .guard import signed_in_device

# Deed -> roles that may do it, and what somebody else is told.
MAY = {
    "people": (("owner",), "Only the owner may change who works here: ask the owner to do it."),
    "export": (("owner",), "Only the owner may export the whole shop: ask the owner."),
    "audit": (("owner",), "Only the owner may read who did what: ask the owner."),
    "shut_out": (("owner", "desk"), "Only the owner or the desk may shut out another's device: ask them to do it."),
    "look_over": (("owner", "desk"), "Only the owner or the desk may decide on what was handed in: ask them to do it."),
    "prices": (("owner", "desk"), "Only the owner or the desk may set what the shop charges: ask them to do it."),
    "erase": (("owner", "desk"), "Only the owner or the desk may erase a person's data: ask them to do it."),
}

# Kinds of entries that are such a deed.
RECORDED = {"prices_set": "prices", "erased": "erase"}


def may(device: Device, deed: str) -> bool:
    """Whether whoever is signed in on ``device`` may do ``deed`` (one of ``MAY``)."""
    return device.person.role in MAY[deed][0]


def kept_from(device: Device) -> dict[str, str]:
    """Kinds of entries that whoever is signed in on ``device`` may not record, with what they are told."""
    return {kind: phrase(MAY[deed][1]) for kind, deed in RECORDED.items() if not may(device, deed)}


def insist(deed: str) -> None:
    """Refuses the request unless whoever asks may do ``deed``."""
    if not may(signed_in_device(), deed):
        refuse(403, "forbidden", phrase(MAY[deed][1]))
