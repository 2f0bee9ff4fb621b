"""The serve command: says where it is, answers there, and stops when told."""

import signal
import socket
import subprocess
import sys
import time

import httpx
import pytest
import typer
from typer.testing import CliRunner

from witnessmark.cli.serve import serve

COMMAND = [sys.executable, "-c", "import typer; from witnessmark.cli.serve import serve; "
           "typer.run(serve)"]  # fmt: skip


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        return listener.getsockname()[1]


def test_it_answers_where_it_says_and_stops_without_a_trace():
    port = free_port()
    running = subprocess.Popen(
        [*COMMAND, "--port", str(port)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        address = f"http://127.0.0.1:{port}"
        assert address in running.stdout.readline()
        answer = wait_for(f"{address}/health", running)
        assert answer.json() == {"status": "up"}
        assert "server" not in answer.headers
        running.send_signal(signal.SIGINT)
        _, complaints = running.communicate(timeout=60)
    finally:
        running.kill()
        running.communicate()
    assert running.returncode == 0
    assert complaints == ""


def wait_for(address: str, running: subprocess.Popen) -> httpx.Response:
    for _ in range(600):
        assert running.poll() is None, running.stderr.read()
        try:
            return httpx.get(address)
        except httpx.TransportError:
            time.sleep(0.1)
    raise AssertionError("it never answered")


@pytest.mark.parametrize("host", ["127.0.0.1", "no-such-host.invalid"])
def test_an_address_that_cannot_be_had_is_said(host):
    app = typer.Typer()
    app.command()(serve)
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        answer = CliRunner().invoke(app, ["--host", host, "--port", str(port)])
    assert answer.exit_code == 2
    assert f"{host}, port {port}" in answer.output
    assert "--port" in answer.output
