"""A real Chromium against a real server on this machine; no network beyond it."""

import os
import socket
import threading
import time
from dataclasses import dataclass
from pathlib import Path

import httpx
import pytest
import uvicorn
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.faces.shop import SHEET, made_log
from tests.lubrication.films import coarse_maps
from witnessmark.web.app import create_app

CHROMIUM = Path("/usr/bin/chromium")
QUIET = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-first-run", "--disable-quic",
]  # fmt: skip
expect.set_options(timeout=60_000)  # ms; only a busy machine ever waits for more than a few


# Package and not session: Playwright keeps an event loop running in this thread, and the tests
# of other folders run their own.
@pytest.fixture(scope="package")
def chromium():
    if not CHROMIUM.is_file():
        message = "Chromium is not here; 'apt-get install chromium' brings it"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield browser
        browser.close()


@pytest.fixture(scope="package")
def site():
    """Address of a running server; its film maps are coarse, for a whole one takes seconds."""
    listener = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(create_app(), log_level="error", lifespan="off"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    with coarse_maps():
        yield f"http://127.0.0.1:{listener.getsockname()[1]}"
    server.should_exit = True
    thread.join(timeout=5)
    listener.close()


@pytest.fixture
def tab(chromium: Browser, site: str):
    """A fresh page at the start; a complaint on its console fails the test."""
    context = chromium.new_context(base_url=site, viewport={"width": 1280, "height": 900})
    context.set_default_timeout(60_000)
    page: Page = context.new_page()
    complaints: list[str] = []
    page.on("console", lambda m: complaints.append(m.text) if m.type in ("error", "warning") else 0)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto("/")
    yield page
    context.close()
    # Chromium reports every page with a status of 400 or more; those pages are asked for here.
    left = [text for text in complaints if "the server responded with a status of 4" not in text]
    assert not left


@dataclass(frozen=True)
class Paths:
    """Where one of every kind of page stands."""

    plan: str
    verdict: str
    unread: str
    phase: str


@pytest.fixture(scope="package")
def paths(site: str) -> Paths:
    """A plan, a verdict and a log that could not be read."""
    with httpx.Client(base_url=site, timeout=60) as shop:
        plan = shop.post("/plans", data={"sheet": SHEET}).headers["location"]
        frozen = shop.get(plan + "/plan.json").json()["plan"]
        phase = next(p["id"] for p in frozen["phases"] if p["reviewed"] and "road" in p["place"])

        def send(log: bytes) -> httpx.Response:
            fields = {"phase": phase, "columns": ""}
            return shop.post(plan + "/drive", data=fields, files={"log": ("drive.csv", log)})

        verdict = send(made_log(top=4600)).headers["location"]
        unread = send(made_log().replace(b"Engine speed [rpm]", b"Q7")).text
    return Paths(plan, verdict, unread.partition('action="')[2].partition('"')[0], phase)
