"""The commands handout and risk: they write where they are told, say so, and leave nothing behind when they can't."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from batiksim.cli import main


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def test_handout_writes_the_pdf_and_says_where(folder, tmp_path):
    out = tmp_path / "lesson.pdf"
    done = run("handout", folder, "--out", out, "--one-page", "--sections", "cover, steps")
    assert done.exit_code == 0, done.output
    assert f"The handout is in {out}" in done.output
    assert "Assumed for keep.png: read as dark marks, though most of it is dark" in done.output
    assert "on a light ground" not in done.output  # usual masks are told of by the preview alone
    assert out.read_bytes().startswith(b"%PDF-")


def test_risk_writes_the_pdf_and_says_where(folder, tmp_path):
    done = run("risk", folder, "--out", tmp_path / "risk.pdf", "--makers", 6, "--paper", "letter")
    assert done.exit_code == 0, done.output
    assert (tmp_path / "risk.pdf").read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("command", ["handout", "risk"])
@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--out", "x.docx"), "--out: this kind of file can't be written here (found 'x.docx'); end its name in .pdf"),
        (("--makers", "0"), "makers"),
        (("--language", "eng"), "did you mean 'en'"),
    ],
)
def test_mistakes_are_one_message_and_nothing_is_written(folder, tmp_path, monkeypatch, command, words, told):
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    done = run(command, folder, *words)
    assert done.exit_code == 2
    assert done.output.count("batiksim: ") == 1
    assert told in done.output
    assert sorted(tmp_path.rglob("*")) == before


def test_a_section_that_there_is_none_of(folder, tmp_path):
    done = run("handout", folder, "--out", tmp_path / "h.pdf", "--sections", "glosary")
    assert done.exit_code == 2
    assert "did you mean 'glossary'?" in done.output
