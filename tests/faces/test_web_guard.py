"""What the web face lets nobody do: size, origin, hostile texts, what a browser may load."""

import asyncio
import html
import re
from html.parser import HTMLParser

import pytest

from tests.faces.shop import HOME, SHEET, Shop, made_log, text_of
from tests.lubrication.films import coarse_maps
from witnessmark.web.forms import shown_name
from witnessmark.web.guard import HEADERS
from witnessmark.web.store import Room, Store

EVIL = '"><script>alert(1)</script><img src=x onerror=alert(2)>'


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop(upload_limit=2_000_000)


class _Loads(HTMLParser):
    """Every tag's name, and every address a page makes a browser load or send to."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.addresses: list[str] = []
        self.handlers: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        for name, value in attrs:
            if name in ("src", "href", "action", "srcset", "data"):
                self.addresses.append(value or "")
            if name.startswith("on"):
                self.handlers.append(name)


@pytest.fixture(scope="module")
def plan(shop) -> str:
    return shop.plan()


@pytest.fixture(scope="module")
def verdict(shop, plan) -> str:
    """Path of a verdict whose log, columns and file name are as hostile as we can make them."""
    log = made_log().replace(b"Coolant [\xc2\xb0C]", b"<script>x</script>")
    drive = shop.drive(plan, log, name=f"..\\{EVIL}\r\nSet-Cookie: x=1.csv")
    assert drive.status_code == 303, text_of(drive)
    return drive.headers["location"]


@pytest.fixture(scope="module")
def pages(shop, plan, verdict) -> list:
    """One of every kind of page."""
    return [
        shop.get("/"), shop.get(plan), shop.get(plan + "/sheet"), shop.get(plan + "/drive"),
        shop.get(verdict), shop.drive(plan, b"x"), shop.get("/nowhere"),
        shop.post("/plans", data={"sheet": "a ="}),
    ]  # fmt: skip


def test_every_answer_carries_the_headers(shop, pages):
    others = ["/health", "/static/web.css", "/schema/build-sheet.json"]
    for answer in [*pages, *map(shop.get, others)]:
        for name, value in HEADERS.items():
            assert answer.headers[name] == value
        assert "script-src" not in answer.headers["content-security-policy"]  # falls to 'none'


def test_no_page_has_a_script_or_loads_from_elsewhere(pages):
    for answer in pages:
        found = _Loads(answer.text)
        assert not {"script", "iframe", "object", "embed"} & set(found.tags)
        assert not found.handlers
        for address in found.addresses:
            assert address.startswith(("/", "#")), address
            assert not address.startswith("//")


def test_every_address_a_page_names_is_there(shop, pages):
    named = {
        address.partition("#")[0]
        for answer in pages for address in _Loads(answer.text).addresses
    }  # fmt: skip
    with coarse_maps():  # a whole film takes seconds, and only its address is asked for
        for path in sorted(named):
            if path and path != "/plans" and "/reviews/" not in path:
                assert shop.get(path).status_code in (200, 405), path


# Hostile texts


def test_text_of_a_sheet_is_never_markup(shop):
    hostile = SHEET.replace("Heron 24T", EVIL.replace('"', '\\"')).replace("TS-0417", "<b>7</b>")
    page = shop.get(shop.plan(hostile))
    assert "<script" not in page.text
    assert "<b>7</b>" not in page.text
    assert "&lt;b&gt;7" in page.text


def test_a_faulty_sheet_cannot_leave_its_field(shop):
    answer = shop.post("/plans", data={"sheet": f"</textarea>{EVIL}"})
    assert "<script" not in answer.text
    assert answer.text.count("</textarea>") == 1


@pytest.mark.parametrize(
    ("name", "shown"),
    [("../../etc/passwd", "passwd"), ("..\\..\\boot.ini", "boot.ini"), ("x" * 999, "x" * 120),
     ("\u202ecsv.exe", "\ufffdcsv.exe"), ("a\r\nb.csv", "a\ufffd\ufffdb.csv"), ("/", "the file"),
     ("", "the file"), ("Fahrt 1, Öl.csv", "Fahrt 1, Öl.csv")],
)  # fmt: skip
def test_a_file_name_is_shown_without_folders_and_tricks(name, shown):
    assert shown_name(name) == shown


def test_a_hostile_file_name_and_column_are_only_shown(shop, verdict):
    page = shop.get(verdict)
    assert "<script" not in page.text
    assert "<img" not in page.text
    assert "&lt;script&gt;x" in page.text
    name = shop.get(verdict + "/verdict.json").json()["log"]["name"]
    assert name.isprintable()
    assert not set(name) & set("/\\\r\n")
    assert name in html.unescape(page.text)
    assert shop.get(verdict + "/verdict.pdf").content.startswith(b"%PDF-")


def test_a_hostile_correction_and_phase_are_only_shown(shop):
    answer = shop.post(
        shop.plan() + "/drive", data={"phase": EVIL, "columns": f"</textarea>{EVIL}=x:y"},
        files={"log": ("drive.csv", made_log())},
    )  # fmt: skip
    assert answer.status_code == 400
    assert "<script" not in answer.text
    asked = shop.get(shop.plan() + "/drive", params={"phase": EVIL})
    assert asked.status_code == 200
    assert "<script" not in asked.text


def test_a_file_offered_to_save_has_a_harmless_name(shop):
    serial = '../\\\\x\\" ;\\u0007é'
    path = shop.plan(SHEET.replace("TS-0417", serial))
    named = shop.get(path + "/plan.json").headers["content-disposition"]
    assert re.fullmatch(r'attachment; filename="[A-Za-z0-9.-]+"', named)
    assert '"."' not in named


# Who may send


@pytest.mark.parametrize(
    "headers",
    [{"origin": "https://elsewhere.test"}, {"origin": "null"}, {"sec-fetch-site": "cross-site"},
     {"sec-fetch-site": "same-site"}, {"origin": HOME + ":81"},
     {"origin": "https://elsewhere.test", "sec-fetch-site": "none"}],
)  # fmt: skip
def test_a_form_from_another_page_is_refused(shop, headers):
    answer = shop.post("/plans", data={"sheet": SHEET}, headers=headers)
    assert answer.status_code == 403
    assert "Sent from another page" in text_of(answer)


@pytest.mark.parametrize(
    "headers", [{}, {"origin": HOME, "sec-fetch-site": "same-origin"}, {"sec-fetch-site": "none"}]
)
def test_a_form_from_our_own_page_or_no_browser_is_taken(shop, headers):
    answer = shop.post("/plans", data={"sheet": SHEET}, headers=headers)
    assert answer.status_code == 303


# How much


def test_a_file_over_the_limit_is_refused_by_its_told_size(shop):
    answer = shop.drive(shop.plan(), b"1" * 3_100_000)
    assert answer.status_code == 413
    assert "At most 2 MB" in text_of(answer)


def test_a_body_of_untold_size_is_stopped_and_never_held(shop):
    sent, seen = 0, []

    async def receive():
        nonlocal sent
        sent += 1
        head = b'--b\r\nContent-Disposition: form-data; name="file"; filename="a"\r\n\r\n'
        body = head if sent == 1 else b"x" * 100_000
        return {"type": "http.request", "body": body, "more_body": sent < 500}

    async def send(message):
        seen.append((sent, message))

    kind = b"multipart/form-data; boundary=b"
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST",
        "path": "/plans", "raw_path": b"/plans", "query_string": b"", "root_path": "",
        "scheme": "http", "headers": [(b"host", b"shop.test"), (b"content-type", kind)],
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80),
    }  # fmt: skip
    asyncio.run(shop.app(scope, receive, send))
    starts = [message for _, message in seen if message["type"] == "http.response.start"]
    assert [message["status"] for message in starts] == [413]
    assert sent == 500  # the sender is heard out, so that its browser shows the page


def test_a_sheet_longer_than_any_sheet_is_refused(shop):
    text = SHEET + "#" * 1_000_001
    typed = shop.post("/plans", data={"sheet": text}, files={"file": ("", b"")})
    assert typed.status_code == 400
    as_file = shop.post("/plans", files={"file": ("sheet.toml", text.encode())})
    assert as_file.status_code == 400
    assert "over 1 MB" in text_of(as_file)


def test_too_many_fields_are_refused(shop):
    fields = {f"f{i}": "x" for i in range(50)}
    assert shop.post("/plans", data=fields, files={"a": ("a", b"a")}).status_code == 400
    files = {f"f{i}": ("a", b"a") for i in range(5)}
    assert shop.post("/plans", files=files).status_code == 400


def test_a_body_that_is_no_form_is_refused(shop):
    head = {"content-type": "multipart/form-data; boundary=b"}
    assert shop.post("/plans", content=b"no form", headers=head).status_code == 400
    assert shop.post("/plans", content=b"{}").status_code == 400


# How long


def test_the_oldest_make_room_and_what_is_looked_at_stays():
    shop = Shop(store=Store(Room(things=2)))
    first, second = shop.plan(), shop.plan()
    assert shop.get(first).status_code == 200
    third = shop.plan()
    assert [shop.get(path).status_code for path in (first, second, third)] == [200, 404, 200]


def test_bytes_are_bounded_too_and_the_newest_is_never_let_go():
    shop = Shop(store=Store(Room(size=1)))
    first, second = shop.plan(), shop.plan()
    assert [shop.get(path).status_code for path in (first, second)] == [404, 200]


def test_names_cannot_be_guessed(shop):
    names = {shop.plan().rpartition("/")[2] for _ in range(3)}
    assert len(names) == 3
    assert all(len(name) >= 22 for name in names)  # 128 bits, six to a letter


def test_our_own_fault_shows_no_trace_and_still_carries_the_headers(shop, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError("secret detail")

    monkeypatch.setattr("witnessmark.web.work.plan_from", broken)
    answer = shop.post("/plans", data={"sheet": SHEET})
    assert answer.status_code == 500
    assert "This is our fault" in text_of(answer)
    assert "secret" not in answer.text
    assert answer.headers["content-security-policy"] == HEADERS["Content-Security-Policy"]
