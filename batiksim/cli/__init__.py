"""Words in, words out: each command parses, calls one function of `jobs`, and prints."""

from batiksim.cli.calibrate import calibrate, compare
from batiksim.cli.dyes import chart, match_command, overdye, pot
from batiksim.cli.group import main as main
from batiksim.cli.look import check, new, preview
from batiksim.cli.planning import from_picture_command, orders_command, workshop
from batiksim.cli.print import handout, risk, stages, strip, trace
from batiksim.cli.worktable import worktable

_IN_ORDER_OF_WORK = (
    new,
    worktable,
    preview,
    stages,
    check,
    overdye,
    pot,
    match_command,
    chart,
    strip,
    calibrate,
    compare,
    orders_command,
    from_picture_command,
    workshop,
    handout,
    trace,
    risk,
)

for _command in _IN_ORDER_OF_WORK:
    main.add_command(_command)
