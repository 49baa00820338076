"""Files and shells at their limits: full disks, devices, pipes, killed processes, arguments that are not text."""

import errno
import json
import os
import resource
import signal
import stat
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from conftest import TESTS
from test_table import EASE, people

import kirtle
from kirtle.__main__ import main
from kirtle._kirtle import new_partial
from kirtle.files import atomic_write

REQUEST = TESTS / "requests" / "evening-class.json"
KIRTLE = [sys.executable, "-m", "kirtle"]
EASES = ["--waist-ease", "1.5", "--hip-ease", "5"]


@pytest.fixture
def bodies(tmp_path: Path) -> Path:
    path = tmp_path / "bodies.parquet"
    pq.write_table(people(20_000), path)
    return path


@pytest.fixture
def full_folder(tmp_path: Path) -> Iterator[Path]:
    """Yields a folder on a mounted disk of 64 KiB with 4 KiB free; without the right to mount, files are limited to 4 KiB."""
    folder = tmp_path / "full"
    folder.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", folder], capture_output=True, check=False)
    if mounted.returncode == 0:
        (folder / "taken").write_bytes(bytes(61_440))
        yield folder
        subprocess.run(["umount", folder], check=True)
    else:
        limits = resource.getrlimit(resource.RLIMIT_FSIZE)
        (folder / "taken").write_bytes(b"")
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, limits[1]))
        yield folder
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)


def test_a_full_disk_is_reported_and_no_file_is_left(
    full_folder: Path, bodies: Path, draft: kirtle.Draft, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("pattern.pdf", "pattern.svg"):
        with pytest.raises(OSError, match=name) as caught:
            draft.pattern().save(full_folder / name)
        assert caught.value.errno in (errno.ENOSPC, errno.EFBIG)
    reason = os.strerror(caught.value.errno or 0)
    for arguments, path in [
        (["draft", REQUEST, "--out", full_folder], full_folder / "result.json"),
        (["pattern", REQUEST, "--out", full_folder / "p.json"], full_folder / "p.json"),
        (["batch", bodies, full_folder / "out.parquet", *EASES], full_folder / "out.parquet"),
        (["fit", "demo", bodies, "--tolerance", "2", *EASES, "--out", full_folder / "fit.parquet"], full_folder / "fit.parquet"),
    ]:
        assert main([str(argument) for argument in arguments]) == 2
        assert capsys.readouterr() == ("", f"{path}: {reason}\n")
    assert os.listdir(full_folder) == ["taken"]


@pytest.fixture(params=["pipe", "link to a pipe", "device"])
def special_file(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """Creates a pipe, a link to a pipe, or a device where a regular file is expected; returns its path."""
    path, pipe = tmp_path / "special.svg", tmp_path / "pipe"
    if request.param == "pipe":
        os.mkfifo(path)
    elif request.param == "link to a pipe":
        os.mkfifo(pipe)
        path.symlink_to(pipe)
    elif os.getuid() == 0:
        # A device node of our own, as the tests run by root could delete /dev/full.
        os.mknod(path, stat.S_IFCHR | 0o666, os.makedev(1, 7))
    else:
        path.symlink_to("/dev/full")
    return path


def test_a_device_or_a_pipe_is_left_alone(
    special_file: Path, bodies: Path, draft: kirtle.Draft, capsys: pytest.CaptureFixture[str]
) -> None:
    mode, is_link, names = special_file.stat().st_mode, special_file.is_symlink(), sorted(os.listdir(special_file.parent))
    nest = kirtle.SizeChart.demo().draft(ease=EASE).nest()
    for saved in (draft.pattern(), draft.pattern().lay(140), nest):
        message = "^path: .* is not the path of a regular file: a device or pipe has that name; choose another name$"
        with pytest.raises(kirtle.InputError, match=message):
            saved.save(special_file)
    assert sorted(os.listdir(special_file.parent)) == names
    out = special_file.rename(special_file.with_suffix(".parquet"))
    assert main(["batch", str(bodies), str(out), *EASES]) == 2
    assert capsys.readouterr().err == f"{out}: this is a device or a pipe, not a file\n"
    assert (out.stat().st_mode, out.is_symlink()) == (mode, is_link) and not stat.S_ISREG(mode)
    assert len(os.listdir(out.parent)) == len(names)


def test_the_command_line_keeps_links_and_permissions(tmp_path: Path) -> None:
    out, far = tmp_path / "out", tmp_path / "far.json"
    out.mkdir()
    far.write_text("old")
    far.chmod(0o604)
    (out / "result.json").symlink_to(Path("..") / "far.json")
    (out / "draft.svg").symlink_to("yet-to-come.svg")
    assert main(["draft", str(REQUEST), "--out", str(out)]) == 0
    assert json.loads(far.read_text())["unit"] == "cm" and stat.S_IMODE(far.stat().st_mode) == 0o604
    assert sorted(os.listdir(out)) == ["draft.svg", "request.json", "result.json", "yet-to-come.svg"]
    assert (out / "result.json").is_symlink() and (out / "draft.svg").is_symlink()


def test_long_and_unusual_file_names_are_written(bodies: Path) -> None:
    for name in ("x" * 255, os.fsdecode(b"\xff\xfe"), " ", "-", "a\nb"):
        out = bodies.parent / name
        assert main(["batch", str(bodies), str(out), *EASES]) == 0
        assert main(["draft", str(REQUEST), "--out", str(bodies.parent / "folder" / name)]) == 0
        with out.open("rb") as written:
            assert pq.read_metadata(written).num_rows == 20_000
    odd, drafts = (os.fsdecode(os.fsencode(bodies) + end) for end in (b"\xff", b"\xfe"))
    bodies.rename(odd)
    assert main(["batch", odd, drafts, *EASES]) == 0
    assert main(["fit", "demo", odd, "--tolerance", "2", *EASES]) == 0
    assert main(["fit", "demo", drafts, "--tolerance", "2", *EASES]) == 2
    svg = bodies.parent / os.fsdecode(b"\xff.svg")
    kirtle.Draft.from_json(REQUEST.read_text()).pattern().save(svg)
    assert svg.read_text().startswith("<svg")
    with pytest.raises(OSError, match="too long"), atomic_write(bodies.parent / ("x" * 256)):
        pass


def wait_until(condition: Callable[[], bool], seconds: float = 20) -> None:
    """Waits until the condition holds; fails after `seconds`."""
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end, f"the condition does not hold within {seconds} s"
        time.sleep(0.002)


@pytest.mark.parametrize("signal_", [signal.SIGKILL, signal.SIGTERM])
def test_a_process_that_is_killed_leaves_the_old_file_whole(signal_: signal.Signals, tmp_path: Path) -> None:
    """The signal comes while the file is written. The partial file does not block a later process with the same number."""
    source, out = tmp_path / "bodies.parquet", tmp_path / "out.parquet"
    pq.write_table(people(400_000), source, row_group_size=70_000)
    out.write_text("mine")
    run = subprocess.Popen([*KIRTLE, "batch", source, out, *EASES, "--outlines", "--threads", "1"])

    def partial_files() -> list[Path]:
        return list(tmp_path.glob(".kirtle-*.part"))

    wait_until(lambda: any(partial.stat().st_size > 100_000 for partial in partial_files()))
    run.send_signal(signal_)
    assert run.wait() == -signal_ and out.read_text() == "mine"
    (partial,) = partial_files()
    assert partial.name == f".kirtle-{run.pid}-0.part"
    # Rename the partial file to the name that this process would use next.
    latest = new_partial(out)
    count = int(latest.stem.split("-")[-1])
    latest.unlink()
    partial = partial.rename(tmp_path / f".kirtle-{os.getpid()}-{count + 1}.part")
    small = tmp_path / "small.parquet"
    pq.write_table(people(10), small)
    assert main(["batch", str(small), str(out), *EASES]) == 0
    assert pq.read_table(out).num_rows == 10 and partial_files() == [partial]


def test_a_process_that_is_killed_while_it_saves_leaves_a_whole_file(tmp_path: Path) -> None:
    """A process saves two patterns in turn under one name; when it is killed, the file holds one of the two."""
    code = f"""
import kirtle
draft = kirtle.Draft.from_json(open({str(REQUEST)!r}).read())
patterns = [draft.pattern(name=name) for name in ("Ann", "Bea")]
print("ready", flush=True)
while True:
    for pattern in patterns:
        pattern.save({str(tmp_path / "p.json")!r})
"""
    draft = kirtle.Draft.from_json(REQUEST.read_text())
    documents = {draft.pattern(name=name).to_json() for name in ("Ann", "Bea")}
    for k in range(6):
        run = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE)
        assert run.stdout is not None and run.stdout.readline() == b"ready\n"
        wait_until((tmp_path / "p.json").exists)
        time.sleep(0.003 * k)
        run.kill()
        run.communicate()
        assert (tmp_path / "p.json").read_text() in documents
    draft.pattern().save(tmp_path / "p.json")
    assert (tmp_path / "p.json").read_text() == draft.pattern().to_json()


def test_four_threads_write_the_same_table(bodies: Path) -> None:
    out, errors = bodies.parent / "out.parquet", list[BaseException]()
    table = pa.table(kirtle.draft_table(pq.read_table(bodies), ease=EASE))

    def write() -> None:
        try:
            for _ in range(5):
                with atomic_write(out) as partial:
                    pq.write_table(table, partial)
                assert pq.read_metadata(out).num_rows == table.num_rows
        except BaseException as error:
            errors.append(error)

    threads = [threading.Thread(target=write) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == [] and sorted(os.listdir(bodies.parent)) == ["bodies.parquet", "out.parquet"]


LONG_NUMBER = "1" * 400
DEEP_NESTING = "[" * 100_000


@pytest.mark.parametrize(("arguments", "message"), [
    (["choose", "demo", "--waist", LONG_NUMBER, "--hip", DEEP_NESTING], '--waist: "1111111111111111111111111111111111111111…" is not a number'),
    (["correct", REQUEST, "--what", "waist", "--by", LONG_NUMBER], '--by: "1111'),
    (["correct", REQUEST, "--what", "waist", "--by", "[" * 50_000], '--by: "[[['),
    (["pattern", REQUEST, "--paper", "\udcff", "--out", "p.pdf"], '--paper: "?" is not A4, A3'),
    (["lesson", REQUEST, "--name", "\udcff"], r'--name: "\u{ffff}" is not a text on one line'),
    (["between", "demo", "--waist", "\udcff", "--hip", "38"], '--waist "?" is not a size of this chart. Its sizes are 32, 34'),
    (["choose", "demo", "--waist", "\udcff", "--hip", "90"], '--waist: "?" is not a number from 40 to 200 cm'),
    (["batch", "bodies.parquet", "o", *EASES, "--threads", "-1"], "--threads -1 is too small (at least 1)."),
    (["batch", "bodies.parquet", "o", *EASES, "--threads", "9" * 40], "--threads 1e+40 is too large (at most 1024)."),
    (["batch", "bodies.parquet", "o", *EASES, "--threads", "two"], '--threads: "two" is not a whole number from 1 to 1024'),
    (["batch", "nowhere", "o", *EASES], "nowhere: No such file or directory"),
    (["batch", "bodies.parquet", "no/o", *EASES], "no/o: No such file or directory"),
    (["batch", "bodies.parquet", "/", *EASES], "/: Is a directory"),
    (["draft", "/dev/zero"], "/dev/zero: too long: a request has at most 1,048,576 bytes"),
    (["choose", "/dev/zero", "--waist", "70", "--hip", "90"], "/dev/zero: too long: a chart has at most 1,048,576 bytes"),
    (["draft", "latin.json"], "latin.json: not a text in UTF-8: line 1 has the byte 0xeb; save it as UTF-8\n"),
    (["sizes", "latin.csv"], 'latin.csv: not a text in UTF-8: line 1 has the byte 0xeb; save it as UTF-8, in a spreadsheet as "CSV UTF-8"\n'),
    (["draft", REQUEST, "--out", "/proc"], "/proc/result.json: No such file or directory"),
])
def test_every_invalid_argument_is_reported_in_one_line(
    arguments: list[Any], message: str, bodies: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(bodies.parent)
    Path("latin.json").write_bytes('{"name": "Zoë"}'.encode("latin-1"))
    Path("latin.csv").write_bytes("nëme,waist".encode("latin-1"))
    names = sorted(os.listdir())
    assert main([str(argument) for argument in arguments]) == 2
    printed = capsys.readouterr()
    assert printed.out == "" and printed.err.startswith(message) and printed.err.endswith("\n")
    assert all(len(line) < 400 for line in printed.err.splitlines()) and sorted(os.listdir()) == names


@pytest.mark.parametrize("command", [["sizes", "a\0b"], ["batch", "a\0b", "o", *EASES], ["draft", "-", "--out", "a\0b"],
                                     ["pattern", "a\0b"], ["choose", "demo", "--waist", "\0", "--hip", "9"]])
def test_a_zero_byte_in_an_argument_is_refused(command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(command)
    assert caught.value.code == 2 and capsys.readouterr().err.startswith("kirtle: error: an argument holds a zero byte\n")


@pytest.mark.parametrize(("command", "status", "message"), [
    ("{kirtle} schema request | head -1", 0, ""),
    ("{kirtle} draft {request} | true", 0, ""),
    ("{kirtle} sizes demo {eases} --grade | head -1", 0, ""),
    ("{kirtle} draft {request} >/dev/full", 2, "standard output: No space left on device\n"),
    ("{kirtle} draft {request} >&-", 0, ""),
    ("{kirtle} draft /nowhere 2>/dev/full", 2, ""),
    ("{kirtle} draft /nowhere 2>&-", 2, ""),
    ("{kirtle} draft - <&-", 2, "kirtle draft: error: standard input is closed\n"),
    ("{kirtle} draft - </dev/zero", 2, "standard input: too long: a request has at most 1,048,576 bytes\n"),
])
def test_closed_and_full_standard_streams_end_without_traceback(command: str, status: int, message: str) -> None:
    script = command.format(kirtle=" ".join(KIRTLE), request=REQUEST, eases=" ".join(EASES)) + "; exit ${PIPESTATUS[0]}"
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False)
    assert done.returncode == status and message in done.stderr and "Traceback" not in done.stderr
    assert message or not done.stderr


@pytest.mark.usefixtures("sigint_enabled")
def test_ctrl_c_ends_a_command_quietly(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "slow")
    run = subprocess.Popen([*KIRTLE, "draft", tmp_path / "slow"], stderr=subprocess.PIPE)
    with (tmp_path / "slow").open("wb"):
        run.send_signal(signal.SIGINT)
        assert run.communicate(timeout=20)[1] == b"" and run.returncode == 130
