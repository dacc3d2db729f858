"""The command as a process: exit codes, streams that fail, and no traceback whatever happens."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Mapping
from typing import Any

import pytest

from fitter import demo
from fitter.cli.main import COMMANDS
from tests.support import GUARD_S

ROOT = demo.folder().parent
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT)}


def fitter(*words: str, env: Mapping[str, str] = {}, **streams: Any) -> subprocess.CompletedProcess[str]:
    kept: dict[str, Any] = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | streams
    done = subprocess.run(
        [sys.executable, "-m", "fitter", *words], text=True, check=False, env={**ENVIRONMENT, **env}, **kept
    )
    assert "Traceback" not in (done.stdout or "") + (done.stderr or "")
    return done


def test_alone_it_helps_and_says_2() -> None:
    done = fitter()
    assert done.returncode == 2
    for name in COMMANDS:
        assert name in done.stderr


def test_an_error_goes_to_stderr_and_a_result_to_stdout() -> None:
    done = fitter("assumptions", "luck", "--json")
    assert (done.returncode, done.stdout) == (2, "")
    assert "'luck'" in done.stderr
    done = fitter("assumptions", "strike.restitution", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["strike.restitution"]["value"] > 0


def test_help_and_version_import_nothing_heavy() -> None:
    words = [["--help"], ["--version"], *([name, "--help"] for name in COMMANDS)]
    code = (
        f"import sys; from fitter.cli.main import main; assert not any(map(main, {words}));"
        "heavy = {'numpy', 'numba', 'scipy', 'pandas', 'sklearn', 'textual'} & set(sys.modules); print(heavy)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=ENVIRONMENT
    )
    assert done.stdout.strip().endswith("set()")


@pytest.mark.parametrize("words", [["assumptions"], ["assumptions", "strike.restitution"]])
def test_a_reader_that_goes_away_is_no_error(words: list[str]) -> None:
    # The longer output fails while it is printed, the shorter one when it is flushed at the end.
    read, write = os.pipe()
    os.close(read)
    done = fitter(*words, stdout=write)
    os.close(write)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a device that is full")
def test_an_output_that_cannot_be_written_is_said() -> None:
    with open("/dev/full", "w") as full:
        done = fitter("assumptions", "strike.restitution", stdout=full)
    assert done.returncode == 2
    assert done.stderr.startswith("The output cannot be written: ")
    assert len(done.stderr.splitlines()) == 1


def test_a_closed_output_is_said() -> None:
    code = "import sys; sys.stdout = None; from fitter.cli.main import script; script()"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, env=ENVIRONMENT
    )
    assert (done.returncode, done.stderr) == (2, "There is no standard output to write to.\n")


def test_a_terminal_without_the_letters_still_gets_json() -> None:
    done = fitter("assumptions", "--json", env={"PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0
    assert done.stdout.isascii()
    assert json.loads(done.stdout) == json.loads(fitter("assumptions", "--json").stdout)


def test_ctrl_c_ends_without_words() -> None:
    folder = str(demo.folder())
    words = ["rank", f"{folder}/P1.csv", "--kit", folder, "--present", "H4/S2", "--draws", "65536"]
    # It says when the ranking begins: whatever the machine's speed, the signal then comes in the midst of it.
    # A shell that starts the tests in the background hands on a Ctrl-C that is ignored.
    code = (
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "import importlib, sys; module = importlib.import_module('fitter.advice.rank'); rank = module.rank\n"
        "def told(*args, **words): print('ready', flush=True); return rank(*args, **words)\n"
        f"module.rank = told; sys.argv = {['fitter', *words]}\n"
        "from fitter.cli.main import script; script()"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", code],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=ENVIRONMENT,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=GUARD_S)
    assert (process.returncode, out, err) == (130, "", "")


def test_a_fault_of_our_own_is_one_sentence() -> None:
    code = (
        "import sys; from fitter.cli import assumptions, main\n"
        "def broken(args): raise ZeroDivisionError('in here')\n"
        "assumptions.run = broken; sys.argv = ['fitter', 'assumptions']; main.script()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, env=ENVIRONMENT
    )
    assert done.returncode == 1
    assert "fault of fitter itself" in done.stderr
    assert "Traceback" not in done.stderr
