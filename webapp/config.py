"""Settings, all from the environment; the defaults serve one person on one machine."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

_CLONE = Path(__file__).resolve().parent.parent


@dataclass(frozen=True, slots=True, kw_only=True)
class Config:
    """How one server is set up."""

    data_dir: Path
    database_url: str
    https: bool = False  # served behind TLS: cookies are then marked Secure
    hosts: tuple[str, ...] = ()  # names this server answers to, besides localhost and plain addresses
    solver_slots: int = 2
    solver_memory_mb: int = 1024
    testing: bool = False

    @classmethod
    def at(cls, data_dir: Path, *, testing: bool = False) -> Config:
        """Everything in one folder, with a SQLite file there."""
        folder = data_dir.resolve()
        return cls(data_dir=folder, database_url=f"sqlite:///{folder / 'thriftloom.db'}", testing=testing)

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] = os.environ) -> Config:
        """THRIFTLOOM_DATA, DATABASE_URL, THRIFTLOOM_HTTPS, THRIFTLOOM_HOSTS, THRIFTLOOM_SOLVER_MB."""
        base = cls.at(Path(environment.get("THRIFTLOOM_DATA") or _default_folder()))
        return cls(
            data_dir=base.data_dir,
            database_url=environment.get("DATABASE_URL") or base.database_url,
            https=environment.get("THRIFTLOOM_HTTPS", "") == "1",
            hosts=tuple(environment.get("THRIFTLOOM_HOSTS", "").lower().split()),
            solver_memory_mb=int(environment.get("THRIFTLOOM_SOLVER_MB") or base.solver_memory_mb),
        )


def _default_folder() -> Path:
    """`instance` in the clone; where the app was installed as a package, in the current folder."""
    home = _CLONE if (_CLONE / "pyproject.toml").exists() else Path.cwd()
    return home / "instance"
