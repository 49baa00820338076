"""The exception classes: `InputError` for invalid input, `InternalError` for a fault in Kirtle itself."""

from collections.abc import Sequence

from ._kirtle import Problem


class InputError(ValueError):
    """Error for invalid input; ``problems`` lists every problem of the input, in the order of the input.

    >>> from kirtle import Body, InputError
    >>> try:
    ...     Body(waist=7.4, hip="101", hip_depth=20.5, length=62)
    ... except InputError as error:
    ...     [(problem.field, problem.code, problem.value, problem.limit, problem.unit) for problem in error.problems]
    [('body.waist', 'below_minimum', 7.4, 40.0, 'cm'), ('body.hip', 'wrong_type', '"101"', 'a number from 50 to 220 cm', 'cm')]
    """

    __module__ = "kirtle"
    problems: tuple[Problem, ...]

    def __init__(self, message: str, problems: Sequence[Problem] = (), document: str = "") -> None:
        super().__init__(message, problems, document)
        self.problems = tuple(problems)
        self._document = document

    def __str__(self) -> str:
        return str(self.args[0])

    def to_json(self) -> str:
        """Return the problems in JSON by ``schema("error")``."""
        return self._document


class InternalError(RuntimeError):
    """Error for a fault in Kirtle itself, whatever the input: please report the message with the input of the call.

    >>> from kirtle import InternalError
    >>> print(InternalError("index out of bounds"))
    a fault in Kirtle, not in the input; please report it with the input of the call: index out of bounds
    """

    __module__ = "kirtle"

    def __str__(self) -> str:
        return f"a fault in Kirtle, not in the input; please report it with the input of the call: {self.args[0]}"
