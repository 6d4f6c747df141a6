"""Every request is worked in the language of its cookie, in whatever thread; the page is sent in it."""

from __future__ import annotations

import asyncio
import json
from concurrent.futures import ThreadPoolExecutor

import pytest

from batiksim.errors import BatikError
from batiksim.texts.catalogue import ENGLISH, say, spoken
from batiksim.worktable.page_words import InLanguage, chosen, page_html, page_words
from batiksim.worktable.routes import ROUTES
from batiksim.worktable.tasks import SourceCloth, TaskResult, Tasks
from tests.pseudo_language import CODE, forget, pseudo
from tests.waiting import until
from tests.worktable.test_server import HOST, _asked, make_app


@pytest.fixture
def asked(session, two_languages):
    """asked(path, language) : the answer to a request with that cookie."""
    app = make_app(session, hosts=[HOST], token="secret")

    def ask(path, language=None, method="POST", body=b"{}"):
        headers = [] if language is None else [(b"cookie", f"other=1; batiksim-language={language}".encode())]
        with ThreadPoolExecutor(1) as pool:
            return pool.submit(asyncio.run, _asked(app, path, body, method=method, more=headers)).result(60)

    return ask


@pytest.mark.parametrize(
    ("cookie", "language"),
    [
        ("", ENGLISH),
        (f"batiksim-language={CODE}", CODE),
        (f"a=b; batiksim-language={CODE}; c=d", CODE),
        ("batiksim-language=tlh", ENGLISH),
        ("batiksim-language=", ENGLISH),
        ("batiksim-language=../en", ENGLISH),
        ("\x00;;==\xff", ENGLISH),
        (f'other={{"a": 1}}; batiksim-language={CODE}', CODE),
    ],
)
def test_the_language_that_a_cookie_names(two_languages, cookie, language):
    assert chosen({"cookie": cookie}) == language


def test_a_page_is_answered_in_its_own_language_whatever_was_chosen_since(two_languages):
    cookie = f"batiksim-language={CODE}"
    assert chosen({"cookie": cookie, "x-worktable-language": "en"}) == "en"
    assert chosen({"cookie": cookie, "x-worktable-language": "tlh"}) == "en"
    assert chosen({"x-worktable-language": CODE}) == CODE


def test_work_in_threads_speaks_the_language_of_its_request(asked, monkeypatch):
    for name in ("state", "findings"):  # quick, and slow
        monkeypatch.setitem(
            ROUTES, name, lambda session, fields: {"language": spoken(), "said": str(say("error.step", number=1))}
        )
    for name in ("state", "findings"):
        assert asked(f"/api/{name}", CODE).data == {"language": CODE, "said": pseudo("step {n}").format(n=1)}
        assert asked(f"/api/{name}").data == {"language": "en", "said": "step 1"}
        assert asked(f"/api/{name}", "tlh").data["language"] == "en"


def test_what_is_refused_is_said_in_it(asked, monkeypatch):
    def work(session, fields):
        raise BatikError("worktable.error.task_gone")

    monkeypatch.setitem(ROUTES, "state", work)
    error = asked("/api/state", CODE).data["error"]
    assert error["problem"] == pseudo("this task is no longer here")
    assert error["plain"] == f"{pseudo('this task is no longer here')}. {pseudo('start it again')}."
    assert asked("/api/state", CODE, method="PUT").data["error"]["problem"] == pseudo(
        "The worktable doesn't accept this kind of request."
    )


def test_the_page_is_sent_in_it(asked):
    page = asked("/", CODE, method="GET").body.decode()
    assert f'<html lang="{CODE}">' in page
    assert pseudo("Skip to the cloth") in page
    english = asked("/page/index.html", method="GET")
    assert english.headers["content-type"] == "text/html; charset=utf-8"
    assert english.headers["cache-control"] == "no-store"
    sent = english.body.decode()
    assert '<html lang="en-GB">' in sent
    words = json.loads(sent.partition('id="words">')[2].partition("</script>")[0])
    assert words["languages"] == [["en", "English"], [CODE, pseudo("English")]]
    assert words["plurals"] == ["one", "other"]
    assert words["texts"]["page.pot.parts"] == ["{count} part", "{count} parts"]
    assert words["texts"]["page.dialog.cancel"] == "Cancel"


def test_nothing_in_a_text_ends_the_words_of_the_page(monkeypatch):
    forget()
    real = page_words()
    monkeypatch.setattr("batiksim.worktable.page_words.page_words", lambda: real | {"texts": {"x": "</script><b>"}})
    page = page_html(spoken()).decode()
    assert "<b>" not in page
    forget()


def test_a_task_keeps_the_language_that_it_was_begun_in(tmp_path, two_languages):
    heard = []
    tasks = Tasks(tmp_path, heard.append)

    def work(folder, progress):
        return TaskResult(data={"language": spoken()})

    async def begin(scope, receive, send):
        of = SourceCloth(document=1, design_number=1, title="Tide")
        tasks.start("odd", work, of=of, unchanged=lambda: True)

    scope = {"type": "http", "headers": [(b"cookie", f"batiksim-language={CODE}".encode())]}
    with ThreadPoolExecutor(1) as pool:
        pool.submit(asyncio.run, InLanguage(begin)(scope, None, None)).result(60)
    until(lambda: heard and heard[-1]["state"] == "done", "the task")
    assert heard[-1]["data"] == {"language": CODE}
    assert spoken() == "en", "in this thread"
