"""One spot of the cloth told by the model: what each pot would make of it is what the engine makes of it."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.jobs.spot import spot_data
from batiksim.values import RemoveWax

NO_MASK, HALF = np.zeros((0, 1, 1), np.uint8), np.full((1, 1, 1), 128, np.uint8)


@pytest.mark.parametrize(
    ("steps", "levels"),
    [
        pytest.param(lambda build: [build.dye("sea")], NO_MASK, id="one bath"),
        pytest.param(lambda build: [build.dye("sun", "sea", "pink")], NO_MASK, id="full fibre"),
        pytest.param(lambda build: [build.dye("sun", "sea", "pink"), build.bleach()], NO_MASK, id="bleached"),
        pytest.param(lambda build: [build.dye("sun", "sea", "pink"), build.bleach(None, 0.5)], NO_MASK, id="half"),
        pytest.param(lambda build: [build.dye("sun", ("plum", "a"))], HALF, id="weakly brushed"),
        pytest.param(lambda build: [build.wax("a", grey="thin"), build.dye("plum", "sea")], HALF, id="thin wax"),
    ],
)
def test_what_each_pot_would_make_of_a_spot(build, steps, levels):
    planned = build.design(*steps(build))
    told = spot_data(planned, dyes_on_cloth(planned), levels, step=None)
    foretold = {one["pot"]: bytes.fromhex(one["hex"][1:]) for one in told["next"]}
    for pot in ("leaf", "plum", "water"):
        brushed = build.design(*planned.steps, RemoveWax(), build.dye(pot))
        dyed = render.render(build.program(brushed), levels)[-1, 0, 0]
        assert np.abs(dyed.astype(int) - list(foretold[pot])).max() <= 1, pot
