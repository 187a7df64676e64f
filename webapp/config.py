"""Settings, all from the environment; the defaults serve one person on one machine."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from webapp.files import BadInput

_CLONE = Path(__file__).resolve().parent.parent


@dataclass(frozen=True, slots=True, kw_only=True)
class Config:
    """How one server is set up."""

    data_dir: Path
    database_url: str
    https: bool = False  # served behind TLS: cookies are then marked Secure
    hosts: tuple[str, ...] = ()  # names this server answers to, besides localhost and plain addresses
    public_url: str = ""  # where people open it, such as https://van.example; empty: as each request says
    proxies: int = 0  # proxies in front whose X-Forwarded headers are believed; 0: none is
    solver_slots: int = 2  # searches at the same time
    solver_memory_mb: int = 1024
    testing: bool = False

    @classmethod
    def at(cls, data_dir: Path, *, testing: bool = False) -> Config:
        """Everything in one folder, with a SQLite file there."""
        folder = data_dir.resolve()
        return cls(data_dir=folder, database_url=f"sqlite:///{folder / 'thriftloom.db'}", testing=testing)

    @classmethod
    def from_environment(
        cls, environment: Mapping[str, str] = os.environ, *, database_url: str | None = None
    ) -> Config:
        """THRIFTLOOM_DATA, DATABASE_URL, THRIFTLOOM_HTTPS, _HOSTS, _PUBLIC_URL, _PROXIES, _SOLVERS, _SOLVER_MB.

        There are never more searches at the same time than cores: more would only make all of them slower.

        Args:
            database_url: In the place of DATABASE_URL.
        Raises:
            BadInput: A setting is not what it must be.
        """
        base = cls.at(Path(environment.get("THRIFTLOOM_DATA") or _default_folder()))
        public_url = _origin(environment.get("THRIFTLOOM_PUBLIC_URL", ""))
        names = environment.get("THRIFTLOOM_HOSTS", "").lower().split()
        return cls(
            data_dir=base.data_dir,
            database_url=database_url or environment.get("DATABASE_URL") or base.database_url,
            https=environment.get("THRIFTLOOM_HTTPS", "") == "1" or public_url.startswith("https:"),
            hosts=tuple(dict.fromkeys([*names, *filter(None, [urlsplit(public_url).hostname])])),
            public_url=public_url,
            proxies=_whole(environment, "THRIFTLOOM_PROXIES", base.proxies, least=0),
            solver_slots=min(cores(), _whole(environment, "THRIFTLOOM_SOLVERS", base.solver_slots)),
            solver_memory_mb=_whole(environment, "THRIFTLOOM_SOLVER_MB", base.solver_memory_mb),
        )


def cores() -> int:
    """Cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _whole(environment: Mapping[str, str], name: str, default: int, *, least: int = 1) -> int:
    text = environment.get(name, "").strip() or str(default)
    if not (text.isascii() and text.isdigit() and int(text[:9]) >= least):
        raise BadInput([f"{name} is {text!r}: it must be a whole number {'above 0' if least else 'from 0 on'}."])
    return int(text[:9])


def _origin(text: str) -> str:
    """Scheme, name and port of an address; empty for none. The app lives at the root of its name."""
    text = text.strip().rstrip("/")
    if text and not _is_origin(text):
        raise BadInput([f"THRIFTLOOM_PUBLIC_URL is {text!r}: write it like https://van.example, without a path."])
    return text.lower()


def _is_origin(text: str) -> bool:
    try:
        parts = urlsplit(text)
        has_name = bool(parts.hostname) and parts.username is None and parts.port != 0  # a port that is none raises
    except ValueError:
        return False
    return parts.scheme in ("http", "https") and has_name and text.endswith(f"://{parts.netloc}")


def _default_folder() -> Path:
    """`instance` in the clone; where the app was installed as a package, in the current folder."""
    home = _CLONE if (_CLONE / "pyproject.toml").exists() else Path.cwd()
    return home / "instance"
