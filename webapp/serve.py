"""`thriftloom serve`: one process, a few threads, until Ctrl-C."""

from __future__ import annotations

import errno
import logging
import signal
import socket
import sys

import waitress

from webapp import db, migrate
from webapp.app import create_app
from webapp.config import Config
from webapp.services import ops
from webapp.solver.runner import Runner

DONE, OUR_FAULT = 0, 1
THREADS = 8
MOST_BODY_BYTES = 50_000_000  # above what the app takes, so that it can refuse with a page of its own
LOCAL = ("127.0.0.1", "localhost", "::1")


def serve(host: str = "127.0.0.1", port: int = 8000, *, database: str | None = None) -> int:
    """Serve the app until it is stopped. Returns the exit code. Raises BadInput: settings or data cannot be used."""
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # all files of a page at once are no trouble
    config = Config.from_environment(database_url=database)
    try:
        listener = _listen(host, port)
    except OSError as error:
        print(_why_not(error, host, port), file=sys.stderr)
        return OUR_FAULT
    with listener:
        return _serve_on(listener, config, host)


def _serve_on(listener: socket.socket, config: Config, host: str) -> int:
    app = create_app(config)
    migrate.upgrade(app.extensions[db.EXTENSION], config.data_dir)
    with app.app_context():
        ops.forget_old()
    runner = Runner(app, config)
    runner.start()
    _stop_politely_when_asked()
    for line in greeting(host, listener.getsockname()[1], config.public_url):
        print(line, flush=True)
    try:
        waitress.serve(
            app,
            sockets=[listener],
            threads=THREADS,
            ident=None,
            max_request_body_size=MOST_BODY_BYTES,
            clear_untrusted_proxy_headers=config.proxies == 0,  # otherwise the app itself reads them
            _quiet=True,
        )
    finally:
        runner.stop()
        app.extensions[db.EXTENSION].close()
    return DONE


def greeting(host: str, port: int, public_url: str = "") -> list[str]:
    """Where to open it, and how a phone gets there."""
    if public_url:
        return [
            f"Thriftloom is ready: open {public_url}",
            f"It listens on port {port} of {host} for the proxy in front.",
        ]
    if host in LOCAL:
        return [
            f"Thriftloom is ready: open http://localhost:{port}",
            "For a phone on the same network: stop this with Ctrl-C and start it with make run HOST=0.0.0.0",
            "Everybody on that network can then see and change the jobs.",
        ]
    lines = [f"Thriftloom is ready: open http://localhost:{port}"] if host in ("0.0.0.0", "::") else []  # noqa: S104
    address = own_address() if host in ("0.0.0.0", "::") else host  # noqa: S104
    lines.append(f"On a phone on the same network: http://{f'[{address}]' if ':' in address else address}:{port}")
    lines.append("Everybody on this network can see and change the jobs.")
    return lines


def own_address() -> str:
    """This machine's address on its network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # kept for documentation (RFC 5737); connecting sends nothing
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"


def _listen(host: str, port: int) -> socket.socket:
    family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    listener = socket.socket(family, kind, protocol)
    try:
        if sys.platform != "win32":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
        listener.listen(128)
    except OSError:
        listener.close()
        raise
    return listener


def _why_not(error: OSError, host: str, port: int) -> str:
    if error.errno == errno.EADDRINUSE:
        other = port + 1 if port < 65535 else 8000
        return f"Port {port} is taken by another program. Try another one: make run PORT={other}"
    if error.errno == errno.EACCES:
        return f"Port {port} may not be used by ordinary programs. Try another one: make run PORT=8000"
    return f"{host}:{port} cannot be listened on: {(error.strerror or str(error)).lower()}."


def _stop_politely_when_asked() -> None:
    def leave(_signal: int, _frame: object) -> None:
        raise SystemExit(DONE)

    signal.signal(signal.SIGTERM, leave)
