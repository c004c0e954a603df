"""Reading a refused request to its end.

A server that answers before the request has been read closes the connection, and the phone sees a broken line
instead of the reason: it would try again for ever.
"""

from flask import Flask, Response, request

MOST = 16_000_000  # bytes; whoever sends more is not one of our phones
PIECE = 65_536


def register(app: Flask) -> None:
    app.after_request(_read_to_the_end)


def _read_to_the_end(response: Response) -> Response:
    # Where the server does not mark the end of the body, reading on could wait for ever; such servers read it first.
    if request.environ.get("wsgi.input_terminated"):
        left = MOST
        while left > 0 and (piece := request.environ["wsgi.input"].read(PIECE)):
            left -= len(piece)
    return response
