"""Security headers on every answer."""

from flask import Flask, Response

from .. import shell

_ALWAYS = {
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), microphone=(self), accelerometer=(self), geolocation=()",
}


def register(app: Flask) -> None:
    @app.after_request
    def _add(response: Response) -> Response:
        for name, value in _ALWAYS.items():
            response.headers.setdefault(name, value)
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
