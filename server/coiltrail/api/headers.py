"""Security headers on every answer that they mean something on."""

from flask import Flask, Response, request

from .. import shell

_ALWAYS = {"X-Content-Type-Options": "nosniff"}
# What governs a document or a worker. With the policy it is 525 bytes, which each of a hundred modules would carry.
_OF_DOCUMENTS = {
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), microphone=(self), accelerometer=(self), geolocation=()",
}

_LOADED_BY_A_PAGE = ("text/javascript", "text/css")


def register(app: Flask) -> None:
    @app.after_request
    def _add(response: Response) -> Response:
        governs = response.mimetype not in _LOADED_BY_A_PAGE or request.path in shell.WORKERS
        for name, value in (_ALWAYS | (_OF_DOCUMENTS if governs else {})).items():
            response.headers.setdefault(name, value)
        if governs:
            response.headers.setdefault("Content-Security-Policy", content_security_policy())
        return response


def content_security_policy() -> str:
    """What the page may do: its own files, WebAssembly for the core, and what stands in the page by its hash."""
    scripts = " ".join(["'self'", "'wasm-unsafe-eval'", *shell.of_app().inline_hashes()])
    return "; ".join(
        (
            "default-src 'self'",
            f"script-src {scripts}",
            "img-src 'self' blob: data:",
            "media-src 'self' blob:",
            "connect-src 'self'",
            "worker-src 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
            "form-action 'self'",
            "object-src 'none'",
        )
    )
