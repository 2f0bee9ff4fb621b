"""witnessmark serve: the same work in a browser, on this machine or in the shop's network."""

import ipaddress
import socket
from contextlib import ExitStack, suppress
from typing import Annotated

import typer

from witnessmark.cli.faults import faults_shown, stderr
from witnessmark.cli.options import ShopFolder, shop_in
from witnessmark.errors import UserError

# A browser opens about six lines; a shop has a handful of them. More only wait.
_MOST_AT_ONCE = 64
# Seconds a line may stay open with nothing said.
_IDLE = 15


def serve(
    host: Annotated[
        str, typer.Option(help="Address to listen at; 0.0.0.0 lets the whole network in.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65535, help="Port to listen at.")] = 8417,
    shop: ShopFolder = None,
) -> None:
    """Plan and review in a browser. Stop it with Ctrl+C.

    Plans and verdicts are gone when it stops. With --shop the logs, what was said of their columns
    and each engine's drives are kept in that folder; without it nothing is.
    """
    with faults_shown():
        folder = shop_in(shop)
        listener = _listen(host, port)
    # The web libraries take a second to load; the other commands need none of them.
    import uvicorn  # noqa: PLC0415

    from witnessmark.web.app import create_app  # noqa: PLC0415
    from witnessmark.web.store import Store  # noqa: PLC0415

    address = f"[{host}]" if ":" in host else host
    typer.echo(f"Open http://{address}:{port} in a browser. Stop with Ctrl+C.")
    if not _stays_here(host):
        stderr.print(
            "Whoever can reach this machine can use it: nobody has to sign in. "
            "Keep it inside the shop's network."
        )
    config = uvicorn.Config(
        create_app(Store(shop=folder)), log_level="warning", server_header=False,
        limit_concurrency=_MOST_AT_ONCE, timeout_keep_alive=_IDLE, proxy_headers=False,
    )  # fmt: skip
    with suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listener])


def _listen(host: str, port: int) -> socket.socket:
    """A socket at that address. Raises UserError if it cannot be had."""
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
        with ExitStack() as until_bound:
            listener = until_bound.enter_context(socket.socket(family, socket.SOCK_STREAM))
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listener.bind((host, port))
            until_bound.pop_all()
    except OSError as error:
        raise UserError(
            f"{host}, port {port}", f"it cannot be listened at ({error.strerror})",
            "a free port of this machine is wanted",
            f"Stop what runs there, or name another: --port {port + 1}",
        ) from None  # fmt: skip
    return listener


def _stays_here(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
