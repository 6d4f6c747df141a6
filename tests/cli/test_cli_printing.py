"""trace, strip and stages as a maker types them."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from batiksim.cli import main

SAMPLES = Path(__file__).resolve().parents[2] / "sample_designs"
POPPIES = SAMPLES / "garden_poppies"


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.mark.full
def test_trace(tmp_path):
    done = run("trace", POPPIES, "--out", tmp_path, "--paper", "letter", "--json")
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    steps = {f"large-step-{step}.svg" for step in (1, 4, 5)}
    assert set(told["files"]) == {"sheets.pdf", "large.pdf", *steps} == {file.name for file in tmp_path.iterdir()}
    assert told["sheets"] >= 12


@pytest.mark.full
def test_tracing_again_takes_away_what_an_earlier_one_left_and_nothing_else(tmp_path):
    (tmp_path / "large-step-9.svg").write_text("mine")
    assert run("trace", POPPIES, "--out", tmp_path).exit_code == 0
    assert run("trace", SAMPLES / "hedge_parsley", "--out", tmp_path).exit_code == 0
    assert {file.name for file in tmp_path.iterdir()} == {
        "sheets.pdf",
        "large.pdf",
        "large-step-1.svg",
        "large-step-9.svg",
    }


def test_a_design_without_wax(tmp_path):
    design = tmp_path / "design.toml"
    steps = '[[dye]]\nname = "sun"\ncolour = "#f0d92e"\n[[step]]\ndye = "sun"\n'
    design.write_text(f'format = 1\ntitle = "Plain"\n[cloth]\nwidth_mm = 300\n{steps}', encoding="utf-8")
    done = run("trace", design, "--out", tmp_path / "out")
    assert done.exit_code == 2
    assert "nothing to trace" in done.output
    assert not (tmp_path / "out").exists()


def test_strip(tmp_path):
    done = run("strip", POPPIES, "--out", tmp_path, "--only", "primrose,strong pink", "--no-card")
    assert done.exit_code == 0, done.output
    assert "strip.toml is the strip file for calibrate: primrose and strong pink" in done.output
    assert "[[card]]" not in (tmp_path / "strip.toml").read_text(encoding="utf-8")


@pytest.mark.full
def test_stages(tmp_path):
    assert run("stages", POPPIES, "--out", tmp_path / "all.png").exit_code == 0
    with Image.open(tmp_path / "all.png") as sheet:
        assert sheet.width == 2400
    assert run("stages", POPPIES, "--animate", "--width", 240, "--out", tmp_path / "all.gif").exit_code == 0
    with Image.open(tmp_path / "all.gif") as moving:
        assert moving.n_frames > 20
        assert moving.width == 240


@pytest.mark.parametrize(
    ("words", "told"), [(("--out", "a.gif"), "--animate"), (("--animate", "--out", "a.png"), ".gif")]
)
def test_stages_into_another_kind_of_file(tmp_path, words, told):
    done = run("stages", POPPIES, *words[:-1], tmp_path / words[-1])
    assert done.exit_code == 2
    assert told in done.output
    assert not list(tmp_path.iterdir())
