"""The language the core speaks. English texts are the keys of a catalogue; without one they stand as they are."""

_catalogue = [None]


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
    if not values:
        return text
    if "n" in values and "|" in text:
        one, many = text.split("|")
        text = one if values["n"] == 1 else many
    return text.format(**values)
