"""The app factory. Making an app touches no database: `migrate.upgrade` and `seeding.seed` do."""

from __future__ import annotations

from flask import Flask
from flask_wtf.csrf import CSRFProtect

from webapp import assets, compression, db, device, failures, security, spoken, texts
from webapp.config import Config

MOST_BYTES = 5_000_000


def create_app(config: Config | None = None) -> Flask:
    """The whole app, ready to be served."""
    config = config or Config.from_environment()
    app = Flask("webapp", instance_path=str(config.data_dir), static_folder=None, template_folder="templates")
    app.config.from_mapping(_settings(config))
    app.extensions[db.EXTENSION] = db.Database(config.database_url)
    security.believe_proxies(app, config.proxies)
    compression.install(app)
    security.install(app)
    assets.install(app)
    app.jinja_env.globals.update(_=texts._, N_=texts.N_, ngettext=texts.ngettext, decimal=texts.decimal)
    _register_routes(app)
    failures.install(app)
    spoken.install(app)
    device.install(app)
    return app


def _settings(config: Config) -> dict[str, object]:
    return {
        "TESTING": config.testing,
        "SECRET_KEY": security.secret_key(config.data_dir),
        "MAX_CONTENT_LENGTH": MOST_BYTES,
        "SESSION_COOKIE_NAME": "thriftloom",
        "SESSION_COOKIE_HTTPONLY": True,
        "SESSION_COOKIE_SAMESITE": "Lax",
        "SESSION_COOKIE_SECURE": config.https,
        "WTF_CSRF_TIME_LIMIT": None,  # a page left open over night still saves
        "PROPAGATE_EXCEPTIONS": False,  # tests see the page a person would see
        "THRIFTLOOM_HOSTS": frozenset(config.hosts),
        "THRIFTLOOM_PUBLIC_URL": config.public_url,
    }


def _register_routes(app: Flask) -> None:
    from webapp.routes import api, pages, sync

    app.register_blueprint(pages.bp)
    app.register_blueprint(api.bp)
    app.register_blueprint(sync.bp)
    protection = CSRFProtect(app)
    for programs in (api.bp, sync.bp):
        protection.exempt(programs)  # they take JSON only, which no foreign form can send
