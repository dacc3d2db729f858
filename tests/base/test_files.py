"""Files: whole or as before, under names that nobody guesses; one holder; never over what is read."""

from __future__ import annotations

import errno
import os
import re
import secrets
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fitter import demo
from fitter.base import files
from fitter.base.errors import FitterError, InputError

ROOT = demo.folder().parent
POSIX = pytest.mark.skipif(os.name != "posix", reason="modes and links of POSIX")


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def child(code: str, *words: object) -> subprocess.Popen[str]:
    """Process that has printed 'ready' and goes on until it is killed."""
    code = f"import sys; from pathlib import Path; from fitter.base import files\n{code}"
    process = subprocess.Popen(
        [sys.executable, "-c", code, *map(str, words)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=os.environ | {"PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    return process


def end(process: subprocess.Popen[str]) -> None:
    process.kill()
    process.communicate()


def test_bytes_and_words_are_written_and_nothing_is_left(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    files.write_whole(path, b"\x00old")
    assert path.read_bytes() == b"\x00old"
    files.write_whole(path, "naïve\n")
    assert path.read_bytes() == "naïve\n".encode()
    assert names(tmp_path) == ["a.csv"]


def test_a_name_as_long_as_the_file_system_takes(tmp_path: Path) -> None:
    path = tmp_path / ("é" * 125 + ".md")
    files.write_whole(path, "x")
    files.write_whole(path, "y")
    assert path.read_text() == "y"
    assert len(names(tmp_path)) == 1


@POSIX
def test_the_mode_of_a_file_is_kept_and_a_new_one_takes_the_umask(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.csv"
    old = os.umask(0o027)
    try:
        # Files of another thread would take a mask that is changed for a moment.
        monkeypatch.setattr(os, "umask", None)
        files.write_whole(path, "x")
        assert path.stat().st_mode & 0o777 == 0o640
        path.chmod(0o604)
        files.write_whole(path, "y")
        assert path.stat().st_mode & 0o777 == 0o604
    finally:
        monkeypatch.undo()
        os.umask(old)


@POSIX
def test_a_link_planted_at_the_temporary_name_is_not_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not even if the name were guessed; and 'a.csv.writing', which could be, is used no more."""
    victim = tmp_path / "victim"
    victim.write_text("mine")
    for name in ("a.csv.writing", f".a.csv.{'0' * 32}.fitter-part"):
        (tmp_path / name).symlink_to(victim)
    files.write_whole(tmp_path / "a.csv", "x")
    monkeypatch.setattr(secrets, "token_hex", lambda n: "0" * 2 * n)
    with pytest.raises(InputError, match=r"a\.csv cannot be written"):
        files.write_whole(tmp_path / "a.csv", "y")
    assert victim.read_text() == "mine"
    assert (tmp_path / "a.csv").read_text() == "x"


def test_no_two_temporary_names_are_alike(tmp_path: Path) -> None:
    seen = set()
    for _ in range(20):
        with files.writing(tmp_path / "a.csv"):
            (name,) = (n for n in names(tmp_path) if n != "a.csv")
        assert re.fullmatch(r"\.a\.csv\.[0-9a-f]{32}\.fitter-part", name)
        seen.add(name)
    assert len(seen) == 20


@POSIX
def test_a_link_is_refused_with_the_name_of_what_it_leads_to(tmp_path: Path) -> None:
    (tmp_path / "mine.csv").write_text("mine")
    (tmp_path / "out.csv").symlink_to(tmp_path / "mine.csv")
    (tmp_path / "gone.csv").symlink_to(tmp_path / "nowhere.csv")
    for name, target in (("out.csv", "mine.csv"), ("gone.csv", "nowhere.csv")):
        with pytest.raises(InputError, match=re.escape(f"a link to {tmp_path / target}")):
            files.write_whole(tmp_path / name, "x")
    assert (tmp_path / "mine.csv").read_text() == "mine"
    assert (tmp_path / "out.csv").is_symlink()
    assert not (tmp_path / "nowhere.csv").exists()


@POSIX
def test_what_is_no_ordinary_file_or_is_protected_is_refused(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    (tmp_path / "kept").write_text("mine")
    (tmp_path / "kept").chmod(0o444)
    for name, words in (
        ("pipe", "no ordinary file"), ("folder", "a folder"), ("kept", "write-protected"),
        ("no/a.csv", "does not exist"), ("kept/a.csv", "does not exist"),
    ):  # fmt: skip
        with pytest.raises(InputError, match=words):
            files.write_whole(tmp_path / name, "x")
    assert (tmp_path / "kept").read_text() == "mine"
    assert names(tmp_path) == ["folder", "kept", "pipe"]


@pytest.mark.parametrize(("name", "told"), [("a\0.csv", "can be no file's name"), ("a" * 300, "too long")])
def test_a_name_that_no_file_can_have_is_told_before_any_work(name: str, told: str, tmp_path: Path) -> None:
    files.refuse_overwriting([("-o", tmp_path / name)], [("the log", tmp_path / "a.csv")])
    (problem,) = files.unwritable("-o", tmp_path / name)
    assert told in problem.found


@pytest.mark.parametrize("call", ["access", "open"])
def test_a_folder_that_cannot_be_written_is_told(
    call: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Refused beforehand, or by the system at the moment itself; played: a superuser is never refused."""
    path = tmp_path / "a.csv"
    path.write_text("old")

    def refused(*_: object, **__: object) -> bool:
        if call == "access":
            return False
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), "hidden")

    with monkeypatch.context() as patch:
        patch.setattr(os, call, refused)
        with pytest.raises(InputError, match=r"a\.csv cannot be written") as caught:
            files.write_whole(path, "x")
    assert str(path.parent) in str(caught.value)
    assert path.read_text() == "old"


def no_room(*_: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_full_disk_is_a_sentence_and_keeps_the_old_file(
    call: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.csv"
    path.write_text("old")
    monkeypatch.setattr(os, call, no_room)
    with pytest.raises(InputError, match="cannot be written") as caught:
        files.write_whole(path, "new")
    assert os.strerror(errno.ENOSPC) in str(caught.value)
    assert "Make room on the disk" in str(caught.value)
    assert path.read_text() == "old"
    assert names(tmp_path) == ["a.csv"]


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a disk that is always full")
@pytest.mark.parametrize("size", [3, 1_000_000])
def test_a_disk_that_fills_up_while_bytes_are_written(
    size: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, real = tmp_path / "a.csv", os.open
    with monkeypatch.context() as patch:
        patch.setattr(os, "open", lambda name, *rest: real("/dev/full", os.O_WRONLY))
        with pytest.raises(InputError, match=r"a\.csv cannot be written.*\n.*No space"):
            files.write_whole(path, b"x" * size)
    assert names(tmp_path) == []


def test_an_error_inside_the_block_keeps_the_old_file_and_stays_itself(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    files.write_whole(path, "old")
    with pytest.raises(FileNotFoundError, match="elsewhere"), files.writing(path) as file:
        file.write(b"half" + (tmp_path / "elsewhere").read_bytes())
    assert path.read_text() == "old"
    assert names(tmp_path) == ["a.csv"]


def test_what_a_killed_writer_left_is_swept_when_nobody_can_be_writing_it(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("old")
    code = (
        "whole = files.writing(Path(sys.argv[1])); whole.__enter__().write(b'x' * 10_000_000)\n"
        "print('ready', flush=True); sys.stdin.read()"
    )
    end(child(code, path))
    assert path.read_text() == "old"
    (left,) = (n for n in names(tmp_path) if n != "a.csv")
    files.write_whole(path, "new")
    assert names(tmp_path) == [left, "a.csv"]
    os.utime(tmp_path / left, (0, 0))
    files.write_whole(tmp_path / "b.csv", "a file of another name")
    assert left in names(tmp_path)
    files.write_whole(path, "newer")
    assert names(tmp_path) == ["a.csv", "b.csv"]


def test_a_writer_killed_at_whatever_point_leaves_a_whole_file(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    contents = [b"0" * 200_000, b"1" * 200_000]
    files.write_whole(path, contents[0])
    code = (
        "print('ready', flush=True)\n"
        "while True:\n"
        "    for digit in (b'0', b'1'): files.write_whole(Path(sys.argv[1]), digit * 200_000)"
    )
    for _ in range(4):
        writer = child(code, path)
        seen = [path.read_bytes() for _ in range(20)]
        end(writer)
        assert {*seen, path.read_bytes()} <= set(contents)
    files.sweep(tmp_path, older_s=0.0)
    assert names(tmp_path) == ["a.csv"]


@POSIX
def test_the_sweep_touches_nothing_else(tmp_path: Path) -> None:
    old = f".a.csv.{'0' * 32}.fitter-part"
    for name in ("a.csv", "a.csv.part", ".a.csv.0123.fitter-part", ".a.csv.writing", old + "x"):
        (tmp_path / name).write_text("mine")
        os.utime(tmp_path / name, (0, 0))
    (tmp_path / old).symlink_to(tmp_path / "a.csv")
    before = names(tmp_path)
    files.sweep(tmp_path, older_s=0.0)
    files.sweep(tmp_path / "nowhere")
    assert names(tmp_path) == before


def test_the_second_is_told_who_holds_it_and_a_killed_holder_lets_go(tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    code = (
        "lock = files.hold(Path(sys.argv[1]), 'fitter batch'); lock.__enter__()\n"
        "print('ready', flush=True); sys.stdin.read()"
    )
    holder = child(code, path)
    try:
        with pytest.raises(files.Busy) as caught:
            files.hold(tmp_path / "x" / ".." / "out.csv", "me").__enter__()
        assert caught.value.holder is not None
        assert caught.value.holder.pid == holder.pid
        assert isinstance(caught.value, FitterError)
        assert caught.value.exit_code == 2
        assert f"fitter batch, process {holder.pid}, since 20" in str(caught.value)
        with files.hold(tmp_path / "other.csv", "me"):
            pass
    finally:
        end(holder)
    for _ in range(2):
        with files.hold(path, "me"), pytest.raises(files.Busy, match=f"me, process {os.getpid()}"):
            files.hold(path, "me again").__enter__()
    assert names(tmp_path) == []


@POSIX
def test_a_file_is_held_under_all_its_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    monkeypatch.chdir(tmp_path / "real")
    with files.hold(tmp_path / "real" / "out.csv", "one"):
        for other in (tmp_path / "link" / "out.csv", Path("out.csv"), Path("../link/out.csv")):
            with pytest.raises(files.Busy, match="one, process"):
                files.hold(other, "two").__enter__()


def test_a_state_folder_that_cannot_be_made_is_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    with pytest.raises(InputError, match="XDG_STATE_HOME"):
        files.hold(tmp_path / "out.csv", "me").__enter__()


def test_the_state_folder_follows_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    assert files.state_folder() == tmp_path / "fitter"


def by_path(folder: Path) -> Path:
    return folder / "log.csv"


def by_relative(folder: Path) -> Path:
    return Path(os.path.relpath(folder / "x" / ".." / "log.csv"))


def by_link(folder: Path) -> Path:
    (folder / "link.csv").symlink_to(folder / "log.csv")
    return folder / "link.csv"


def by_hard_link(folder: Path) -> Path:
    os.link(folder / "log.csv", folder / "hard.csv")
    return folder / "hard.csv"


def by_folder_link(folder: Path) -> Path:
    (folder / "way").symlink_to(folder)
    return folder / "way" / "log.csv"


@POSIX
@pytest.mark.parametrize("way", [by_path, by_relative, by_link, by_hard_link, by_folder_link])
def test_an_output_that_is_an_input_is_refused_by_whatever_name(
    way: Callable[[Path], Path], tmp_path: Path
) -> None:
    log = tmp_path / "log.csv"
    log.write_text("mine")
    (tmp_path / "x").mkdir()
    other = way(tmp_path)
    for output, given in ((other, log), (log, other)):
        inputs = [("the kit's", tmp_path / "heads.csv"), ("the log", given)]
        with pytest.raises(InputError) as caught:
            files.refuse_overwriting([("-o", output)], inputs)
        assert [p.found for p in caught.value.problems] == [f"{output}, which is the log {given}"]
    files.refuse_overwriting([("-o", tmp_path / "new.csv")], [("the log", log)])


def test_everything_that_would_be_overwritten_is_told_at_once(tmp_path: Path) -> None:
    a, b, c = (tmp_path / n for n in ("a.csv", "b.csv", "c.csv"))
    with pytest.raises(InputError) as caught:
        files.refuse_overwriting([("-o", a), ("--map-file", c), ("--sheets", c)], [("the log", a), ("x", b)])
    assert [(p.where, p.found) for p in caught.value.problems] == [
        ("-o", f"{a}, which is the log {a}"),
        ("--sheets", f"{c}, which is --map-file {c}"),
    ]


def test_capital_letters_count_where_the_file_system_counts_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "Log.csv").write_text("mine")
    folds = (tmp_path / "lOG.CSV").exists()
    assert files.same(tmp_path / "Log.csv", tmp_path / "LOG.csv") is folds
    assert files.same(tmp_path / "New.csv", tmp_path / "new.csv") is folds
    monkeypatch.setattr(files, "_folds", lambda _: True)
    assert files.same(tmp_path / "New.csv", tmp_path / "new.csv")
    assert not files.same(tmp_path / "New.csv", tmp_path / "newer.csv")
