"""Files are written completely or not at all, whatever was there and whoever else writes."""

import errno
import os
import resource
import stat
import threading
from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest

import kirtle


@pytest.fixture
def pattern(draft: kirtle.Draft) -> kirtle.Pattern:
    return draft.pattern(name="Zoë Ζωή Жанна №44", preset="garment")


FORMATS: dict[str, Callable[[kirtle.Pattern], bytes]] = {
    "pattern.pdf": lambda pattern: pattern.pdf(),
    "PATTERN.PDF": lambda pattern: pattern.pdf(),
    "pattern.v2.svg": lambda pattern: pattern.svg().encode(),
    "pattern.Dxf": lambda pattern: pattern.dxf().encode("ascii"),
    "Schnittmuster für Ζωή.json": lambda pattern: pattern.to_json().encode(),
}


@pytest.mark.parametrize("name", FORMATS)
def test_the_ending_of_the_name_selects_the_format(pattern: kirtle.Pattern, name: str, tmp_path: Path) -> None:
    for path in (tmp_path / name, str(tmp_path / name)):
        pattern.save(path)
        assert (tmp_path / name).read_bytes() == FORMATS[name](pattern)
    assert os.listdir(tmp_path) == [name]


def test_every_result_that_saves_a_pdf_returns_its_bytes(draft: kirtle.Draft, pattern: kirtle.Pattern, tmp_path: Path) -> None:
    sizes = kirtle.SizeChart.demo().draft(ease=kirtle.Ease(waist=1.5, hip=5))
    for result in (pattern.lay(140), draft.lesson(name="Ann"), sizes.alter(draft.body), sizes.nest(["38", "40"])):
        result.save(tmp_path / "result.pdf")
        assert (tmp_path / "result.pdf").read_bytes() == result.pdf()
    words = pypdfium2.PdfDocument(draft.pdf(paper="A0", unit="in"))[0].get_textpage().get_text_range()
    assert "hem 9 3/4 in" in words


def test_texts_are_in_the_requested_unit(pattern: kirtle.Pattern, tmp_path: Path) -> None:
    for ending in ("pdf", "svg", "dxf", "json"):
        pattern.save(tmp_path / f"in.{ending}", unit="in", paper="roll 36 in")
    assert (tmp_path / "in.json").read_text() == pattern.to_json("in") != pattern.to_json("cm")
    pdf_text = pypdfium2.PdfDocument(tmp_path / "in.pdf")[0].get_textpage().get_text_range()
    for text in (pdf_text, pattern.svg("in"), (tmp_path / "in.dxf").read_text()):
        assert "zip opening ends here, 7 7/8 in" in text


@pytest.mark.parametrize(("name", "paper", "message"), [
    ("pattern.txt", "A4", "^path: .* ends with .pdf, .svg, .dxf or .json$"),
    ("pattern", "A4", "^path: .* ends with"), ("pdf", "A4", "^path: .* ends with"),
    ("pattern.pdf", "foolscap", '^paper: "foolscap" is not A4, A3, '),
    ("pattern.pdf", "12 x 15 cm", "^paper: margins and overlap leave only 90 x 120 mm"),
    ("pattern.pdf", "9 x 30 cm", "^paper.side: 90 mm is below the minimum of 100 mm"),
    ("pattern.pdf", "roll 500 cm", "^paper.side: 5000 mm is above the maximum of 4000 mm"),
])
def test_a_refused_save_leaves_the_old_file(
    pattern: kirtle.Pattern, name: str, paper: str, message: str, tmp_path: Path
) -> None:
    (tmp_path / name).write_text("mine")
    with pytest.raises(kirtle.InputError, match=message):
        pattern.save(tmp_path / name, paper=paper)
    assert os.listdir(tmp_path) == [name] and (tmp_path / name).read_text() == "mine"


@pytest.mark.parametrize(("path", "error_number"), [
    ("no/such/folder/pattern.pdf", errno.ENOENT), ("file/pattern.svg", errno.ENOTDIR), ("folder.dxf", errno.EISDIR),
    ("/proc/pattern.json", errno.ENOENT), ("x" * 300 + ".json", errno.ENAMETOOLONG),
])
def test_an_operating_system_error_names_the_path(
    pattern: kirtle.Pattern, path: str, error_number: int, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("mine")
    (tmp_path / "folder.dxf").mkdir()
    with pytest.raises(OSError) as caught:
        pattern.save(tmp_path / path)
    assert (caught.value.errno, str(caught.value.filename)) == (error_number, str(tmp_path / path))
    assert sorted(os.listdir(tmp_path)) == ["file", "folder.dxf"] and (tmp_path / "file").read_text() == "mine"
    assert os.listdir(tmp_path / "folder.dxf") == []


def test_a_file_size_limit_leaves_the_old_file(pattern: kirtle.Pattern, tmp_path: Path) -> None:
    path = tmp_path / "pattern.pdf"
    path.write_text("mine")
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, limits[1]))
    try:
        with pytest.raises(OSError, match="pattern.pdf") as caught:
            pattern.save(path)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    assert caught.value.errno == errno.EFBIG
    assert os.listdir(tmp_path) == ["pattern.pdf"] and path.read_text() == "mine"


def test_concurrent_readers_only_see_whole_files(draft: kirtle.Draft, tmp_path: Path) -> None:
    """Six threads save two patterns under one name while three threads read the file."""
    path = tmp_path / "pattern.json"
    patterns = [draft.pattern(name=name, hem=hem) for name, hem in (("Ann", 1), ("Bea", 9))]
    documents, seen, errors = {pattern.to_json() for pattern in patterns}, set[str](), list[object]()
    patterns[0].save(path)
    writing_done = threading.Event()

    def write(first: int) -> None:
        try:
            for k in range(60):
                patterns[(first + k) % 2].save(path)
        except OSError as error:
            errors.append(error)

    def read() -> None:
        while not writing_done.is_set():
            text = path.read_text()
            seen.add(text if text in documents else f"a partial file that ends in {text[-40:]}")

    readers = [threading.Thread(target=read) for _ in range(3)]
    writers = [threading.Thread(target=write, args=(first,)) for first in range(6)]
    for thread in readers + writers:
        thread.start()
    for thread in writers:
        thread.join()
    writing_done.set()
    for thread in readers:
        thread.join()
    assert errors == [] and seen == documents
    assert os.listdir(tmp_path) == ["pattern.json"] and path.read_text() in documents


@pytest.mark.parametrize("target_exists", [True, False])
def test_a_link_stays_a_link(pattern: kirtle.Pattern, target_exists: bool, tmp_path: Path) -> None:
    """The link leads over a second link to a file in another folder, which may not exist yet."""
    (tmp_path / "far").mkdir()
    target, middle, link = tmp_path / "far" / "kept.svg", tmp_path / "middle.svg", tmp_path / "link.svg"
    if target_exists:
        target.write_text("old")
    middle.symlink_to(Path("far") / "kept.svg")
    link.symlink_to(middle)
    for saved in (pattern, pattern.lay(140)):
        saved.save(link)
        assert link.is_symlink() and middle.is_symlink() and not target.is_symlink()
        assert target.read_text() == saved.svg()
    assert sorted(os.listdir(tmp_path)) == ["far", "link.svg", "middle.svg"]
    assert os.listdir(tmp_path / "far") == ["kept.svg"]


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755, 0o444])
def test_an_overwritten_file_keeps_its_permissions(pattern: kirtle.Pattern, mode: int, tmp_path: Path) -> None:
    path = tmp_path / "pattern.dxf"
    path.write_text("mine")
    path.chmod(mode)
    pattern.save(path)
    assert stat.S_IMODE(path.stat().st_mode) == mode and path.read_text() == pattern.dxf()


def test_a_new_file_gets_the_permissions_of_the_umask(pattern: kirtle.Pattern, tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        pattern.save(tmp_path / "pattern.svg")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "pattern.svg").stat().st_mode) == 0o640


@pytest.mark.parametrize("name", ["a\0b.svg", "\0.pdf", "pattern.json\0", "pattern\0.json/x.json"])
def test_a_path_with_a_zero_byte_is_refused(pattern: kirtle.Pattern, name: str, tmp_path: Path) -> None:
    for saved in (pattern, pattern.lay(140)):
        for path in (str(tmp_path / name), tmp_path / name):
            with pytest.raises(kirtle.InputError, match="^path: .* is not a file name without a zero byte$") as caught:
                saved.save(path)
            assert [problem.field for problem in caught.value.problems] == ["path"]
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("name", [
    "x" * 251 + ".svg", "漢" * 83 + ".json", "." * 200 + "x.dxf", " .svg", "-.svg", "a\nb.svg",
])
def test_long_and_unusual_file_names_are_written(pattern: kirtle.Pattern, name: str, tmp_path: Path) -> None:
    for _ in range(2):
        pattern.save(tmp_path / name)
        assert os.listdir(tmp_path) == [name] and (tmp_path / name).stat().st_size > 1_000
