"""Invented entries that several tests record."""

CASE_OPENED = {
    "vehicle": {"plate": "TEST 17", "make": "Modell", "model": "Sechs", "year": 2011},
    "engine": {"cylinders": 6, "layout": "vee", "ignition": "coil_on_plug", "firing_order": [1, 2, 3, 4, 5, 6]},
    "customer": {"name": "Kim Sample", "phone": "555-0142"},
}


def note(text: str) -> dict:
    return {"text": text}
