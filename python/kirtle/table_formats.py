"""Table of texts, printed as lines of text, HTML, Markdown or LaTeX."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

LATEX = str.maketrans(
    {letter: f"\\{letter}" for letter in "&%$#_{}"} | {"\\": r"\textbackslash{}", "~": r"\textasciitilde{}", "^": r"\textasciicircum{}"}
    | {letter: f"${letter}$" for letter in "<>"} | {"−": "$-$", "×": r"$\times$", "±": r"$\pm$", "°": r"$^\circ$", "²": "$^2$"}
)
"""Letters that LaTeX does not print as they are."""


@dataclass(frozen=True)
class Table:
    """Table of texts, made by `table`, `darts_by_ease` and `compare_drafts`; `print` and notebooks show it.

    >>> girths = Table("Girths", ("girth", "cm"), [("waist", "75.5"), ("hip", "106.0")])
    >>> print(girths)
    Girths
    girth  cm
    waist  75.5
    hip    106.0
    >>> print(girths.markdown())
    Girths
    <BLANKLINE>
    | girth | cm |
    | --- | --- |
    | waist | 75.5 |
    | hip | 106.0 |
    """

    caption: str
    """Caption of the table."""
    heads: tuple[str, ...]
    """Heads of the columns; empty for a table of names and values."""
    rows: list[tuple[str, ...]]
    """Rows of texts, each with its name first; lengths have their unit, or that of the caption or the head."""
    note: str = ""
    """Sentences below the table; empty if there are none."""

    def _lines(self) -> list[tuple[str, ...]]:
        """Return the heads, if there are any, and the rows."""
        return [self.heads, *self.rows] if self.heads else self.rows

    def __str__(self) -> str:
        """Return the table as lines of text."""
        widths = [max(map(len, column)) for column in zip(*self._lines(), strict=True)]
        lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in self._lines()]
        return "\n".join([self.caption, *lines, *filter(None, [self.note])])

    def html(self) -> str:
        """Return the table as HTML."""
        return html_table(self.caption, self.heads, self.rows, note=self.note)

    def markdown(self) -> str:
        """Return the table as Markdown."""
        heads = self.heads or ("",) * max(map(len, self.rows), default=1)
        cells = [[escape(cell, quote=False).replace("|", r"\|").replace("\n", " ") for cell in row] for row in (heads, ("---",) * len(heads), *self.rows)]
        return "\n".join([self.caption, "", *(f"| {' | '.join(row)} |" for row in cells), *["", self.note] * bool(self.note)])

    def latex(self, label: str = "") -> str:
        """Return the table as LaTeX, a `table` with a `tabular`, which needs no package; ``\\ref`` finds it by its label, if there is one.

        Columns of numbers are aligned on the right.
        """
        caption, note = (text.translate(LATEX) for text in (self.caption, self.note))
        rows = [" & ".join(cell.translate(LATEX) for cell in row) + r" \\" for row in self._lines()]
        rows.insert(bool(self.heads), r"\hline")
        is_number = re.compile(r"|[−+]?\d[\d.,/ ]*(%|°|cm|mm|in|points)?").fullmatch
        columns = "".join("r" if k and all(map(is_number, cells)) else "l" for k, cells in enumerate(zip(*self.rows, strict=True))) or "l" * len(self.heads or "l")
        start = [rf"\begin{{table}}[h]\centering\caption{{{caption}}}" + rf"\label{{{label}}}" * bool(label), rf"\begin{{tabular}}{{{columns}}}"]
        return "\n".join([*start, *rows, r"\end{tabular}", *[rf"\par {note}"] * bool(note), r"\end{table}"])

    _repr_html_, _repr_markdown_, _repr_latex_ = html, markdown, latex


def html_table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]], *, note: str = "", is_html: bool = False) -> str:
    """Return a table as HTML, with a note below; the first cell of each row is its name. With `is_html`, the other cells are HTML already."""
    head = "".join(f'<th scope="col">{escape(text)}</th>' for text in heads)
    body = "".join(
        f'<tr><th scope="row">{escape(name)}</th>'
        + "".join(f"<td>{text if is_html else escape(text)}</td>" for text in cells) + "</tr>"
        for name, *cells in rows
    )
    start = f'<table style="min-width: 22em"><caption>{escape(caption)}</caption>'
    return f"{start}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>" + f"<p>{escape(note)}</p>" * bool(note)
