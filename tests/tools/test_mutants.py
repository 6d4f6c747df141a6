"""The maker of mutants, tried on a toy package."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tools import mutants as module
from tests.tools.mutants import Nearest, main, mutants_of, sample

SUMS = '''"""Sums of 2."""

__all__ = ["larger", "twice"]


def larger(one: int, other: int) -> int:
    """The larger of 2 numbers."""
    return one if one > other else other


def twice(number: int) -> int:
    return number * 2
'''


@pytest.fixture
def toy(tmp_path: Path) -> Path:
    """A package of two modules, the one tested well, the other not at all."""
    files = {
        "batiksim/__init__.py": "",
        "batiksim/sums/__init__.py": "",
        "batiksim/sums/sums.py": SUMS,
        "batiksim/sums/forgotten.py": "from batiksim.sums.sums import twice\n\n\ndef lost():\n    return twice(3)\n",
        "batiksim/other/__init__.py": "",
        "batiksim/other/far.py": "from batiksim.sums.sums import twice\n\n\ndef four(x):\n    return twice(twice(x))\n",
        "tests/sums/test_sums.py": "from batiksim.sums.sums import larger, twice\n\n\ndef test_it():\n"
        "    assert [larger(1, 5), larger(5, 1), twice(3), twice(0)] == [5, 5, 6, 0]\n",
        "tests/other/test_far.py": "from batiksim.other import far\n\n\ndef test_it():\n    assert far.four(1) == 4\n",
    }
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_only_code_is_changed(toy):
    """Neither what is told to the reader, nor annotations, nor the list of what is offered."""
    changes = {(mutant.text, mutant.source(toy).decode()) for mutant in mutants_of(Path("batiksim/sums/sums.py"), toy)}
    assert {text for text, _ in changes} == {">=", "(other if one > other else one)", "/", "1", "3", "None"}
    for _, source in changes:
        assert '"""Sums of 2."""' in source
        assert '__all__ = ["larger", "twice"]' in source
        assert "(one: int, other: int) -> int:" in source


def test_a_seed_gives_the_same_mutants_again(toy):
    once, again, other = (sample("sums", 4, seed, toy) for seed in (3, 3, 4))
    assert once == again != other


def test_what_is_drawn_is_a_program_and_another_one(toy):
    every = mutants_of(Path("batiksim/sums/sums.py"), toy)
    drawn = sample("sums", 99, 1, toy, only="sums.py")
    assert {(mutant.start, mutant.end) for mutant in drawn} == {(mutant.start, mutant.end) for mutant in every}
    assert all(mutant in every for mutant in drawn)


@pytest.mark.full
def test_a_run_that_fills_the_memory_is_stopped(toy, monkeypatch):
    monkeypatch.setattr(module, "MEMORY", 1 << 30)
    (toy / "tests/sums/test_much.py").write_text("def test_it():\n    assert bytearray(2 << 30)\n", encoding="utf-8")
    ended = module._pytest(toy, ["tests/sums/test_much.py"], 30)
    assert (ended.status, ended.failed) == (1, "tests/sums/test_much.py::test_it")
    assert module._pytest(toy, ["tests/sums/test_sums.py"], 30).good


@pytest.mark.parametrize(
    ("file", "tests"),
    [
        ("batiksim/sums/sums.py", ["tests/sums/test_sums.py", "tests/other/test_far.py"]),
        ("batiksim/other/far.py", ["tests/other/test_far.py"]),
        ("batiksim/sums/forgotten.py", []),
    ],
)
def test_nearest_tests_come_first(toy, file, tests):
    assert Nearest(toy).of(Path(file)) == [Path(test) for test in tests]


def test_a_test_named_after_a_module_is_near_though_it_imports_it_by_others(toy):
    named = toy / "tests/sums/test_all_forgotten.py"
    named.write_text("def test_it():\n    assert True\n", encoding="utf-8")
    assert Nearest(toy).of(Path("batiksim/sums/forgotten.py")) == [named.relative_to(toy)]


@pytest.mark.full
def test_survivors_are_shown_and_the_share_decides(toy, capsys):
    """Of the tested module all die but `>=`, which changes nothing; of the untested one none does."""
    arguments = ["sums", "--count", "40", "--workers", "2"]
    assert main([*arguments, "--only", "sums/sums.py", "--least", "80"], toy) == 0
    said = capsys.readouterr().out
    assert "+ return one if one >= other else other" in said
    assert "sums: 4 of 5 killed, 80 %" in said
    assert main([*arguments, "--only", "forgotten", "--least", "1"], toy) == 1
    assert "(no tests)" in capsys.readouterr().out
