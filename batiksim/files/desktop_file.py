"""A file to double-click: it starts the worktable with the Python that batiksim runs in now.

Each system has its own kind: a desktop entry on Linux (freedesktop.org's Desktop Entry Specification, 1.5: quoting of
Exec), a .command script on macOS, a .bat on Windows.
"""

import os
import re
import shlex
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from batiksim.errors import BatikError
from batiksim.files.disk.replacing import replacing
from batiksim.files.toml.writing import as_bytes
from batiksim.texts.catalogue import texts

_MARK = "made by batiksim worktable"  # a file without it is the maker's own and is never written over


def _entry(words: Sequence[str]) -> str:
    quoted = " ".join(f'"{_exec_quoted(word)}"' for word in words)
    return (
        f"[Desktop Entry]\n# {_MARK}\nType=Application\nName={texts()('files.desktop.name')}\n"
        f"Comment={texts()('files.desktop.comment')}\n"
        f"Exec={quoted}\nTerminal=true\nCategories=Graphics;Education;\n"
    )


def _exec_quoted(word: str) -> str:
    """A word inside the quotes of Exec: quoted for the command, then as any text of the entry; % stands for itself."""
    quoted = re.sub(r'(["`$\\])', r"\\\1", word).replace("%", "%%")
    return quoted.replace("\\", "\\\\")


def _script(words: Sequence[str]) -> str:
    wait = shlex.join(["echo", texts()("files.desktop.press_enter")])
    return f"#!/bin/sh\n# {_MARK}\n{shlex.join(words)} && exit\n{wait}\nread -r _\n"


def _batch(words: Sequence[str]) -> str:
    quoted = " ".join('"' + word.replace("%", "%%") + '"' for word in words)
    lines = ("@echo off", f"rem {_MARK}", "chcp 65001 >nul", quoted, "if errorlevel 1 pause", "")
    return "\r\n".join(lines)


_KINDS: dict[str, tuple[str, Callable[[Sequence[str]], str]]] = {
    "linux": (".desktop", _entry),
    "darwin": (".command", _script),
    "win32": (".bat", _batch),
}


def desktop_file_text(system: str, words: Sequence[str]) -> tuple[str, str]:
    """Name and text of the file that runs a command of some words, in the language that is spoken.

    system : as `sys.platform` calls it
    """
    if any(ord(letter) < 32 for word in words for letter in word):
        raise BatikError("files.error.control_character", got=repr(words))
    ending, text = _KINDS.get(system, _KINDS["linux"])
    return texts()("files.desktop.name") + ending, text(words)


def desktop_folder(home: Path) -> Path:
    """The desktop of a person whose home folder this is; the home folder itself where there is none."""
    user_dirs = home / ".config" / "user-dirs.dirs"
    named: list[Path] = []
    if user_dirs.is_file():
        match = re.search(
            r'^XDG_DESKTOP_DIR="(?:\$HOME/)?([^"]+)"', user_dirs.read_text(encoding="utf-8", errors="replace"), re.M
        )
        named = [home / match[1]] if match else []
    choices = (*named, home / "Desktop", home / "OneDrive" / "Desktop")
    return next((folder for folder in choices if folder.is_dir()), home)


def write_desktop_file(words: Sequence[str], *, folder: Path | None = None) -> Path:
    """Put a file on the desktop (or in a folder) that runs `python -m batiksim` with some words; returns its path.

    errors : BatikError when another file of that name is there, or it can't be written
    """
    name, text = desktop_file_text(sys.platform, [sys.executable, "-m", "batiksim", *words])
    file = (desktop_folder(Path.home()) if folder is None else folder) / name
    if file.exists() and _MARK.encode() not in file.read_bytes():
        raise BatikError("files.error.not_our_starter", file=file)
    raw = as_bytes(text, file)
    with replacing(file) as out:
        out.write(raw)
    os.chmod(file, 0o755)
    return file
