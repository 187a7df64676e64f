"""What holds for all tests: on a busy machine a step may take any time."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile("any-machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any-machine")
