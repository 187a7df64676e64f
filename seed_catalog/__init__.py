"""The catalogue and the demo jobs a new installation starts with. All of it is invented."""

from seed_catalog.loader import SeedFault, SeedFaults, demo_jobs, load_catalogue

__all__ = ["SeedFault", "SeedFaults", "demo_jobs", "load_catalogue"]
