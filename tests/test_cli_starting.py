"""What the command's own process does without, so that a small preview starts sooner."""

import subprocess
import sys

from batiksim.files.starter import write_starter

CODE = """
import sys
from batiksim.cli import main
try:
    main(["preview", sys.argv[1], "--out", sys.argv[2], "--width", "80"])
except SystemExit as done:
    assert not done.code
numba = sys.modules.get("numba")
print("compiled", numba is not None and not numba.config.DISABLE_JIT)
print("spared", "scipy.linalg" not in sys.modules)
import scipy.linalg
print("still there", float(scipy.linalg.inv([[4.0]])[0, 0]))
"""


def test_numba_does_without_scipy_linalg_and_others_have_it(tmp_path):
    write_starter(tmp_path / "cloth")
    asked = [sys.executable, "-c", CODE, str(tmp_path / "cloth"), str(tmp_path / "out")]
    done = subprocess.run(asked, check=True, capture_output=True, text=True)
    told = done.stdout.splitlines()[-3:]
    assert told == ["compiled True", "spared True", "still there 0.25"]
