"""What is planned and printed from the page: each a `jobs` function run as a task, one row in `WORKS`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from batiksim import jobs
from batiksim.cloth.undyed import measured_cloths
from batiksim.document.document import free_folder
from batiksim.document.own_dyes import own_dyes
from batiksim.document.request_fields import Asked
from batiksim.document.uploads.clicked_patches import OWN_BOOK, has_card, of_photo, strip_text
from batiksim.errors import BatikError
from batiksim.files.pictures import images
from batiksim.jobs.projects import Progress
from batiksim.values import COTTON, Design
from batiksim.worktable.session import Desk
from batiksim.worktable.tasks import Done, Made, Task, Work

__all__ = ["WORKS", "lay_order", "start"]

Starting = Callable[[Desk, Asked], Work]
PAPERS = ("a4", "letter")
ORDERS = "orders"
SMALL_PX = 320  # width of the picture beside an order; order-0.png shows the cloth as it stands
COTTON_TAKEN = (
    f"The bare cloth was taken as {COTTON}, a common cotton. If yours has another colour, say so under “Cloth” and "
    "learn again: the lightness of all dyes hangs on it."
)


def start(desk: Desk, asked: Asked) -> Task:
    """Begin a piece of work on the cloth as it is now."""
    kind, table = asked.choice("kind", tuple(WORKS)), desk.table
    with table.lock:
        revision = table.revision
        of = Made(table=table.number, moment=table.moment, title=table.design.title)
    return desk.tasks.start(kind, WORKS[kind](desk, asked), of=of, unchanged=lambda: table.revision == revision)


def _own_book(desk: Desk) -> Path:
    """The maker's own dye book, in the folder of the cloth on the table."""
    if desk.table.sample:
        raise BatikError("is still a sample", field="cloth", fix="change something first, so that it has a folder")
    return desk.table.keeper.folder / OWN_BOOK


def _orders(desk: Desk, asked: Asked) -> Work:
    file, derive, tune = desk.table.file(), asked.flag("derive"), asked.flag("tune")

    def work(out: Path, progress: Progress) -> Done:
        found = jobs.rank_orders(file, derive=derive, tune=tune, progress=progress)
        progress(1, 1, "drawing the sheet")
        jobs.save_orders(found, out)
        for rank, cloth in enumerate([found.planned, *found.cloths]):
            images.write_png(out / f"order-{rank}.png", images.reduced(cloth, SMALL_PX))
        return Done(data=jobs.orders_data(found), found=found)

    return work


def lay_order(desk: Desk, key: str, rank: int) -> None:
    """One of the ranked orders onto the table, as a cloth of its own."""
    task = desk.tasks.get(key)
    if task.kind != ORDERS or task.done is None:
        raise BatikError("isn't a finished ranking", field="task")
    ordered = task.done.found
    desk.table.keeper.flush()  # an order of a cloth that has changed since is refused
    folder = free_folder(desk.home, f"{ordered.project.design.title} order {rank}")
    jobs.write_order(ordered, folder, rank=rank)
    desk.open(folder)


def _workshop(desk: Desk, asked: Asked) -> Work:
    file = desk.table.file()
    makers, room_c = asked.whole("makers", 1, 500), asked.number("room_c", -20, 60)
    sessions = asked.text("sessions") if "sessions" in asked else ""
    measures = asked.choice("measures", ("metric", "us", "imperial", "all"))

    def work(out: Path, progress: Progress) -> Done:
        request = jobs.WorkshopRequest(makers=makers, room_c=room_c, sessions=sessions)
        planned = jobs.plan_workshop(file, request, measures=measures, progress=progress)
        progress(1, 1, "setting the sheet")
        jobs.save_workshop(planned, out / "workshop.pdf")
        return Done(data={"blocks": jobs.workshop_parts(planned)})

    return work


def _handout(desk: Desk, asked: Asked) -> Work:
    file, paper, risk = desk.table.file(), asked.choice("paper", PAPERS), asked.flag("risk")
    makers, room_c = asked.whole("makers", 1, 500), asked.number("room_c", -20, 60)
    one_page, learner = asked.flag("one_page"), asked.flag("learner")

    def work(out: Path, progress: Progress) -> Done:
        options = jobs.HandoutOptions(paper=paper, one_page=one_page, learner=learner)
        workshop = jobs.WorkshopRequest(makers=makers, room_c=room_c)
        jobs.save_handout(file, out / "handout.pdf", options, workshop=workshop, progress=progress)
        if risk:
            progress(1, 1, "setting the risk sheet")
            jobs.save_risk(file, out / "risk.pdf", options, workshop=workshop)
        return Done(data={})

    return work


def _tracing(desk: Desk, asked: Asked) -> Work:
    file, paper, mirror = desk.table.file(), asked.choice("paper", PAPERS), asked.flag("mirror")

    def work(out: Path, progress: Progress) -> Done:
        made = jobs.save_tracing(file, out, paper=paper, mirror=mirror, progress=progress)
        return Done(data={"sheets": made.sheets, "pages": made.pages, "notes": list(made.notes)})

    return work


def _from_picture(desk: Desk, asked: Asked) -> Work:
    picture, name = desk.photos.get(asked.text("photo"))
    steps, pots = asked.whole("steps", 1, 12), asked.whole("pots", 1, 6)
    width_mm, cloth = asked.number("width_mm", 10, 20_000), asked.text("colour")
    own = asked.flag("own_dyes") and desk.table.design.dyes
    book = desk.table.file() if own else "demo"
    home = desk.home

    def work(out: Path, progress: Progress) -> Done:
        title = Path(name).stem.replace("-", " ").replace("_", " ").strip() or "From a picture"
        request = jobs.FromPictureRequest(
            steps=steps, pots=pots, width_mm=width_mm, book=book, cloth=cloth, title=title
        )
        made = jobs.design_from_picture(picture, request, progress=progress)
        progress(1, 1, "writing the new cloth")
        folder = free_folder(home, title)
        jobs.save_from_picture(made, folder)
        images.write_png(out / "cloth.png", made.cloth)
        off = round(made.report.miss, 1)
        return Done(data={"design": folder.name, "title": title, "dyeings": len(made.names), "off": off})

    return work


def _says_its_cloth(design: Design) -> bool:
    """Whether the undyed cloth's colour is the maker's own word, or was measured with her dyes."""
    return design.cloth.colour is not None or bool(measured_cloths(design.dyes))


def _calibrate(desk: Desk, asked: Asked) -> Work:
    dry_run, overwrite = asked.flag("dry_run"), asked.flag("replace")
    if not dry_run:
        desk.table.check_here()
    picture, name = desk.photos.get(asked.text("photo"))
    book, table = _own_book(desk), desk.table
    known = _says_its_cloth(table.design)
    strip = strip_text(desk.photos.size(asked.text("photo")), asked, cloth_assumed=not known)
    assumed = [] if known or has_card(asked) else [COTTON_TAKEN]

    def work(out: Path, progress: Progress) -> Done:
        progress(0, 1, f"reading {name}")
        file = out / "strip.toml"
        file.write_text(strip, encoding="utf-8")
        try:
            found = jobs.calibrate_book(book, picture=picture, strip=file, overwrite=overwrite, dry_run=dry_run)
        except BatikError as error:
            raise (of_photo(error, name) if error.file in (str(file), str(picture)) else error) from None
        if found.changes is not None and found.changes.replaced:
            table.relearn(own_dyes(table))
        data = jobs.calibrated_data(found)
        return Done(data=data | {"notes": [*assumed, *data["notes"]]})

    return work


WORKS: dict[str, Starting] = {
    ORDERS: _orders,
    "workshop": _workshop,
    "handout": _handout,
    "tracing": _tracing,
    "from-picture": _from_picture,
    "calibrate": _calibrate,
}
