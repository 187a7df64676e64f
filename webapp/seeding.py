"""First contents of a database: tables, the catalogue that comes along, the demo jobs. Running it again is harmless."""

from __future__ import annotations

import sys

from seed_catalog import SeedFaults, demo_jobs, load_catalogue
from webapp import db, migrate
from webapp.app import create_app
from webapp.config import Config
from webapp.services import catalogue, jobs
from webapp.services.errors import FaultyDocument, NotFound

DONE, OUR_FAULT = 0, 1


def seed(*, database: str | None = None) -> int:
    """What `thriftloom seed` does; says what it did. Returns the exit code. Raises BadInput as `serve` does."""
    config = Config.from_environment(database_url=database)
    try:
        for line in fill(config):
            print(line)
    except (SeedFaults, FaultyDocument) as faults:
        print(f"The seed catalogue has faults; nothing was loaded.\n{faults}", file=sys.stderr)
        return OUR_FAULT
    return DONE


def fill(config: Config) -> list[str]:
    """Bring tables, catalogue and demo jobs up to date without touching what people made; what was done."""
    app = create_app(config)
    moved = migrate.upgrade(app.extensions[db.EXTENSION], config.data_dir)
    with app.app_context():
        return [
            "Tables brought up to date." if moved else "Tables are up to date.",
            _load_catalogue(),
            *_add_demo_jobs(),
        ]


def _load_catalogue() -> str:
    try:
        before = catalogue.current()
    except NotFound:
        before = None
    if before is not None and before.origin != "seed":
        return "Catalogue kept: it was changed here."
    loaded = catalogue.replace(load_catalogue(), origin="seed")
    if before is not None and loaded.revision == before.revision:
        return "Catalogue is up to date."
    parts, offers = len(loaded.document["parts"]), len(loaded.document["offers"])
    return f"Catalogue loaded: {parts} parts, {offers} offers."


def _add_demo_jobs() -> list[str]:
    return [
        f"Demo job added: {document['title']}."
        for slug, document in demo_jobs().items()
        if jobs.add_demo_job(slug, document)
    ]
