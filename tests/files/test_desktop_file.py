"""The file to double-click: each system's own kind, its command read back as that system reads it."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from batiksim.cli import main
from batiksim.errors import BatikError
from batiksim.files.desktop_file import desktop_file_text, desktop_folder, write_desktop_file

HARD = ["/home/ada/my dyes/bin/python", "-m", "batiksim", 'a "b" $HOME `x` \\ 100% d\'oré']


def test_a_desktop_entry_is_read_back_as_the_specification_says() -> None:
    name, text = desktop_file_text("linux", HARD)
    assert name == "Batik worktable.desktop"
    lines = text.splitlines()
    assert lines[0] == "[Desktop Entry]"
    (line,) = [one.removeprefix("Exec=") for one in lines if one.startswith("Exec=")]
    unescaped = line.replace("\\\\", "\\")  # a string value: \\ is a backslash
    words = [re.sub(r'\\(["`$\\])', r"\1", word) for word in re.findall(r'"((?:[^"\\]|\\.)*)"', unescaped)]
    assert [word.replace("%%", "%") for word in words] == HARD
    assert not re.search(r"%[^%]", line.replace("%%", "")), "no field code"
    assert "Terminal=true" in lines


def test_a_script_runs_what_it_should(tmp_path) -> None:
    told = tmp_path / "tell"
    told.write_text('#!/bin/sh\nfor one in "$@"; do echo "$one"; done\n')
    told.chmod(0o755)
    name, text = desktop_file_text("darwin", [str(told), *HARD])
    assert name == "Batik worktable.command"
    done = subprocess.run(["/bin/sh"], input=text, capture_output=True, text=True, timeout=20)
    assert done.stdout.splitlines() == HARD


def test_a_batch_file_names_python_and_stays_open_after_a_trouble() -> None:
    name, text = desktop_file_text("win32", [r"C:\Users\Ada L\python.exe", "-m", "batiksim", r"C:\100%\cloths"])
    assert name == "Batik worktable.bat"
    lines = text.split("\r\n")
    assert lines[0] == "@echo off"
    assert r'"C:\Users\Ada L\python.exe" "-m" "batiksim" "C:\100%%\cloths"' in lines
    assert "if errorlevel 1 pause" in lines
    assert "\n" not in text.replace("\r\n", "")


def test_the_desktop_is_where_the_system_says(tmp_path) -> None:
    assert desktop_folder(tmp_path) == tmp_path
    (tmp_path / "Desktop").mkdir()
    assert desktop_folder(tmp_path) == tmp_path / "Desktop"
    (tmp_path / "Schreibtisch").mkdir()
    (tmp_path / ".config").mkdir()
    (tmp_path / ".config" / "user-dirs.dirs").write_text('# x\nXDG_DESKTOP_DIR="$HOME/Schreibtisch"\n')
    assert desktop_folder(tmp_path) == tmp_path / "Schreibtisch"


def test_a_file_of_the_makers_own_is_never_written_over(tmp_path) -> None:
    file = write_desktop_file(["worktable"], folder=tmp_path)
    assert write_desktop_file(["worktable", "--home", "x"], folder=tmp_path) == file, "its own is made anew"
    file.write_text("mine")
    with pytest.raises(BatikError):
        write_desktop_file(["worktable"], folder=tmp_path)
    assert file.read_text() == "mine"


@pytest.mark.skipif(os.name != "posix", reason="reads the file as a POSIX system does")
def test_the_command_lays_it_on_the_desktop_and_tells_where(tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    (tmp_path / "Desktop").mkdir()
    result = CliRunner().invoke(main, ["worktable", "--desktop", "--home", str(tmp_path / "cloths")])
    assert result.exit_code == 0, result.output
    (file,) = (tmp_path / "Desktop").iterdir()
    assert str(file) in result.output
    assert os.access(file, os.X_OK)
    text = file.read_text()
    assert sys.executable in text
    assert str(tmp_path / "cloths") in text
    line = next(one for one in text.splitlines() if "-m" in one).removeprefix("Exec=")
    words = shlex.split(line)[1:7]
    assert words[:5] == ["-m", "batiksim", "worktable", "--home", str(tmp_path / "cloths")]
    assert Path(shlex.split(line)[0]) == Path(sys.executable)
