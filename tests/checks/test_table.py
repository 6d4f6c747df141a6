"""The table of checks: what is run, in what order it is told, and which codes and settings are known."""

from __future__ import annotations

import pytest

from batiksim import checks
from batiksim.errors import BatikError
from batiksim.values import RemoveWax


@pytest.fixture
def case(draw):
    """Mud (serious), a step that does nothing (warn) and a pot too strong (warn)."""
    return draw.case(("dye", "coral", None), ("dye", "sea", None), RemoveWax())


def test_the_worst_comes_first_then_the_earliest_step(case):
    found = case.check("mud", "wasted")
    assert [(one.code, one.severity) for one in found] == [("mud", "serious"), ("wasted", "warn")]
    twice = case.with_steps(RemoveWax(), *case.design.steps).check("wasted")
    assert [one.step for one in twice] == [1, 4]


def test_sentences_begin_with_a_capital(case):
    assert all(one.message[0].isupper() and one.remedy[0].isupper() for one in case.check())
    assert case.check("mud")[0].message.startswith("Sea over coral")


def test_only_and_skip(case):
    run = lambda **keys: {one.code for one in checks.check(case.design, case.dyes, case.masks, **keys)}  # noqa: E731
    assert run() >= {"mud", "wasted"}
    assert run(only=["mud"]) == {"mud"}
    assert "mud" not in run(skip=["mud"])
    assert run(only=["mud", "wasted"], skip=["mud"]) == {"wasted"}
    left_out = case.with_design(skip_checks=("mud",))
    assert "mud" not in {one.code for one in left_out.check()}
    assert {one.code for one in left_out.check("mud")} == {"mud"}  # asked for, it is run


def test_a_preview_leaves_out_what_takes_long():
    assert {row.code for row in checks.CHECKS if not row.quick} == {"hand", "fit"}
    assert checks.QUICK_NOTHING.startswith(checks.NOTHING)
    for row in checks.CHECKS:
        assert (row.what in checks.QUICK_NOTHING) is not row.quick


def test_quick_runs_only_the_quick(draw):
    fine = draw.blank()
    for y in range(10, 70, 6):
        fine[5 * y : 5 * y + 2, 50:550] = 255
    case = draw.case(("wax", fine, {"tool": "canting"}), ("dye", "sea", None))
    assert {one.code for one in case.check()} == {"hand", "reach"}
    assert {one.code for one in case.check(quick=True)} == {"reach"}


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"only": ["mudd"]}, "only: is not a check .*did you mean 'mud'"),
        ({"skip": ["mudd"]}, "skip: is not a check"),
        ({"settings": {"mudd": {}}}, "settings: is not a check .*did you mean 'mud'"),
        ({"settings": {"mud": {"least": 1}}}, "mud: is not a setting .*least_share"),
    ],
)
def test_what_is_not_known_is_told(case, keys, said):
    with pytest.raises(BatikError, match=said):
        checks.check(case.design, case.dyes, case.masks, **keys)


def test_the_designs_own_skips_are_looked_at(case):
    with pytest.raises(BatikError, match="checks: skip: is not a check"):
        case.with_design(skip_checks=("mudd",)).check()


def test_known_codes_come_back():
    assert checks.known_codes(["mud", "fit"], field="x") == ("mud", "fit")
    assert len(set(checks.CODES)) == len(checks.CHECKS) == 13
