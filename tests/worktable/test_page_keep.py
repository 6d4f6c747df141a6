"""Keep: saved as she works, a history, nothing lost when page or server die, a second page that is told."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

from batiksim.files.disk.locking import Hold
from batiksim.files.toml.designs import read_design, write_design
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, Dye, DyeBook, Undyed


def test_history_goes_back_and_undo_returns(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    for text in ("First name", "Second name"):
        seen.page.fill("#title", text)
        seen.page.press("#title", "Enter")
        seen.until(lambda text=text: read_design(muddy).title == text, text)
        seen.saved()
    seen.page.get_by_role("tab", name="History", exact=True).click()
    seen.until(lambda: seen.page.inner_text("#leaf h2") == "History", "the leaf")
    seen.until(lambda: seen.page.locator("#leaf li").count() == 3, "the versions, and the cloth as it was opened")
    seen.page.locator("#leaf li button").first.click()
    seen.until(lambda: seen.page.input_value("#title") == "First name", "the first version")
    seen.key("undo").click()
    seen.until(lambda: seen.page.input_value("#title") == "Second name", "the second version")


def test_a_second_page_is_told_and_both_show_the_same(serve, visit, muddy) -> None:
    served = serve(muddy)
    first = visit(served)
    assert first.page.locator("#notice").is_hidden()
    second = visit(served)
    second.page.wait_for_selector("#notice")
    assert "2 pages" in second.page.inner_text("#notice")
    first.until(lambda: "2 pages" in first.page.inner_text("#notice"), "the note on the first page")
    first.page.fill("#title", "Told to both")
    first.page.press("#title", "Enter")
    second.until(lambda: second.page.input_value("#title") == "Told to both", "the title on the second page")
    second.page.close()
    first.until(lambda: first.page.locator("#notice").is_hidden(), "one page again")


def test_an_answer_that_comes_late_takes_nothing_back(serve, visit, muddy) -> None:
    """The page asks how the cloth is since another page changed it; meanwhile its own change has been done."""
    served = serve(muddy)
    first, second = visit(served), visit(served)
    late = []
    first.page.route("**/api/state", lambda route: late.append((route, route.fetch())))
    second.page.fill("#title", "From the second page")
    second.page.press("#title", "Enter")
    first.until(lambda: late, "the question how the cloth is")
    first.page.fill("#title", "From the first page")
    first.page.press("#title", "Enter")
    first.until(lambda: read_design(muddy).title == "From the first page", "the change")
    first.saved()
    for route, answer in late:
        route.fulfill(response=answer)
    first.page.unroute("**/api/state")
    first.settled()
    assert first.page.input_value("#title") == "From the first page"


def test_a_reload_loses_nothing(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.fill("#title", "Still here")
    seen.page.press("#title", "Enter")
    seen.saved()
    seen.page.reload()
    seen.full()
    assert seen.page.input_value("#title") == "Still here"
    assert seen.key("undo").is_enabled()


def test_kill_of_the_server_loses_nothing_that_was_shown_as_saved(browser, muddy) -> None:
    """Changes rain down; the server is killed in their midst; the disk holds at least what the page said was saved."""
    code = "from batiksim.cli import main; main()"
    home = muddy.parent
    words = [sys.executable, "-c", code, "worktable", str(muddy), "--home", str(home), "--no-browser"]
    for round_ in range(3):
        running = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)
        try:
            address = running.stdout.readline().strip()
            page = browser.new_page()
            page.goto(address)
            page.wait_for_selector("#kept.saved")
            told = 0
            for count in range(1000):
                page.fill("#title", f"Round {round_} title {count}")
                page.press("#title", "Enter")
                page.evaluate("() => new Promise(requestAnimationFrame)")
                told = page.evaluate("Number(document.querySelector('#kept').dataset.revision)")
                if told > 3 + 4 * round_ and page.locator("#kept.waiting").count():
                    break
            os.kill(running.pid, signal.SIGKILL)
            running.wait(10)
            page.wait_for_selector("#notice.bad")
            assert "stopped" in page.inner_text("#notice")
            page.close()
        finally:
            running.kill()
            running.stdout.close()
            running.wait(10)
        on_disk = re.fullmatch(rf"Round {round_} title (\d+)", read_design(muddy).title)
        assert on_disk is not None
        assert int(on_disk.group(1)) >= told - 1, "revision n is title n - 1"
        assert told > 3


def forgive(seen) -> None:
    """That the browser itself couldn't reach the server is no fault of the page."""
    seen.errors[:] = [error for error in seen.errors if "ERR_" not in error and "401" not in error]


def watch_for_saved(seen) -> None:
    """From now on, note whether the page ever says that something is saved."""
    seen.page.evaluate("""() => {
        window.said = [];
        new MutationObserver(() => window.said.push(document.querySelector('#kept').className))
            .observe(document.querySelector('#kept'), { attributes: true, childList: true });
    }""")


def test_a_change_made_after_the_server_has_died_is_never_shown_as_saved(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.saved()
    served.stop()
    watch_for_saved(seen)
    in_vain: list[object] = []
    seen.page.on("requestfailed", lambda sent: in_vain.append(sent))
    seen.key("strength-2").focus()
    seen.page.keyboard.press("End")
    seen.page.wait_for_selector("#kept.failed")
    seen.until(lambda: seen.page.inner_text("#kept").startswith("Not saved"), "that it isn't saved")
    seen.until(lambda: seen.key("strength-2").input_value() == "0.5", "the strength that is kept")
    seen.page.fill("#title", "Lost")
    seen.page.press("#title", "Enter")
    seen.until(lambda: seen.page.input_value("#title") == "Brown leaves", "the title that is kept")
    before = len(in_vain)
    seen.until(lambda: len(in_vain) >= before + 4, "the page to look for the server twice more, for answers and news")
    assert seen.page.inner_text("#kept").startswith("Not saved")
    assert "saved" not in seen.page.evaluate("window.said")
    assert "stopped" in seen.page.inner_text("#notice")
    assert seen.key("hush").count() == 0, "it can't be closed while nothing is kept"
    assert "Checking the cloth" not in seen.page.inner_text("#notebook")
    assert read_design(muddy).title == "Brown leaves"
    forgive(seen)


def test_the_page_comes_back_when_the_server_does(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    served.stop()
    seen.page.wait_for_selector("#notice.bad")
    seen.page.wait_for_selector("#kept.failed")
    seen.page.fill("#title", "Lost")
    seen.page.press("#title", "Enter")
    again = serve(muddy, port=served.port)
    seen.saved()
    seen.until(lambda: "please do it again" in seen.page.inner_text("#notice"), "what wasn't kept")
    seen.key("hush").click()
    seen.page.fill("#title", "Kept")
    seen.page.press("#title", "Enter")
    seen.until(lambda: again.session.document.design.title == "Kept", "the page works on")
    forgive(seen)


def test_a_page_of_an_older_server_sends_her_to_the_new_one(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    served.stop()
    seen.page.wait_for_selector("#notice.bad")
    again = serve(muddy, port=served.port, token="of the next run")
    seen.until(lambda: "Go on in the new page" in seen.page.inner_text("#notice"), "where to go on")
    seen.page.fill("#title", "Lost")
    seen.page.press("#title", "Enter")
    seen.until(lambda: seen.page.input_value("#title") == "Brown leaves", "the title that is kept")
    assert seen.page.inner_text("#kept").startswith("Not saved")
    assert again.session.document.design.title == "Brown leaves"
    forgive(seen)


def test_a_second_worktable_on_the_same_cloth_says_so_and_keeps_nothing(serve, visit, muddy) -> None:
    first, second = serve(muddy), serve(muddy)
    here, there = visit(first), visit(second)
    there.until(lambda: "open in another worktable" in there.page.inner_text("#notice"), "that it is open twice")
    assert there.key("hush").count() == 0
    assert there.page.locator("#kept.failed").count() == 1
    there.page.fill("#title", "By the second")
    there.page.press("#title", "Enter")
    there.until(lambda: there.page.input_value("#title") == "Brown leaves", "the title that is kept")
    here.page.fill("#title", "By the first")
    here.page.press("#title", "Enter")
    here.saved()
    assert here.page.locator("#notice").is_hidden()
    assert read_design(muddy).title == "By the first"
    first.stop()
    there.until(lambda: there.page.input_value("#title") == "By the first", "the cloth as the first one left it")
    assert there.page.locator("#notice").is_hidden()
    there.page.fill("#title", "By the second")
    there.page.press("#title", "Enter")
    there.saved()
    assert read_design(muddy).title == "By the second"
    forgive(here)
    there.errors[:] = [error for error in there.errors if "422" not in error]


def test_a_hold_ends_with_its_process(muddy) -> None:
    file = muddy / "design.toml"
    code = "import sys; from batiksim.files.disk.locking import Hold"
    does = "print(Hold.take(sys.argv[1]) is not None, flush=True); sys.stdin.read()"
    words = [sys.executable, "-c", f"{code}; {does}", str(file)]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout.readline().strip() == "True"
        assert Hold.take(file) is None
        os.kill(running.pid, signal.SIGKILL)
        running.wait(10)
        hold = Hold.take(muddy / ".." / muddy.name / "design.toml")
        assert hold is not None
        assert Hold.take(file) is None, "one path for one file"
        hold.let_go()


def test_without_a_name_the_cloth_saved_last_is_opened(serve, muddy, tmp_path) -> None:
    older = Path(shutil.copytree(muddy, muddy.parent / "older"))
    os.utime(older / "design.toml", (1, 1))
    broken = muddy.parent / "broken"
    broken.mkdir()
    (broken / "design.toml").write_text("format = 1")
    served = serve()
    assert served.session.document.autosave.folder == muddy
    assert not served.ask("state")["sample"]


def test_without_any_cloth_the_sample_is_opened(serve) -> None:
    assert serve().ask("state")["sample"]


def test_a_design_changed_elsewhere_is_told_and_kept_in_the_history(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    file = muddy / "design.toml"
    file.write_text(file.read_text().replace("Brown leaves", "By another hand"))
    seen.page.fill("#title", "By ours")
    seen.page.press("#title", "Enter")
    seen.page.wait_for_selector("#notice.bad")
    assert "“History”" in seen.page.inner_text("#notice")
    seen.saved()
    assert "Changed outside the worktable" in [one["what"] for one in served.ask("history")["versions"]]
    assert read_design(muddy).title == "By ours"


def test_a_dye_book_changed_elsewhere_is_shown_anew_and_told(serve, visit, muddy) -> None:
    def book(colour: str) -> Dye:
        entry = BookDye(name="ink", colour=colour, seen_on=Undyed(colour="#efe9dd"))
        book = DyeBook(name="mine.toml", title="Mine", entries=(entry,))
        write_book(book, muddy / "mine.toml")
        return book.dyes[0]

    design = read_design(muddy)
    write_design(replace(design, dyes=(*design.dyes[:2], book("#2a2c55"))), muddy)
    served = serve(muddy)
    seen = visit(served)
    seen.page.evaluate("window.dispatchEvent(new Event('focus'))")
    assert served.ask("state")["revision"] == 0, "nothing has changed"
    (muddy / "mine.toml").write_text("half writ")
    assert served.ask("state")["revision"] == 0, "looked at again once it can be read"
    book("#aa3322")
    seen.page.evaluate("window.dispatchEvent(new Event('focus'))")
    seen.page.wait_for_selector("#notice.bad")
    assert "ink" in seen.page.inner_text("#notice")
    assert served.ask("state")["dyes"][2]["hex"] != design.dyes[2].colour
    served.session.document.autosave.flush()
    assert served.session.document.design == read_design(muddy)


def test_a_folder_that_cannot_be_written_is_told(serve, visit, muddy, monkeypatch) -> None:
    served = serve(muddy)
    seen = visit(served)

    def refuse(*args: object, **keys: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("batiksim.document.autosave.designs.write_design", refuse)
    seen.page.fill("#title", "Nowhere to go")
    seen.page.press("#title", "Enter")
    seen.page.wait_for_selector("#kept.failed")
    assert "No space left" in seen.page.inner_text("#kept")
    monkeypatch.undo()
    seen.page.fill("#title", "Room again")
    seen.page.press("#title", "Enter")
    seen.saved()
    assert read_design(muddy).title == "Room again"
