"""Write the page of all commands from the commands themselves: python tests/tools/commands_page.py."""

from collections.abc import Iterator
from pathlib import Path

import click

from batiksim.cli import main as batiksim
from batiksim.cli import words
from batiksim.cli.exit_codes import ExitCode
from batiksim.texts.catalogue import texts

PAGE = Path(__file__).resolve().parents[2] / "batiksim" / "docs" / "commands.md"
PROGRAM = "batiksim"
HEAD = """\
# All commands

Every command with its options, as `--help` tells them too. This page is made from the commands by
`python tests/tools/commands_page.py`.

{table}

## Options of every command

{shared}
| `{help}` | {help_words} |

`batiksim --version` prints the version.

## Exit codes

{exit_codes}

Nothing is half-written when a command stops. Of several designs, one that can't be used holds up none of the others,
and the code is 2.

## Data for other programs

These commands print what they found or wrote as JSON with `--json`: {json}.
What it holds stands in [All files](files.md#the-report), and a JSON Schema for each in `batiksim/data/schemas/output/`.

Through a pipe, lines are never cut, folded or coloured, and all is UTF-8.

## Completion in your shell

The Tab key completes commands and options once your shell has been told. In bash, add this line to `~/.bashrc`:

```bash
eval "$(_BATIKSIM_COMPLETE=bash_source batiksim)"
```

In zsh, to `~/.zshrc`:

```zsh
eval "$(_BATIKSIM_COMPLETE=zsh_source batiksim)"
```

In fish, to `~/.config/fish/completions/batiksim.fish`:

```fish
_BATIKSIM_COMPLETE=fish_source batiksim | source
```
"""


def page_text() -> str:
    """The page."""
    shared = [option for option in _options(batiksim) if _everywhere(option)]
    as_data = [f"`{name}`" for name, command in batiksim.commands.items() if "--json" in _names(command)]
    table = [f"| [`{name}`](#{name}) | {_text(command, 'short')} |" for name, command in batiksim.commands.items()]
    head = HEAD.format(
        table="\n".join(["| command | what it does |", "|---|---|", *table]),
        shared="\n".join(_table(batiksim, shared)),
        help=", ".join(batiksim.context_settings["help_option_names"]),
        help_words=texts()("cli.option.help"),
        exit_codes="\n".join(["| code | means |", "|---|---|", *(f"| {int(c)} | {c.meaning} |" for c in ExitCode)]),
        json=f"{', '.join(as_data[:-1])} and {as_data[-1]}",
    )
    return head + "\n".join(line for command in batiksim.commands.values() for line in _section(command)) + "\n"


def _section(command: click.Command) -> Iterator[str]:
    context = _context(command)
    usage = " ".join([context.command_path, *command.collect_usage_pieces(context)])
    yield from ("", f"## {command.name}", "", f"`{usage}`", "")
    yield _text(command, "help")
    options = [option for option in _options(command) if not _everywhere(option)]
    if options:
        yield ""
        yield from _table(command, options)


def _table(command: click.Command, options: list[click.Option]) -> Iterator[str]:
    yield from ("| option | what it does |", "|---|---|")
    for option in options:
        spelt, told = words._spelling(option, _context(command)), " ".join(command._option_words(option).split())
        yield "| " + " | ".join(cell.replace("|", r"\|") for cell in (f"`{spelt}`", told)) + " |"


def _options(command: click.Command) -> list[click.Option]:
    return [param for param in command.params if isinstance(param, click.Option)]


def _context(command: click.Command) -> click.Context:
    """As if the command were called."""
    whole = click.Context(batiksim, info_name=PROGRAM, **batiksim.context_settings)
    return whole if command is batiksim else click.Context(command, parent=whole, info_name=command.name)


def _names(command: click.Command) -> set[str]:
    return {name for option in _options(command) for name in option.opts}


def _everywhere(option: click.Option) -> bool:
    return all(set(option.opts) <= _names(command) for command in batiksim.commands.values())


def _text(command: click.Command, what: str) -> str:
    parts = command.help_parts() if what == "help" and isinstance(command, words.Command) else {}
    return texts()(f"cli.{words._key(command)}.{what}", **parts)


if __name__ == "__main__":
    PAGE.write_text(page_text(), encoding="utf-8")
