"""The command line: `python -m batiksim` is `batiksim`.

A command lives for a second or two, and most of a small preview is loading libraries. Two settings make that cheaper,
and a third makes what goes through a pipe UTF-8 everywhere; they are made here, not where the package is imported,
since another program's process is not ours to set.
"""

import gc
import io
import os
import sys


def main() -> None:
    """Run the command that the shell was given."""
    # Nothing here multiplies matrices that are worth threads of their own, and OpenBLAS starts them with numpy.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Loading makes objects by the hundred thousand that all stay: look over them seldom.
    gc.set_threshold(200_000, 20, 20)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and not stream.isatty():
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    from batiksim.cli import main as command

    command(prog_name="batiksim")


if __name__ == "__main__":
    main()
