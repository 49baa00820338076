"""Names printed on the pieces: which are accepted, and that they are printed as given."""

import io
import json
import unicodedata
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from pypdf import PdfReader

import kirtle

REQUEST = Draft202012Validator(kirtle.schema("request"))
BODY = {"waist": 72, "hip": 98, "hip_depth": 20, "length": 60}

NOT_ONE_LINE = {
    "a line feed": "Ann\nBea", "a line feed at the end": "Ann\n", "a carriage return": "\rAnn", "a tab": "Ann\tBea",
    "a zero byte": "Ann\0", "an escape": "\x1b[31m", "a deletion": "Ann\x7f", "a next line": "Ann\x85",
    "a line separator": "Ann\u2028Bea", "a paragraph separator": "Ann\u2029", "left to right embedding": "\u202aAnn",
    "right to left override": "Ann\u202eBea", "an isolate": "\u2066Ann", "the end of an isolate": "Ann\u2069",
    "a swapped byte order mark": "\ufffe", "no character": "Ann\uffff", "no character either": "\ufdd0Ann",
}


def request_of(name: object) -> dict[str, Any]:
    return {"unit": "cm", "body": BODY, "ease": {"waist": 1.5, "hip": 5}, "cutting": {"name": name}}


@pytest.mark.parametrize("name", NOT_ONE_LINE.values(), ids=NOT_ONE_LINE.keys())
def test_a_name_that_is_not_one_printable_line_is_refused(draft: kirtle.Draft, name: str) -> None:
    calls: list[Callable[[], object]] = [
        lambda: draft.pattern(name=name), lambda: kirtle.Pattern.from_json(json.dumps(request_of(name))),
    ]
    for call in calls:
        with pytest.raises(kirtle.InputError, match="is not a text on one line$") as caught:
            call()
        (problem,) = caught.value.problems
        assert (problem.code, problem.field) == ("wrong_type", "cutting.name") and str(caught.value).isprintable()


@pytest.mark.parametrize("name", [*NOT_ONE_LINE.values(), "x" * 61, "漢" * 61, 44, None, ["Ann"]], ids=ascii)
def test_the_schema_refuses_the_same_names(name: object) -> None:
    assert not REQUEST.is_valid(request_of(name)) and REQUEST.is_valid(request_of("Ann"))


def test_a_lone_surrogate_is_refused_and_not_replaced(draft: kirtle.Draft) -> None:
    with pytest.raises(kirtle.InputError, match="cutting.name"):
        draft.pattern(name="Ann \ud83d")


def test_every_accepted_name_is_kept_and_printed(draft: kirtle.Draft) -> None:
    counts = {True: 0, False: 0}  # by whether the name is accepted

    @settings(max_examples=300, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
    @given(st.text(max_size=62) | st.text("\\'\"{}$%&<>\u200b\u200e é\u0301漢😀\U000e0041", max_size=60))
    def check(name: str) -> None:
        accepted = REQUEST.is_valid(request_of(name)) and not name.endswith("\n")
        counts[accepted] += 1
        if not accepted:
            with pytest.raises(kirtle.InputError):
                draft.pattern(name=name)
            return
        pattern = draft.pattern(name=name)
        assert pattern.name == name and eval(repr(pattern), vars(kirtle)) == pattern
        assert kirtle.Pattern.from_json(json.dumps(request_of(name))) == pattern
        words = [element.text for element in ElementTree.fromstring(pattern.svg()).iter()]
        # A name without visible letters is replaced by waist and hip.
        assert words.count(name) >= 2 or words.count("waist 72.0, hip 98.0 cm") == 2 and not any(map(is_visible, name))
        assert pattern.dxf().isascii() and pattern.pdf().startswith(b"%PDF-1.7")

    check()
    assert min(counts.values()) > 30


def is_visible(letter: str) -> bool:
    return unicodedata.category(letter)[0] not in "ZC"


LETTERS = [chr(code) for code in [*range(0x20, 0x2400), *range(0x4E00, 0x4E80), 0xFB01, 0xFEFF, 0xFFFD, 0x1F600]]


def test_each_letter_is_printed_or_reported_as_missing_in_the_pdf_font(draft: kirtle.Draft) -> None:
    """Every letter alone either causes a finding or can be read from the PDF."""
    names = [letter for letter in LETTERS if REQUEST.is_valid(request_of(letter)) and is_visible(letter)]
    unprinted = [letter for letter in names if draft.pattern(name=letter).findings]
    printed = sorted(set(names) - set(unprinted))
    assert len(unprinted) > 5_000 and len(printed) > 500 and set("一אก😀") < set(unprinted) and set("éŁΩЖ№€") < set(printed)
    for start in range(0, len(printed), 60):
        letters = printed[start : start + 60]
        pattern = draft.pattern(name="".join(letters))
        assert pattern.findings == [] and letters_of_pdf(pattern.pdf(paper="A0")) >= set(letters), letters
    for letters in (unprinted[:60], unprinted[-60:]):
        (finding,) = draft.pattern(name="".join(["Ann", *letters])[:60]).findings
        assert (finding.code, finding.panel) == ("name_not_printed", "both")
        assert (finding.measured, finding.limit, finding.unit) == (57, 0, "count")
        assert not letters_of_pdf(draft.pattern(name="".join(letters)).pdf(paper="A0")) & set(letters)


def letters_of_pdf(pdf: bytes) -> set[str]:
    """Returns the letters to which the font of a PDF maps its glyphs."""
    page: Any = PdfReader(io.BytesIO(pdf)).pages[0]
    table = page["/Resources"]["/Font"]["/F"]["/ToUnicode"].get_data().decode("ascii")
    pairs = [line.split() for line in table.splitlines() if line.startswith("<") and line.count("<") == 2]
    return {bytes.fromhex(unicode.strip("<>")).decode("utf-16-be") for _, unicode in pairs}
