"""`python -m batiksim` is `batiksim`."""

from batiksim.cli import main

if __name__ == "__main__":
    main(prog_name="batiksim")
