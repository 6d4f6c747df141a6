"""The command `batiksim` itself."""

import re
import sys
from collections.abc import Callable
from typing import Any

import click

from batiksim.errors import BatikError

BAD_INPUT, STOPPED = 2, 130
_PLAINER = (  # what the option parser says, as a maker would
    (r"(\S+) is not in the range (\S+)<=x<=(\S+?)\.?$", r"\1 is not from \2 to \3"),
    (r"is not a valid integer( range)?", "is not a whole number"),
    (r"is not a valid float( range)?", "is not a number"),
    (r"\. Choose from: ", ": choose from "),
    (r"\. \(?Did you mean (one of: )?(.*)\?\)?", r"; did you mean \2?"),
)


class _Group(click.Group):
    """One catcher for every command: the maker's mistakes become one message and exit code 2."""

    def main(self, *args: Any, **settings: Any) -> Any:
        alone = settings.pop("standalone_mode", True)
        run: Callable[..., Any] = super().main
        if not alone:
            return run(*args, standalone_mode=False, **settings)
        try:
            code = run(*args, standalone_mode=False, **settings)
        except click.exceptions.NoArgsIsHelpError as error:
            error.show()
            code = BAD_INPUT
        except click.ClickException as error:
            click.echo(f"batiksim: {_parsed_words(error)}", err=True)
            code = BAD_INPUT
        except click.Abort:
            code = _stopped()
        sys.exit(code if isinstance(code, int) else 0)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BatikError as error:
            click.echo(f"batiksim: {error}", err=True)
            ctx.exit(BAD_INPUT)
        except KeyboardInterrupt:
            ctx.exit(_stopped())

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)  # in the order of a maker's work


def _stopped() -> int:
    click.echo("batiksim: stopped; earlier files are as they were.", err=True)
    return STOPPED


def _parsed_words(error: click.ClickException) -> str:
    """What the option parser found wrong, in the words and the shape of all other messages."""
    param = error.param if isinstance(error, click.BadParameter) else None
    if param is None or isinstance(error, click.MissingParameter):
        words = error.format_message()
        told = words[:1].lower() + words[1:]
    else:
        option = param.opts[0]
        told = f"{option if option.startswith('-') else param.human_readable_name}: {error.message}"
    told = re.sub(r"\s+", " ", told).rstrip(".")
    for theirs, ours in _PLAINER:
        told = re.sub(theirs, ours, told)
    where = error.ctx.command_path if isinstance(error, click.UsageError) and error.ctx is not None else "batiksim"
    return told if told.endswith("?") else f"{told}; see {where} --help"


@click.group(
    cls=_Group,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Ends with 0 when all is done, 1 when check --strict finds something serious, 2 when something you gave "
    "can't be used (one message says what), 130 when you stop it.",
)
@click.version_option(package_name="batiksim")
def main() -> None:
    """See every stage of a batik cloth before the wax is melted.

    Draw wax masks, name your dyes in a short design file, and preview: the bare cloth, the cloth after every step and
    the finished cloth, with its colours named. Start with: batiksim new my-cloth
    """
