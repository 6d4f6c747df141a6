"""Words in, words out: each command parses, calls one function of `jobs`, and prints."""

from __future__ import annotations

import contextlib
import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from batiksim.errors import BatikError

if TYPE_CHECKING:
    from rich.console import Console

    from batiksim.values import Finding, Region

__all__ = ["main"]

CHECK_STRICT, BAD_INPUT = 1, 2
design_argument = click.argument("design", type=click.Path(path_type=Path))
light_option = click.option(
    "--light",
    type=click.Choice(["D65", "D50", "A", "LED"], case_sensitive=False),
    default="D65",
    show_default=True,
    help="Look at it by daylight (D65), warm daylight (D50), a filament lamp (A) or a white LED.",
)
wet_option = click.option("--wet", is_flag=True, help="Look at it wet (approximate).")
json_option = click.option("--json", "as_json", is_flag=True, help="Print the same as data.")


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


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
def new(folder: Path) -> None:
    """Write a starter design into FOLDER, ready to preview."""
    from batiksim import jobs

    made = jobs.new_design(folder)
    click.echo(f"A starter design is in {folder}: {', '.join(made)}")
    click.echo(f'See it with: batiksim preview "{folder}" --out "{folder / "preview"}"')


@main.command()
@design_argument
@click.option("--out", "out", type=click.Path(path_type=Path), required=True, help="Folder for the pictures.")
@click.option("--wax-off", is_flag=True, help="Show the dye beneath, not the wax that still lies on it.")
@click.option("--step", type=int, help="Only the plate after this step (0 = bare cloth).")
@click.option("--width", "width_px", type=click.IntRange(16, 30000), help="A quick look, this many pixels wide.")
@light_option
@wet_option
@json_option
def preview(
    design: Path,
    out: Path,
    wax_off: bool,
    step: int | None,
    width_px: int | None,
    light: str,
    wet: bool,
    as_json: bool,
) -> None:
    """Show the cloth after every step of DESIGN, and finished."""
    from batiksim import jobs

    with _progress(not as_json) as progress:
        saved = jobs.save_preview(
            design,
            out,
            wax_off=wax_off,
            step=step,
            width_px=width_px,
            light=light,
            look="wet" if wet else "dry",
            progress=progress,
        )
    if as_json:
        click.echo(json.dumps(saved.report, ensure_ascii=False, indent=2))
        return
    console = _console()
    _print_regions(console, saved.regions)
    _print_assumed(saved.report["assumed"])
    _print_findings(console, saved.findings)
    click.echo(f"{len(saved.files)} files in {saved.folder}")


def _codes(_: click.Context, __: click.Parameter, text: str | None) -> tuple[str, ...]:
    """Words from "leak,mud"."""
    return tuple(word.strip() for word in (text or "").split(",") if word.strip())


@main.command()
@design_argument
@click.option("--out", type=click.Path(path_type=Path), help="Picture of the cloth with each place ringed (.png).")
@click.option("--corrected", type=click.Path(path_type=Path), help="Folder for masks moved to where they fit.")
@click.option("--only", callback=_codes, metavar="CHECKS", help="Only these checks, such as leak,mud.")
@click.option("--skip", callback=_codes, metavar="CHECKS", help="Leave these checks out.")
@click.option("--strict", is_flag=True, help="End with exit code 1 when anything serious is found.")
@json_option
def check(
    design: Path,
    out: Path | None,
    corrected: Path | None,
    only: tuple[str, ...],
    skip: tuple[str, ...],
    strict: bool,
    as_json: bool,
) -> None:
    r"""Look for what would spoil the cloth of DESIGN.

    \b
    CHECKS are leak, neighbours, mud, faint, order, hand, fit, wasted,
    depth, lost and reach. A design leaves some out with: [checks]
    and under it skip = ["fit"]
    """
    from batiksim import jobs

    with _progress(not as_json) as progress:
        findings = jobs.check_design(design, only=only, skip=skip, out=out, corrected=corrected, progress=progress)
    if as_json:
        data = jobs.findings_data(findings)
        click.echo(json.dumps(data, ensure_ascii=False, indent=2))
    else:
        _print_findings(_console(), findings)
    if strict and any(finding.severity == "serious" for finding in findings):
        sys.exit(CHECK_STRICT)


@main.command()
@click.argument("source", metavar="DESIGN-or-BOOK")
@click.option("--out", type=click.Path(path_type=Path), help="The chart: a .png, .pdf, .csv or .json file.")
@click.option("--strength", type=float, default=1.0, show_default=True, help="Of the dye on top; 1 is full strength.")
@click.option("--under", type=float, help="Strength of the dye beneath; the same when left out.")
@click.option("--only", metavar="NAMES", default="", help='Only these dyes or pots: "lemon, navy".')
@click.option("--pots", "use_pots", is_flag=True, help="Chart the pots of a design, as mixed, not its dyes.")
@click.option("--cloth", metavar="COLOUR", help='Colour of the undyed cloth, such as "#f1ede2".')
@light_option
@wet_option
@json_option
def overdye(
    source: str,
    out: Path | None,
    strength: float,
    under: float | None,
    only: str,
    use_pots: bool,
    cloth: str | None,
    light: str,
    wet: bool,
    as_json: bool,
) -> None:
    """Chart every dye over every dye of a design, a dye book or "demo", and mark what turns to mud."""
    from batiksim import jobs

    if out is None and not as_json:
        raise BatikError("the chart needs a file to go to", field="--out", fix="write --out chart.png")
    chart = jobs.overdye_chart(
        source,
        strength=strength,
        under=under,
        light=light,
        look="wet" if wet else "dry",
        only=[name.strip() for name in only.split(",") if name.strip()],
        use_pots=use_pots,
        cloth=cloth,
    )
    if out is not None:
        jobs.save_overdye(chart, out)
    if as_json:
        click.echo(json.dumps(jobs.overdye_data(chart), ensure_ascii=False, indent=2))
        return
    muddy = sum(shade.mud for row in chart.cells for shade in row)
    click.echo(f"{len(chart.dyes) ** 2} overdyes of {len(chart.dyes)} {chart.what}s, {muddy} of them mud, in {out}")
    for note in chart.notes:
        click.echo(note)


def _points(_: click.Context, __: click.Parameter, text: str | None) -> tuple[tuple[float, float], ...] | None:
    """Four corners from "x,y x,y x,y x,y"."""
    if text is None:
        return None
    try:
        pairs = [tuple(float(part) for part in pair.split(",")) for pair in text.split()]
    except ValueError:
        pairs = []
    points = tuple((pair[0], pair[1]) for pair in pairs if len(pair) == 2)
    if len(points) != 4 or len(pairs) != 4:
        raise BatikError(
            "needs four corners in pixels",
            field="--corners",
            got=text,
            fix='write "412,305 3620,380 3580,1490 395,1420"',
        )
    return points


corners_option = click.option(
    "--corners",
    callback=_points,
    metavar="'X,Y X,Y X,Y X,Y'",
    help="Corners in the photo, in pixels: top left, top right, bottom right, bottom left.",
)


@main.command()
@click.argument("photo", type=click.Path(path_type=Path), required=False)
@click.option("--strip", type=click.Path(path_type=Path), help="File saying which patch is what, and where.")
@click.option("--table", type=click.Path(path_type=Path), help="Measured swatches (CSV) instead of a photo.")
@click.option("--book", type=click.Path(path_type=Path), required=True, help="Dye book to write the dyes into.")
@corners_option
@click.option("--dry-run", is_flag=True, help="Show what would be learnt, and leave the book as it is.")
@click.option("--replace", is_flag=True, help="Also replace dyes in the book that are surer than the new ones.")
@json_option
def calibrate(
    photo: Path | None,
    strip: Path | None,
    table: Path | None,
    book: Path,
    corners: tuple[tuple[float, float], ...] | None,
    dry_run: bool,
    replace: bool,
    as_json: bool,
) -> None:
    """Learn your own dyes from a PHOTO of a dyed strip, and keep them in a dye book."""
    from batiksim import jobs

    result = jobs.calibrate_book(
        book, picture=photo, strip=strip, table=table, corners=corners, overwrite=replace, dry_run=dry_run
    )
    if as_json:
        click.echo(json.dumps(jobs.calibrated_data(result), ensure_ascii=False, indent=2))
        return
    from batiksim.cli_tables import print_calibration

    print_calibration(_console(), result)
    if result.changes is None:
        click.echo(f"{book} is as it was.")
    elif result.changes.added or result.changes.replaced:
        click.echo(f'Dyes are in {book}. In a design, name one with: book = "{book.name}"')


book_option = click.option(
    "--book", default="demo", show_default=True, help="Dye book or design to take dyes from; demo is built in."
)
cloth_option = click.option("--cloth", metavar="COLOUR", help='Colour of the undyed cloth, such as "#f1ede2".')


@main.command()
@click.argument("recipe")
@click.option("--strength", type=float, help="1 is full strength, as when left out; 0.5 is half water.")
@click.option("--ml", type=float, help="How much the pot holds, before drops.")
@book_option
@cloth_option
@click.option("--out", type=click.Path(path_type=Path), help="Also draw it as dyed cloth, into this .png file.")
@json_option
def pot(
    recipe: str,
    strength: float | None,
    ml: float | None,
    book: str,
    cloth: str | None,
    out: Path | None,
    as_json: bool,
) -> None:
    """Show what a pot dyes: RECIPE in parts, such as "lemon=5, turquoise=1, navy=3 drops".

    You see it dry and wet on cloth and in the pot, and how one part more of each dye shifts it.
    """
    from batiksim import jobs

    look = jobs.look_at_pot(recipe, source=book, cloth=cloth, strength=strength, ml=ml)
    if out is not None:
        jobs.save_pot(look, out)
    if as_json:
        click.echo(json.dumps(jobs.pot_data(look), ensure_ascii=False, indent=2))
        return
    from batiksim.cli_pots import print_pot

    print_pot(_console(), look)
    if out is not None:
        click.echo(f"Drawn in {out}")


@main.command("match")
@click.argument("colour")
@click.option(
    "--dyes", "most_dyes", type=int, default=3, show_default=True, help="At most so many dyes in a pot (1-4)."
)
@click.option("--parts", "most_parts", type=int, default=8, show_default=True, help="At most so many parts of each.")
@click.option("--ground", help='What is on the cloth already: a colour, or a pot such as "lemon=1".')
@click.option("--pots", "count", type=click.IntRange(1, 20), default=5, show_default=True, help="How many to show.")
@book_option
@cloth_option
@json_option
def match_command(
    colour: str,
    most_dyes: int,
    most_parts: int,
    ground: str | None,
    count: int,
    book: str,
    cloth: str | None,
    as_json: bool,
) -> None:
    """Find the pot nearest to COLOUR: "#c05f7a", or a name such as "deep yellowish pink"."""
    from batiksim import jobs

    found = jobs.match_colour(
        colour, source=book, cloth=cloth, most_dyes=most_dyes, most_parts=most_parts, ground=ground, count=count
    )
    if as_json:
        click.echo(json.dumps(jobs.match_data(found), ensure_ascii=False, indent=2))
        return
    from batiksim.cli_pots import print_match

    print_match(_console(), found)


@main.command()
@design_argument
@click.argument("photo", type=click.Path(path_type=Path))
@click.option("--out", "out", type=click.Path(path_type=Path), required=True, help="Folder for the pictures.")
@corners_option
@json_option
def compare(
    design: Path, photo: Path, out: Path, corners: tuple[tuple[float, float], ...] | None, as_json: bool
) -> None:
    """Lay a PHOTO of the finished cloth over DESIGN, and tell where and how it came out otherwise."""
    from batiksim import jobs

    with _progress(not as_json) as progress:
        result = jobs.compare_photo(design, photo, out, corners=corners, progress=progress)
    if as_json:
        click.echo(json.dumps(jobs.compared_data(result), ensure_ascii=False, indent=2))
        return
    from batiksim.cli_tables import print_comparison

    print_comparison(_console(), result)
    click.echo(result.summary)
    click.echo(f"{len(result.files)} files in {result.folder}; open {result.folder / 'compare.png'}")
    if result.teaches:
        click.echo(
            "Teach the tool these dyes with: "
            f'batiksim calibrate --table "{result.folder / jobs.COMPARE_TABLE}" --book my-dyes.toml --dry-run'
        )
    else:
        click.echo("No dye lies alone and even beside bare cloth, so this cloth can't teach its dyes: dye a strip.")


def _between(_: click.Context, __: click.Parameter, text: str | None) -> tuple[int, int] | None:
    """How many, from "3" or "2-5"."""
    if text is None:
        return None
    low, dash, high = text.partition("-")
    try:
        return int(low), int(high if dash else low)
    except ValueError:
        raise BatikError("needs a number or a range", field="--choose", got=text, fix="write 3, or 2-5") from None


@main.command("orders")
@design_argument
@click.option("--choose", callback=_between, metavar="N or N-N", help="Try every choice of so many pots: 3, or 2-5.")
@click.option("--book", help="Dye book to choose from, instead of the design's own pots; demo is built in.")
@click.option("--best", type=click.IntRange(1, 12), default=5, show_default=True, help="How many to show.")
@click.option("--tune", is_flag=True, help="Also thin or strengthen pots where that helps.")
@click.option(
    "--masks",
    type=click.Choice(["keep", "derive"]),
    default="keep",
    show_default=True,
    help="Keep the wax as drawn, or find anew what to wax before which dyeing.",
)
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for orders.png, a sheet of previews, and its data."
)
@click.option(
    "--write", "write_to", type=click.Path(path_type=Path), help="Write an order as a design into a new folder."
)
@click.option("--rank", type=int, default=1, show_default=True, help="Which order to write.")
@json_option
def orders_command(
    design: Path,
    choose: tuple[int, int] | None,
    book: str | None,
    best: int,
    tune: bool,
    masks: str,
    out: Path | None,
    write_to: Path | None,
    rank: int,
    as_json: bool,
) -> None:
    """Rank every order of the pots of DESIGN, or every choice from a dye book.

    What counts: the colours you want ([[want]] in the design), clear colours, areas that read, pale to strong, few
    pots.
    """
    from batiksim import jobs

    derive = masks == "derive"
    with _progress(not as_json) as progress:
        ordered = jobs.rank_orders(
            design, choose=choose, book=book, best=best, tune=tune, derive=derive, progress=progress
        )
    done = jobs.keep_orders(ordered, out=out, write_to=write_to, rank=rank)
    if as_json:
        click.echo(json.dumps(jobs.orders_data(ordered), ensure_ascii=False, indent=2))
        return
    from batiksim.cli_orders import print_orders

    print_orders(_console(), ordered)
    for said in done:
        click.echo(said)


@main.command()
@click.argument("design", type=click.Path(path_type=Path), required=False)
@click.option("--home", type=click.Path(path_type=Path, file_okay=False), default=".", help="Where new cloths are kept.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="A port of your choice; any free one otherwise.")
@click.option("--no-browser", is_flag=True, help="Only tell the address; don't open the browser.")
def worktable(design: Path | None, home: Path, port: int, no_browser: bool) -> None:
    """Open the worktable in your browser: look, try and change DESIGN live, or a sample when you name none.

    The page is for this machine alone. What you change is saved as you go.
    """
    from batiksim.worktable.run import serve

    serve(design, home=home.resolve(), port=port, browser=not no_browser, say=click.echo)


def _console() -> Console:
    from rich.console import Console

    return Console(highlight=False, markup=False, emoji=False)  # names are printed as the maker wrote them


def _print_regions(console: Console, regions: tuple[Region, ...]) -> None:
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, header_style="bold")
    for title in ("", "Colour", "Name", "Share", "Dyes it took"):
        table.add_column(title, justify="right" if title == "Share" else "left")
    for region in regions:
        history = " + ".join(region.history) or "none: bare cloth"
        swatch = Text("      ", style=f"on {region.hex}")
        table.add_row(swatch, region.hex, region.name, f"{region.share:.1%}", history)
    console.print(table)


def _print_assumed(assumed: list[str]) -> None:
    for note in assumed:
        click.echo(f"Assumed: {note}")


def _print_findings(console: Console, findings: tuple[Finding, ...]) -> None:
    if not findings:
        from batiksim.plan.checks import NOTHING

        click.echo(NOTHING)
    styles = {"serious": "bold red", "warn": "yellow", "note": "dim"}
    for finding in findings:
        where = f"step {finding.step}, " if finding.step else ""
        console.print(f"{finding.severity} ", style=styles[finding.severity], end="", markup=False)
        console.print(f"({where}{finding.code}): {finding.message} {finding.remedy}", markup=False)


def _tell_only_long_waits(done: int, whole: int, what: str) -> None:
    from batiksim import jobs

    if what == jobs.PREPARING:
        click.echo(f"batiksim: {what} (some seconds)", err=True)


@contextlib.contextmanager
def _progress(shown: bool) -> Iterator[Callable[[int, int, str], None]]:
    """A progress line on a terminal, after half a second; silence elsewhere."""
    if not (shown and sys.stderr.isatty()):
        yield _tell_only_long_waits
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description:<18}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("reading", total=None)

        def tell(done: int, whole: int, what: str) -> None:
            bar.update(task, completed=done, total=whole, description=what)

        yield tell
