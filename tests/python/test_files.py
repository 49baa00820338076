"""Files and shells at their limits: full disks, devices and pipes, killed processes, arguments that are no text."""

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
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from conftest import TESTS
from test_table import EASE, people

import kirtle
from kirtle.__main__ import main
from kirtle.files import begin, whole

REQUEST = TESTS / "requests" / "evening-class.json"
KIRTLE = [sys.executable, "-m", "kirtle"]
EASES = ["--waist-ease", "1.5", "--hip-ease", "5"]


@pytest.fixture
def bodies(tmp_path: Path) -> Path:
    path = tmp_path / "bodies.parquet"
    pq.write_table(people(20_000), path)
    return path


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Path]:
    """A folder on a disk of 64 KiB of which most is taken; where none can be mounted, files that may not grow."""
    place = tmp_path / "full"
    place.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", place], capture_output=True, check=False)
    if mounted.returncode == 0:
        (place / "taken").write_bytes(bytes(61_440))
        yield place
        subprocess.run(["umount", place], check=True)
    else:
        limits = resource.getrlimit(resource.RLIMIT_FSIZE)
        (place / "taken").write_bytes(b"")
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, limits[1]))
        yield place
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)


def test_a_full_disk_is_told_and_left_as_it_was(
    full: Path, bodies: Path, draft: kirtle.Draft, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("pattern.pdf", "pattern.svg"):
        with pytest.raises(OSError, match=name) as caught:
            draft.pattern().save(full / name)
        assert caught.value.errno in (errno.ENOSPC, errno.EFBIG)
    said = os.strerror(caught.value.errno or 0)
    for arguments, path in [
        (["draft", REQUEST, "--out", full], full / "result.json"),
        (["pattern", REQUEST, "--out", full / "p.json"], full / "p.json"),
        (["batch", bodies, full / "out.parquet", *EASES], full / "out.parquet"),
        (["fit", "demo", bodies, "--tolerance", "2", *EASES, "--out", full / "fit.parquet"], full / "fit.parquet"),
    ]:
        assert main([str(argument) for argument in arguments]) == 2
        assert capsys.readouterr() == ("", f"{path}: {said}\n")
    assert os.listdir(full) == ["taken"]


@pytest.fixture(params=["pipe", "link to a pipe", "device"])
def special(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """What stands in the place of a file and is none."""
    path, pipe = tmp_path / "there.svg", tmp_path / "pipe"
    if request.param == "pipe":
        os.mkfifo(path)
    elif request.param == "link to a pipe":
        os.mkfifo(pipe)
        path.symlink_to(pipe)
    elif os.getuid() == 0:
        # One of our own: root could do away with that of the system.
        os.mknod(path, stat.S_IFCHR | 0o666, os.makedev(1, 7))
    else:
        path.symlink_to("/dev/full")
    return path


def test_a_device_or_a_pipe_is_left_alone(
    special: Path, bodies: Path, draft: kirtle.Draft, capsys: pytest.CaptureFixture[str]
) -> None:
    mode, known, there = special.stat().st_mode, special.is_symlink(), sorted(os.listdir(special.parent))
    chart = kirtle.SizeChart.demo().draft(ease=EASE)
    for saved in (draft.pattern(), draft.pattern().lay(140), chart):
        with pytest.raises(kirtle.InputError, match="^path: .* is not a place for a file: a device or a pipe is there$"):
            saved.save(special)
    assert main(["batch", str(bodies), str(special), *EASES]) == 2
    assert capsys.readouterr().err == f"{special}: a device or a pipe is there, in the place of a file\n"
    assert (special.stat().st_mode, special.is_symlink()) == (mode, known) and not stat.S_ISREG(mode)
    assert sorted(os.listdir(special.parent)) == there


def test_the_shell_keeps_links_and_permissions(tmp_path: Path) -> None:
    out, far = tmp_path / "out", tmp_path / "far.json"
    out.mkdir()
    far.write_text("old")
    far.chmod(0o604)
    (out / "result.json").symlink_to(Path("..") / "far.json")
    (out / "draft.svg").symlink_to("yet-to-come.svg")
    assert main(["draft", str(REQUEST), "--out", str(out)]) == 0
    assert json.loads(far.read_text())["unit"] == "cm" and stat.S_IMODE(far.stat().st_mode) == 0o604
    assert sorted(os.listdir(out)) == ["draft.svg", "result.json", "yet-to-come.svg"]
    assert (out / "result.json").is_symlink() and (out / "draft.svg").is_symlink()


def test_names_as_long_and_odd_as_a_folder_takes(bodies: Path) -> None:
    for name in ("x" * 255, os.fsdecode(b"\xff\xfe"), " ", "-", "a\nb"):
        out = bodies.parent / name
        assert main(["batch", str(bodies), str(out), *EASES]) == 0
        assert main(["draft", str(REQUEST), "--out", str(bodies.parent / "folder" / name)]) == 0
        with out.open("rb") as written:
            assert pq.read_metadata(written).num_rows == 20_000
    odd = os.fsdecode(os.fsencode(bodies) + b"\xff")
    bodies.rename(odd)
    assert main(["batch", odd, odd, *EASES]) == 0
    assert main(["fit", "demo", odd, "--tolerance", "2", *EASES]) == 2
    svg = bodies.parent / os.fsdecode(b"\xff.svg")
    kirtle.Draft.from_json(REQUEST.read_text()).pattern().save(svg)
    assert svg.read_text().startswith("<svg")
    with pytest.raises(OSError, match="too long"), whole(bodies.parent / ("x" * 256)):
        pass


def waiting(what: Any, seconds: float = 20) -> None:
    """Until something is so."""
    end = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < end, "it does not happen"
        time.sleep(0.002)


@pytest.mark.parametrize("way", [signal.SIGKILL, signal.SIGTERM])
def test_a_process_that_is_killed_leaves_no_half_file(way: signal.Signals, tmp_path: Path) -> None:
    """It is killed while it writes; the next one, even of the same number, finds its way."""
    source, out = tmp_path / "bodies.parquet", tmp_path / "out.parquet"
    pq.write_table(people(400_000), source, row_group_size=70_000)
    out.write_text("mine")
    run = subprocess.Popen([*KIRTLE, "batch", source, out, *EASES, "--outlines", "--threads", "1"])

    def halves() -> list[Path]:
        return list(tmp_path.glob(".kirtle-*.part"))

    waiting(lambda: any(half.stat().st_size > 100_000 for half in halves()))
    run.send_signal(way)
    assert run.wait() == -way and out.read_text() == "mine"
    (half,) = halves()
    assert half.name == f".kirtle-{run.pid}-0.part"
    # As if that one had had the number of this process, and begun as many files.
    free = begin(out)
    count = int(free.stem.split("-")[-1])
    free.unlink()
    half = half.rename(tmp_path / f".kirtle-{os.getpid()}-{count + 1}.part")
    small = tmp_path / "small.parquet"
    pq.write_table(people(10), small)
    assert main(["batch", str(small), str(out), *EASES]) == 0
    assert pq.read_table(out).num_rows == 10 and halves() == [half]


def test_a_process_that_is_killed_while_it_saves_leaves_whole_files(tmp_path: Path) -> None:
    """It writes one file over and over; wherever it is struck, the file is one that it meant."""
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
    meant = {draft.pattern(name=name).to_json() for name in ("Ann", "Bea")}
    for k in range(6):
        run = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE)
        assert run.stdout is not None and run.stdout.readline() == b"ready\n"
        waiting((tmp_path / "p.json").exists)
        time.sleep(0.003 * k)
        run.kill()
        run.communicate()
        assert (tmp_path / "p.json").read_text() in meant
    draft.pattern().save(tmp_path / "p.json")
    assert (tmp_path / "p.json").read_text() == draft.pattern().to_json()


def test_threads_write_one_table(bodies: Path) -> None:
    out, failed = bodies.parent / "out.parquet", list[BaseException]()
    table = pa.table(kirtle.draft_table(pq.read_table(bodies), ease=EASE))

    def write() -> None:
        try:
            for _ in range(5):
                with whole(out) as half:
                    pq.write_table(table, half)
                assert pq.read_metadata(out).num_rows == table.num_rows
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=write) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == [] and sorted(os.listdir(bodies.parent)) == ["bodies.parquet", "out.parquet"]


NUMBER = "1" * 400
DEEP = "[" * 100_000


@pytest.mark.parametrize(("arguments", "said"), [
    (["choose", "demo", "--waist", NUMBER, "--hip", DEEP], 'body.waist: "1111111111111111111111111111111111111111…" is not a'),
    (["correct", REQUEST, "--what", "waist", "--by", NUMBER], 'corrections[0].by: "1111'),
    (["correct", REQUEST, "--what", "waist", "--by", "[" * 50_000], 'corrections[0].by: "[[['),
    (["pattern", REQUEST, "--paper", "\udcff", "--out", "p.pdf"], 'paper: "?" is not A4, A3'),
    (["pattern", REQUEST, "--name", "\udcff"], r'cutting.name: "\u{ffff}" is not a text on one line'),
    (["between", "demo", "--waist", "\udcff", "--hip", "38"], 'blend.waist.from: "?" is none of the sizes 32, 34'),
    (["choose", "demo", "--waist", "\udcff", "--hip", "90"], 'body.waist: "?" is not a number from 40 to 200 cm'),
    (["batch", "bodies.parquet", "o", *EASES, "--threads", "-1"], "threads: -1 is below the minimum of 1"),
    (["batch", "bodies.parquet", "o", *EASES, "--threads", "9" * 40], "threads: 1000000000000000000000000000000000000"),
    (["batch", "bodies.parquet", "o", *EASES, "--threads", "two"], 'threads: "two" is not a whole number from 1 to 1024'),
    (["batch", ".", "o", *EASES], ".: Is a directory"),
    (["batch", "nowhere", "o", *EASES], "nowhere: No such file or directory"),
    (["batch", "bodies.parquet", "no/o", *EASES], "no/o: No such file or directory"),
    (["batch", "bodies.parquet", "/", *EASES], "/: Is a directory"),
    (["fit", "demo", ".", "--tolerance", "1", *EASES], ".: Is a directory"),
    (["draft", "/dev/zero"], "/dev/zero: has more than the 1,048,576 bytes that a request may have"),
    (["choose", "/dev/zero", "--waist", "70", "--hip", "90"], "/dev/zero: has more than the 1,048,576 bytes that a chart may"),
    (["draft", "latin.json"], "request: is not text in UTF-8: byte 13 is 0xeb"),
    (["sizes", "latin.csv"], "chart: is not text in UTF-8: byte 2 is 0xeb"),
    (["draft", REQUEST, "--out", "/proc"], "/proc/result.json: No such file or directory"),
])
def test_every_wrong_argument_is_told_in_one_line(
    arguments: list[Any], said: str, bodies: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(bodies.parent)
    Path("latin.json").write_bytes('{"name": "Zoë"}'.encode("latin-1"))
    Path("latin.csv").write_bytes("nëme,waist".encode("latin-1"))
    there = sorted(os.listdir())
    assert main([str(argument) for argument in arguments]) == 2
    seen = capsys.readouterr()
    assert seen.out == "" and seen.err.startswith(said) and seen.err.endswith("\n")
    assert all(len(line) < 400 for line in seen.err.splitlines()) and sorted(os.listdir()) == there


@pytest.mark.parametrize("command", [["sizes", "a\0b"], ["batch", "a\0b", "o", *EASES], ["draft", "-", "--out", "a\0b"],
                                     ["pattern", "a\0b"], ["choose", "demo", "--waist", "\0", "--hip", "9"]])
def test_no_argument_has_a_zero_byte(command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(command)
    assert caught.value.code == 2 and capsys.readouterr().err.endswith("kirtle: error: no argument has a zero byte\n")


@pytest.mark.parametrize(("run", "status", "said"), [
    ("{kirtle} schema request | head -1", 0, ""),
    ("{kirtle} draft {request} | true", 0, ""),
    ("{kirtle} sizes demo {eases} --grade | head -1", 0, ""),
    ("{kirtle} draft {request} >/dev/full", 2, "standard output: No space left on device\n"),
    ("{kirtle} draft {request} >&-", 0, ""),
    ("{kirtle} draft /nowhere 2>/dev/full", 2, ""),
    ("{kirtle} draft /nowhere 2>&-", 2, ""),
    ("{kirtle} draft - <&-", 2, "kirtle draft: error: standard input is closed\n"),
    ("{kirtle} draft - </dev/zero", 2, "standard input: has more than the 1,048,576 bytes that a request may have\n"),
])
def test_closed_and_full_streams(run: str, status: int, said: str) -> None:
    run = run.format(kirtle=" ".join(KIRTLE), request=REQUEST, eases=" ".join(EASES)) + "; exit ${PIPESTATUS[0]}"
    done = subprocess.run(["bash", "-c", run], capture_output=True, text=True, check=False)
    assert done.returncode == status and done.stderr.endswith(said) and "Traceback" not in done.stderr
    assert said or not done.stderr


@pytest.mark.usefixtures("interrupts")
def test_ctrl_c_ends_a_command_quietly(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "slow")
    run = subprocess.Popen([*KIRTLE, "draft", tmp_path / "slow"], stderr=subprocess.PIPE)
    with (tmp_path / "slow").open("wb"):
        run.send_signal(signal.SIGINT)
        assert run.communicate(timeout=20)[1] == b"" and run.returncode == 130
