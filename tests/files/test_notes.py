"""The maker's name and notes in a design: read, written back the same, and refused when they are no text."""

from __future__ import annotations

import dataclasses

import pytest

from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design, write_design
from batiksim.values import Cloth, Design, RemoveWax

NOTE = 'Two afternoons.\nBring an old shirt; "good" ones suffer.'


def test_name_and_notes_come_back_as_they_were(plain_design, on_disk):
    steps = [dataclasses.replace(step, note=f"{NOTE} {place}") for place, step in enumerate(plain_design.steps)]
    noted = dataclasses.replace(plain_design, steps=(*steps, RemoveWax(note="Slowly.")), maker="Ada Weaver", note=NOTE)
    folder = on_disk(noted)
    assert read_design(folder) == noted
    assert read_design(folder).steps[1].note.splitlines()[0] == "Two afternoons."


def test_without_them_the_file_stays_short(tmp_path):
    write_design(Design(title="Bare", cloth=Cloth(width_mm=100)), tmp_path)
    text = (tmp_path / "design.toml").read_text()
    assert "note" not in text
    assert "maker" not in text


@pytest.mark.parametrize("line", ["maker = 3", 'maker = "a\\nb"', "note = true", 'note = "a\\u0007b"'])
def test_other_than_text_is_refused(tmp_path, line):
    (tmp_path / "design.toml").write_text(f'format = 1\ntitle = "T"\n{line}\n[cloth]\nwidth_mm = 100\n')
    with pytest.raises(BatikError, match=r"(maker|note).*needs|has a hidden character"):
        read_design(tmp_path)


def test_a_step_s_note_is_placed(tmp_path):
    text = 'format = 1\ntitle = "T"\n[cloth]\nwidth_mm = 100\n[[step]]\nremove_wax = true\nnote = 5\n'
    (tmp_path / "design.toml").write_text(text)
    with pytest.raises(BatikError, match="step 1: note"):
        read_design(tmp_path)
