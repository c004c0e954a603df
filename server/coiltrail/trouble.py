"""What a command ends with when it cannot go on."""


class Trouble(Exception):
    """The message is one clear line: what is wrong and what to do."""
