"""The command `batiksim` itself."""

from __future__ import annotations

from typing import Any

import click

from batiksim.errors import BatikError

__all__ = ["main"]

BAD_INPUT = 2


class _Group(click.Group):
    """One catcher for every command: the maker's mistakes become one message and exit code 2."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BatikError as error:
            click.echo(f"batiksim: {error}", err=True)
            ctx.exit(BAD_INPUT)
        except KeyboardInterrupt:
            click.echo("batiksim: stopped; earlier files are as they were.", err=True)
            ctx.exit(130)

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)  # in the order of a maker's work


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="batiksim")
def main() -> None:
    """See every stage of a batik cloth before the wax is melted.

    Draw wax masks, name your dyes in a short design file, and preview: the bare cloth, the cloth after every step and
    the finished cloth, with its colours named. Start with: batiksim new my-cloth
    """
