"""Long computations in small steps.

A function that takes long is a generator that yields now and then and returns its result. On the phone the
worker asks for one step after the other: only between two calls can the runtime clear away what is no longer
needed, and only there can a computation be given up.
"""


def finish(steps):
    """Run the steps to their end and give what they return."""
    while True:
        try:
            next(steps)
        except StopIteration as done:
            return done.value
