"""The exception of the package."""

from collections.abc import Sequence

from ._kirtle import Problem

__all__ = ["MeasurementError"]


class MeasurementError(ValueError):
    """Input that cannot be drafted: ``problems`` lists everything that is wrong with it."""

    problems: tuple[Problem, ...]

    def __init__(self, message: str, problems: Sequence[Problem] = (), document: str = "") -> None:
        super().__init__(message, problems, document)
        self.problems = tuple(problems)
        self._document = document

    def __str__(self) -> str:
        return str(self.args[0])

    def to_json(self) -> str:
        """The problems in JSON, as ``schema("error")`` says."""
        return self._document
