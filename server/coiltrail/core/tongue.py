"""The language the core speaks. English texts are the keys of a catalogue; without one they stand as they are."""

_catalogue = [None]

NO_BREAK = "\u00a0"
# Signs and units that never begin a line of their own: they stay with the figure before them.
UNITS = ("%", "rpm", "min", "Hz", "°C", "°F", "Ω", "kΩ", "V", "mm", "psi", "bar", "kPa", "N·m", "m/s²")
_held = {}  # text -> the same with figures and units held together


def use(catalogue):
    """Speak by ``catalogue``: a dict of English texts to those of another language, or anything with its ``get``.

    None: speak English.
    """
    _catalogue[0] = catalogue


def phrase(text, **values):
    """``text`` in the language spoken, ``{name}`` in it standing for the value of that name.

    Where a number decides between forms they stand as ``one|many``, and ``n`` chooses.
    """
    catalogue = _catalogue[0]
    if catalogue is not None:
        text = catalogue.get(text, text)
    if text not in _held:
        _held[text] = _holding(text)
    text = _held[text]
    if not values:
        return text
    if "n" in values and "|" in text:
        one, many = text.split("|")
        text = one if values["n"] == 1 else many
    return text.format(**values)


def joined(figure, unit):
    """A figure with its unit or sign, which no line parts."""
    return "%s%s%s" % (figure, NO_BREAK, unit)


def _holding(text):
    """``text`` with a no-break space between every figure, or what stands for one, and its unit."""
    words = text.split(" ")
    held = words[0]
    for at in range(1, len(words)):
        before, word = words[at - 1], words[at]
        unit = word
        for end in ".,;:)|\u201d":
            unit = unit.partition(end)[0]
        figure = before[-1:] == "}" or "0" <= before[-1:] <= "9"
        held += (NO_BREAK if figure and unit in UNITS else " ") + word
    return held
