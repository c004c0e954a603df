"""The application factory."""

from flask import Flask, request
from werkzeug.middleware.proxy_fix import ProxyFix

from . import api, languages, shell
from .config import Config
from .store import database, migrations


def create_app(config: Config | None = None) -> Flask:
    """The application with the given settings, by default those of the environment."""
    config = config or Config.from_environment()
    config.data.mkdir(parents=True, exist_ok=True)
    app = Flask("coiltrail", static_folder=None)
    app.url_map.merge_slashes = False  # the phone takes a redirect for a stranger's answer
    app.extensions["coiltrail"] = config
    app.config["MAX_CONTENT_LENGTH"] = config.request_limit
    if config.trusted_proxies:
        hops = config.trusted_proxies
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=hops, x_proto=hops, x_host=hops)
    database.connect(app, config.database_url)
    migrations.register(app)
    app.before_request(_speak)
    app.teardown_request(lambda _: languages.speak(languages.ENGLISH))  # the thread serves somebody else next
    shell.register(app, config.pwa)
    api.register(app)
    return app


def _speak() -> None:
    """Speak the language that whoever asks understands best, of whichever country."""
    understood = [language.partition("-")[0].lower() for language in request.accept_languages.values()]
    languages.speak(next((one for one in understood if one in languages.LANGUAGES), languages.ENGLISH))
