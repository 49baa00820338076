"""Command line, ``kirtle`` or ``python -m kirtle``: parses the options, runs one command, prints its result."""

import argparse
import io
import json
import os
import re
import sys
from typing import Any, NoReturn, TextIO

from . import InputError, __version__, charts, class_lists, drawing_texts, requests, schema, tables
from .options import error_text, refuse_overwriting

SCHEMAS = ("request", "result", "pattern", "lay", "fitting", "chart", "sizes", "fit", "best_chart", "best_sizes", "comparison", "texts", "error")
"""Names of the JSON schemas."""

EXIT_INTERRUPTED = 130
"""Exit code after Ctrl-C, as shells set it."""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; return the exit code: 0; 1 or 2 after problems, of some rows of a list or of all, each on a line of standard error; 130 after Ctrl-C."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # A terminal without ° or × shows a question mark.
    arguments = sys.argv[1:] if arguments is None else arguments
    if any("\0" in argument for argument in arguments):
        parser().error("an argument holds a zero byte")
    options, unknown = parser().parse_known_args(arguments)
    if unknown:
        getattr(options, "parser", parser()).error(f"unrecognized arguments: {' '.join(unknown)}{commands_with(unknown)}")
    refuse_overwriting(options)
    try:
        text: str = class_lists.run_each(options) if getattr(options, "each", False) else options.run(options)
    except (InputError, OSError) as error:
        for found in getattr(error, "__notes__", ()):  # What a command found before the problem.
            print_output(found)
        return print_error(error_text(error, options))
    except KeyboardInterrupt:
        return EXIT_INTERRUPTED
    for remark in getattr(options, "remarks", ()):
        print_error(remark)
    return print_output(text) or getattr(options, "exit_code", 0)


def commands_with(unknown: list[str]) -> str:
    """Return a hint at the commands that have all the options among unknown arguments; empty if none has."""
    typed = {argument.partition("=")[0] for argument in unknown if argument.startswith("--")}
    (commands,) = (action.choices for action in parser()._actions if isinstance(action, argparse._SubParsersAction))
    names = [name for name, command in commands.items() if typed <= set(command._option_string_actions)]
    return f" (options of kirtle {', '.join(names)})" if typed and names else ""


def print_error(text: str) -> int:
    """Print an error on standard error, if that stream is open; return the exit code 2."""
    try:
        if sys.stderr is not None:
            print(text, file=sys.stderr, flush=True)
    except OSError:
        redirect_to_null_device(sys.stderr)
    return 2


def redirect_to_null_device(stream: TextIO) -> None:
    """Redirect a broken stream to the null device, so that Python's flush at exit does not fail."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def print_output(text: str) -> int:
    """Print a text on standard output; return the exit code 0, also if a pipe is closed early, or 2 after another write error."""
    try:
        print(text, flush=True)
    except OSError as error:
        redirect_to_null_device(sys.stdout)
        return 0 if isinstance(error, BrokenPipeError) else print_error(f"standard output: {error.strerror}")
    return 0


class Parser(argparse.ArgumentParser):
    """Parser that prints an error in a sentence, without the list of all options, and reads ``-1/2`` and ``-½`` as numbers."""

    def __init__(self, *arguments: Any, **keywords: Any) -> None:
        """Create the parser with a wider pattern of negative numbers, which argparse otherwise takes for options."""
        super().__init__(*arguments, **keywords)
        self._negative_number_matcher = re.compile(r"-[\d.,¼½¾⅛⅜⅝⅞]")

    def error(self, message: str) -> NoReturn:
        """Print the error, and how to see the options; end with the exit code 2."""
        self.exit(2, f"{self.prog}: error: {message}\n{self.prog} --help shows the options.\n")


def parser() -> argparse.ArgumentParser:
    """Build the parser of all commands."""
    top = Parser(prog="kirtle", description="Drafts the straight skirt from the measurements of a body.", epilog="Output files replace files of the same name.")
    top.add_argument("--version", action="version", version=f"kirtle {__version__}")
    commands = top.add_subparsers(required=True, metavar="COMMAND")
    requests.add_commands(commands)
    charts.add_commands(commands)
    tables.add_commands(commands)
    printed = commands.add_parser("schema", help="print a JSON Schema")
    printed.add_argument("name", choices=SCHEMAS, help="document that the schema describes")
    printed.set_defaults(run=lambda options: json.dumps(schema(options.name), indent=2))
    english = commands.add_parser("texts", help="print the English texts of drawings in JSON, to translate for --texts")
    english.set_defaults(run=lambda _: json.dumps(drawing_texts(), indent=2))
    return top


if __name__ == "__main__":
    sys.exit(main())
