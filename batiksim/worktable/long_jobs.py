"""What is planned and printed from the page: each a `jobs` function run as a task, one row in `LONG_JOBS`."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from batiksim import jobs
from batiksim.changes.request_fields import RequestFields
from batiksim.document.document import free_folder
from batiksim.document.own_dyes import own_dyes
from batiksim.document.uploads.clicked_patches import OWN_BOOK, has_card, photo_error, strip_text
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say
from batiksim.texts.progress import Progress
from batiksim.values import COTTON, Cloth
from batiksim.worktable.session import Session
from batiksim.worktable.tasks import SourceCloth, Task, TaskResult, Work

LongJob = Callable[[Session, RequestFields], Work]
ORDERS = "orders"
SMALL_PX = 320  # width of the picture beside an order; order-0.png shows the cloth as it stands
COTTON_TAKEN = say("worktable.calibrate.cotton_taken", colour=COTTON)


def start(session: Session, fields: RequestFields) -> Task:
    """Begin a piece of work on the cloth as it is now."""
    kind, document = fields.choice("kind", tuple(LONG_JOBS)), session.document
    with document.lock:
        revision = document.revision
        of = SourceCloth(document=document.number, design_number=document.stack.number, title=document.design.title)
    return session.tasks.start(
        kind, LONG_JOBS[kind](session, fields), of=of, unchanged=lambda: document.revision == revision
    )


def _own_book(session: Session) -> Path:
    """The maker's own dye book, in the folder of the cloth on the table."""
    if session.document.sample:
        raise BatikError("worktable.error.still_sample")
    return session.document.autosave.folder / OWN_BOOK


def _orders(session: Session, fields: RequestFields) -> Work:
    file, derive, tune = session.document.file(), fields.flag("derive"), fields.flag("tune")

    def work(out: Path, progress: Progress) -> TaskResult:
        ordered = jobs.orders(file, derive=derive, tune=tune, progress=progress)
        progress(1, 1, str(say("worktable.progress.drawing_sheet")))
        ordered.save(out)
        for rank, cloth in enumerate([ordered.planned, *ordered.cloths]):
            jobs.save_cloth_picture(cloth, out / f"order-{rank}.png", width_px=SMALL_PX)
        return TaskResult(data=ordered.data(), value=ordered)

    return work


def open_order(session: Session, key: str, rank: int) -> None:
    """Open one of the ranked orders, as a cloth of its own."""
    task = session.tasks.get(key)
    if task.kind != ORDERS or task.result is None:
        raise BatikError("worktable.error.not_ranked")
    ordered = task.result.value
    session.document.autosave.flush()  # an order of a cloth that has changed since is refused
    folder = free_folder(session.home, str(say("worktable.orders.folder", cloth=ordered.design.title, rank=rank)))
    ordered.write(folder, rank=rank)
    session.open(folder)


def _workshop(session: Session, fields: RequestFields) -> Work:
    file = session.document.file()
    settings = fields.settings(jobs.WorkshopRequest)
    measures = fields.choice("measures", ("metric", "us", "imperial", "all"))

    def work(out: Path, progress: Progress) -> TaskResult:
        planned = jobs.workshop(file, **settings, measures=measures, progress=progress)
        progress(1, 1, str(say("worktable.progress.setting_sheet")))
        planned.save(out / "workshop.pdf")
        return TaskResult(data={"blocks": planned.parts})

    return work


def _handout(session: Session, fields: RequestFields) -> Work:
    file, risk = session.document.file(), fields.flag("risk")
    options, workshop = fields.settings(jobs.HandoutOptions), fields.settings(jobs.WorkshopRequest)
    fields.read(jobs.WorkshopRequest)  # sessions that can't be read are told at once

    def work(out: Path, progress: Progress) -> TaskResult:
        jobs.handout(file, out / "handout.pdf", **options, **workshop, progress=progress)
        if risk:
            progress(1, 1, str(say("worktable.progress.setting_risk")))
            jobs.risk(file, out / "risk.pdf", paper=options.get("paper", "a4"), **workshop)
        return TaskResult(data={})

    return work


def _tracing(session: Session, fields: RequestFields) -> Work:
    file, mirror, paper = session.document.file(), fields.flag("mirror"), fields.setting(jobs.HandoutOptions, "paper")

    def work(out: Path, progress: Progress) -> TaskResult:
        made = jobs.trace(file, out, paper=paper, mirror=mirror, progress=progress)
        return TaskResult(
            data={"sheets": made.sheets, "pages": made.pages, "notes": [str(note) for note in made.notes]}
        )

    return work


def _from_picture(session: Session, fields: RequestFields) -> Work:
    photo = session.photos.get(fields.text("photo"))
    photo_file, photo_name = photo.file, photo.name  # not the picture shown, which is large
    settings = fields.settings(jobs.FromPictureRequest) | {"cloth": fields.setting(Cloth, "colour")}
    own = fields.flag("own_dyes") and session.document.design.dyes
    book = session.document.file() if own else "demo"
    home = session.home

    def work(out: Path, progress: Progress) -> TaskResult:
        called = Path(photo_name).stem.replace("-", " ").replace("_", " ").strip()
        title = called or str(say("worktable.from_picture.title"))
        made = jobs.from_picture(photo_file, **settings, dyes=book, title=title, progress=progress)
        progress(1, 1, str(say("worktable.progress.writing_cloth")))
        folder = free_folder(home, title)
        made.save(folder)
        jobs.save_cloth_picture(made.cloth, out / "cloth.png")
        off = round(made.report.miss, 1)
        return TaskResult(data={"design": folder.name, "title": title, "dyeings": len(made.names), "off": off})

    return work


def _calibrate(session: Session, fields: RequestFields) -> Work:
    dry_run, overwrite = fields.flag("dry_run"), fields.flag("replace")
    if not dry_run:
        session.document.check_here()
    photo = session.photos.get(fields.text("photo"))
    photo_file, photo_name = photo.file, photo.name  # not the picture shown, which is large
    book, document = _own_book(session), session.document
    known = jobs.names_its_cloth(document.design)
    strip = strip_text(photo.size, fields, cloth_assumed=not known)
    assumed = () if known or has_card(fields) else (COTTON_TAKEN,)

    def work(out: Path, progress: Progress) -> TaskResult:
        progress(0, 1, str(say("worktable.progress.reading", file=photo_name)))
        file = out / "strip.toml"
        file.write_text(strip, encoding="utf-8")
        try:
            calibrated = jobs.calibrate(book, picture=photo_file, strip=file, overwrite=overwrite, dry_run=dry_run)
        except BatikError as error:
            raise (photo_error(error, photo_name) if error.file in (str(file), str(photo_file)) else error) from None
        if calibrated.changes is not None and calibrated.changes.replaced:
            document.replace_own_dyes(own_dyes(document))
        return TaskResult(data=replace(calibrated, notes=(*assumed, *calibrated.notes)).data())

    return work


LONG_JOBS: dict[str, LongJob] = {
    ORDERS: _orders,
    "workshop": _workshop,
    "handout": _handout,
    "tracing": _tracing,
    "from-picture": _from_picture,
    "calibrate": _calibrate,
}
