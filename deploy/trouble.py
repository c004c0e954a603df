"""What stops a command: one line that says what to do."""


class Trouble(Exception):
    """Its text is the one line that the person sees; the command ends with exit code 1."""
