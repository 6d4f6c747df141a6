"""Whatever is given wrongly, each command answers with one line in one style, ends with 2 and writes nothing."""

import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from batiksim.cli import main
from batiksim.files.starter import new_design

# Commands that read a design, with what else they must be given; then those that read a design or a dye book.
ON_DESIGNS = ("preview {} --out o", "stages {}", "check {}", "orders {}", "workshop {}", "handout {}", "trace {}")
ON_DESIGNS += ("risk {}", "compare {} pic.png --out o", "worktable {} --no-browser")
ON_BOOKS = ("overdye {} --out o.png", "chart ladders {} --out o.png", "strip {} --out o", "pot lemon=1 --book {}")
ON_BOOKS += ("match #4d7358 --book {}", "from-picture pic.png --out o --book {}")
WRONG_SOURCES = ("nothere", "empty.toml", "emptydir", "pic.png", "wide.toml", "minus.toml", "indgo.toml", "notes.txt")

OTHERWISE_WRONG = (
    ("preview cloth", "--out: the preview needs a folder to go into; add --out my-preview"),
    ("preview cloth --out notes.txt", "notes.txt: is a file, not a folder"),
    ("preview cloth --out o --step -1", "--step: there is no step -1; use 0 (bare cloth) to "),
    ("preview cloth --out o --step abc", "--step: 'abc' isn't a whole number; see batiksim preview --help"),
    ("preview cloth --out o --width 0", "--width: can't be 0; choose a number from 16 to 30000"),
    ("preview cloth --out o --light sun", "--light: "),
    ("preview cloth --ot o", "there is no option '--ot'; did you mean '--out'?"),
    ("prevew cloth", "there is no command 'prevew'; did you mean 'preview'?"),
    ("preview", "DESIGN is missing; see batiksim preview --help"),
    ("chart", "KIND is missing; use one of ladders, spectra, colours"),
    ("chart colours nothere --out o.png", "nothere: there is no such design"),
    ("new notes.txt", "notes.txt: is a file, not a folder"),
    ("new cloth", "cloth/design.toml: already exists"),
    ("check cloth --only nothing", "--only: 'nothing' isn't a check"),
    ("stages cloth --out no/such/o.png", "no/such/o.png: can't be written"),
    ("stages cloth --animate --width 5 --out o.gif", "--width: is out of range (found 5)"),
    (
        "overdye cloth --out o.png --strength nan",
        "--strength: needs a number (found nan); use a number above 0, up to 4",
    ),
    ("pot lemon=-1", "RECIPE: 'lemon=-1' isn't an amount of a dye"),
    ("match notacolour", "COLOUR: 'notacolour' isn't a colour that batiksim knows"),
    ("match #4d7358 --ground #zz", "--ground: '#zz' isn't a colour that batiksim knows"),
    ("match #4d7358 --pots 0", "--pots: can't be 0; choose a number from 1 to 20"),
    (
        "chart spectra cloth --strength -1 --out o.png",
        "--strength: out of range (found -1); use a number above 0, up to 10",
    ),
    ("calibrate nothere --strip nothere --book b.toml", "nothere: can't be opened"),
    ("calibrate pic.png --strip emptydir --book demo", "--book: can't be the name of a dye book (found 'demo')"),
    ("calibrate pic.png --strip emptydir --book b.toml", "emptydir: can't be opened"),
    ("compare cloth zero.png --out o", "zero.png: is empty"),
    ("compare cloth notes.txt --out o", "notes.txt: is not a picture"),
    ("from-picture emptydir --out o", "emptydir: is a folder, not a picture"),
    ("from-picture pic.png --out o --width -3", "--width: out of range (found -3); use a number from 10 to 20000"),
    ("workshop cloth --makers -2", "--makers: out of range (found -2); use a number from 1 to 500"),
    ("workshop cloth --makers x", "--makers: 'x' isn't a whole number"),
    ("workshop cloth --room warm", "--room: 'warm' isn't a number"),
    ("workshop cloth --makers", "--makers needs a value; see batiksim workshop --help"),
    ("workshop cloth --json=3", "--json takes no value; see batiksim workshop --help"),
    ("orders cloth another", "'another' isn't expected here; see batiksim orders --help"),
    ("--language en", "the command is missing; see batiksim --help"),
    ("workshop cloth --out notes.txt", "notes.txt: already exists, and wasn't made by batiksim or has been changed"),
    ("handout cloth --language xx", "--language: batiksim isn't translated into this language (found 'xx')"),
    ("worktable --port x", "--port: 'x' isn't a whole number; see"),
    ("worktable --home notes.txt", "--home: 'notes.txt' is a file, not a folder; choose another name"),
)


@pytest.fixture(scope="module")
def here(tmp_path_factory):
    folder = tmp_path_factory.mktemp("desk")
    new_design(folder / "cloth")
    text = (folder / "cloth" / "design.toml").read_text(encoding="utf-8")
    for picture in (folder / "cloth").glob("*.png"):
        shutil.copy(picture, folder)
    shutil.copy(folder / "outlines.png", folder / "pic.png")
    (folder / "emptydir").mkdir()
    made = {
        "empty.toml": "",
        "wide.toml": text.replace("width_mm = ", 'width_mm = "wide" # '),
        "minus.toml": text.replace("width_mm = ", "width_mm = -"),
        "indgo.toml": f'{text}\n[[step]]\ndye = "indgo"\n',
        "notes.txt": "mine",
        "zero.png": "",
    }
    for name, words in made.items():
        (folder / name).write_text(words, encoding="utf-8")
    return folder


def everything(folder):
    return {path: path.read_bytes() if path.is_file() else None for path in folder.rglob("*")}


def refused(here, line, monkeypatch):
    """The one message of a command that must refuse."""
    monkeypatch.chdir(here)
    before = everything(here)
    done = CliRunner().invoke(main, line.split(), prog_name="batiksim")
    assert (done.exit_code, done.stdout) == (2, "")
    assert isinstance(done.exception, SystemExit)
    (told,) = done.stderr.splitlines()
    assert everything(here) == before
    assert re.match(r"batiksim: \S", told)
    return told.removeprefix("batiksim: ")


@pytest.mark.parametrize("source", WRONG_SOURCES)
@pytest.mark.parametrize("command", [*ON_DESIGNS, *ON_BOOKS])
def test_a_wrong_source_is_named(command, source, here, monkeypatch):
    assert refused(here, command.format(source), monkeypatch).startswith(source)


@pytest.mark.parametrize(("line", "told"), OTHERWISE_WRONG)
def test_what_else_can_be_wrong(line, told, here, monkeypatch):
    assert told in refused(here, line, monkeypatch)


@pytest.mark.full
@pytest.mark.skipif(sys.platform == "win32", reason="signals are other there")
def test_stopping_is_told_and_leaves_nothing(here, tmp_path):
    """Stopped while the pictures are read, as Ctrl-C does: one line, exit code 130."""
    code = (
        "import signal, sys; from batiksim.cli import main; from batiksim.jobs import previews\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "def slow(*args, **keys): print('reading', flush=True); sys.stdin.read()\n"
        "previews.open_design = slow; main(prog_name='batiksim')"
    )
    asked = [sys.executable, "-c", code, "preview", str(here / "cloth"), "--out", str(tmp_path / "o")]
    with subprocess.Popen(
        asked, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as running:
        assert running.stdout.readline() == "reading\n"
        running.send_signal(signal.SIGINT)
        _, told = running.communicate(timeout=60)
    assert (running.returncode, told) == (130, "batiksim: stopped; earlier files are unchanged.\n")
    assert not Path(tmp_path / "o").exists()


def test_the_help_tells_what_the_exit_codes_mean():
    told = CliRunner().invoke(main, ["--help"]).stdout
    assert re.search(r"^Exit codes:\n +0 .*\n +1 .*\n +2 .*\n +130 ", told, re.MULTILINE | re.DOTALL)
