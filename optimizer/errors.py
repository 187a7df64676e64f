"""What can go wrong, as a tree.

OptimizerError                  user_message is safe to show
├── InvalidInput(field, problem)  a value that cannot be used as written
└── Refused(reason)               out of scope: mains wiring, more than 60 V DC
"""

from __future__ import annotations


class OptimizerError(Exception):
    """Base of everything the optimizer raises on purpose."""

    @property
    def user_message(self) -> str:
        """One sentence that may be shown to the person."""
        return str(self)


class InvalidInput(OptimizerError):
    """A value that cannot be sized as written."""

    def __init__(self, field: str, problem: str) -> None:
        super().__init__(f"{field}: {problem}")
        self.field = field
        self.problem = problem


class Refused(OptimizerError):
    """Something this tool does not plan, with the reason."""
