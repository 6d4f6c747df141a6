"""Every word of a command is in the language that is asked for, before or after the command or by the environment."""

import os
import re
import subprocess
import sys
from pathlib import Path

import click
import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from click.testing import CliRunner

from batiksim.checks.table import CODES
from batiksim.cli import main
from batiksim.cli.group import LANGUAGE_VARIABLE
from batiksim.texts import catalogue
from batiksim.texts.catalogue import spoken, texts

ROOT = Path(catalogue.__file__).resolve().parent.parent.parent


def masked(text: str) -> str:
    """A text with every letter made an X."""
    return re.sub(r"(\{[^}]*\})|[A-Za-z]", lambda found: found[1] or "X", text)


@pytest.fixture
def masked_language(tmp_path, monkeypatch):
    """A language "id" in which every letter of every sentence is an X."""
    with (catalogue.LOCALE / "en.po").open("rb") as file:
        english = read_po(file, locale="en")
    made = Catalog(locale="id")
    for message in english:
        if message.id:
            text = message.string
            made.add(message.id, masked(text) if isinstance(text, str) else (masked(text[1]),))
    with (tmp_path / "id.mo").open("wb") as file:
        write_mo(file, made)
    (tmp_path / "en.mo").write_bytes((catalogue.LOCALE / "en.mo").read_bytes())
    monkeypatch.setattr(catalogue, "LOCALE", tmp_path)
    for cache in (catalogue.languages, catalogue._texts, catalogue._entries):
        cache.cache_clear()
    yield "id"
    monkeypatch.undo()
    for cache in (catalogue.languages, catalogue._texts, catalogue._entries):
        cache.cache_clear()


def run(*words, **settings):
    return CliRunner().invoke(main, [str(word) for word in words], prog_name="batiksim", **settings)


def words_of(text):
    """Its words, without options, names of commands and what is chosen among."""
    rest = re.sub(r"(?<![\w-])--?[a-z-]+|\[?\w+(\|\w+)+\]?|\{[\w|]+\}|\[X+: [\w.-]+\]", " ", text)
    known = {"batiksim", "dan", *CODES, *(part for name in main.commands for part in (name, *name.split("-")))}
    return {word for word in re.findall(r"[A-Za-z]+", rest) if word not in known}


@pytest.mark.parametrize("name", ["", *main.commands])
def test_no_word_of_the_help_is_left_in_english(name, masked_language):
    done = run(*filter(None, [name]), "--help", "--language", masked_language)
    assert done.exit_code == 0
    left = {word for word in words_of(done.stdout) if set(word) != {"X"}}
    assert left == set()


@pytest.mark.parametrize(
    "line",
    ["prevew", "preview", "preview a --ot", "preview a b", "preview a --step", "preview a --json=1",
     "preview a --step x", "preview a --width 1", "workshop a --room x", "chart lader a", "chart", "preview a",
     "match blue --pots 99"],
)  # fmt: skip
def test_no_word_of_a_usage_error_is_left_in_english(line, masked_language):
    done = run("--language", masked_language, *line.split())
    assert done.exit_code == 2
    given = {"a", "b", "x", "prevew", "lader", "ladders", "spectra", "colours", "demo"}
    assert {word for word in words_of(done.stderr) - given if set(word) != {"X"}} == set()
    assert "X" in done.stderr


@pytest.mark.parametrize(
    ("words", "variable"),
    [
        (("--language", "id", "preview", "--help"), None),
        (("preview", "--help", "--language", "id"), None),
        (("preview", "--language=id", "--help"), None),
        (("preview", "--help"), "id"),
        (("--language", "en", "preview", "--language", "id", "--help"), None),
        (("--language", "id", "preview", "--help"), "en"),
    ],
)
def test_where_the_language_may_be_named(words, variable, masked_language):
    done = run(*words, env={LANGUAGE_VARIABLE: variable})
    assert (done.exit_code, done.stdout[:7]) == (0, "XXXXX: ")


def test_a_command_leaves_the_language_as_it_was(masked_language):
    with catalogue.speaking(masked_language):
        assert run("--language", "en", "--help").stdout.startswith("Usage: ")
        assert spoken() == masked_language
        assert run("--help").stdout.startswith("XXXXX: ")
    assert run("--help").stdout.startswith("Usage: ")
    run("--language", masked_language, "preview", "nowhere", "--out", "o")
    assert spoken() == "en"


def test_threads_of_a_command_speak_its_language(masked_language, folder, tmp_path, monkeypatch):
    from concurrent.futures import ThreadPoolExecutor

    from batiksim import jobs

    def check(design, **options):
        with ThreadPoolExecutor(1) as pool:
            click.echo(pool.submit(lambda: texts()("cli.metavar.text")).result())
        return ()

    monkeypatch.setattr(jobs, "check", check)
    assert run("check", folder, "--language", masked_language).stdout.startswith("XXXX\n")


@pytest.mark.parametrize(
    ("words", "variable", "field"),
    [(("--language", "eng", "preview"), "", "--language"), (("preview",), "eng", LANGUAGE_VARIABLE)],
)
def test_a_language_that_is_not_there_is_one_message(words, variable, field):
    done = run(*words, env={LANGUAGE_VARIABLE: variable})
    assert (done.exit_code, done.stdout) == (2, "")
    said = "batiksim isn't translated into this language (found 'eng'); did you mean 'en'?"
    assert done.stderr == f"batiksim: {field}: {said}\n"


def test_what_follows_two_dashes_is_no_option():
    assert run("new", "--", "--language", "xx").stderr.startswith("batiksim: 'xx' isn't expected here")


def test_help_needs_no_babel():
    code = (
        "import sys; from batiksim.cli import main; main(['preview', '--help'], standalone_mode=False);"
        "sys.exit('babel' in sys.modules)"
    )
    subprocess.run(
        [sys.executable, "-c", code], check=True, capture_output=True, env={**os.environ, "PYTHONPATH": ROOT}
    )
