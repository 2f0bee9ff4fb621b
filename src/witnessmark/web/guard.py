"""Stands before every route: who may post, how much, and what each answer may do in a browser."""

from collections.abc import Callable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

# An hour at 100 rows a second with 40 columns of 7 characters is 100 MB.
UPLOAD_LIMIT = 100_000_000  # bytes
# The form's own lines and its text fields travel beside the file.
_FORM_ROOM = 1_000_000  # bytes
# A browser shows no answer while it is still sending, so what is too large is read to its end
# and thrown away, up to here; beyond, the line is cut.
_PATIENCE = 4 * UPLOAD_LIMIT

# Nothing from elsewhere, no script at all, no frame around us. Drawings carry their own styles.
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    # Not "no-referrer": it would hide the origin that same_origin() asks for.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "private, no-cache",
}

Refuse = Callable[[int, str, str], ASGIApp]


class _TooLargeError(Exception):
    """The body went over the limit while it was read."""


class Guard:
    """ASGI wrapper. `refuse(status, title, said)` makes the page for whom it turns away."""

    def __init__(self, app: ASGIApp, refuse: Refuse, limit: int = UPLOAD_LIMIT) -> None:
        """Take the app to stand before and the most bytes of a file."""
        self._app = app
        self._refuse = refuse
        self._limit = limit

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let it through, or answer in the app's place."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        send = _with_headers(send)
        headers = Headers(scope=scope)
        if scope["method"] not in ("GET", "HEAD") and not same_origin(headers):
            app = self._refuse(
                403, "Sent from another page",
                "This form was sent by a page that is not ours, so nothing was done. "
                "Open the start page and send it from there.",
            )  # fmt: skip
            await app(scope, receive, send)
            return
        await self._measured(scope, headers, receive, send)

    async def _measured(self, scope: Scope, headers: Headers, receive: Receive, send: Send) -> None:
        most = self._limit + _FORM_ROOM
        told = headers.get("content-length", "")
        body = _Counted(receive, most)
        try:
            if told.isdecimal() and int(told) > most:
                raise _TooLargeError
            await self._app(scope, body.receive, send)
        except _TooLargeError:
            await body.drain(int(told) if told.isdecimal() else 0)
            await self._too_large()(scope, receive, send)

    def _too_large(self) -> ASGIApp:
        return self._refuse(
            413, "The file is too large",
            f"At most {self._limit // 1_000_000:,} MB are taken at once, enough for an hour at "
            "100 rows a second with 40 columns. Send a part of the log, or log fewer channels. "
            "The command 'witnessmark review' takes a log of any size.",
        )  # fmt: skip


class _Counted:
    """A request's body, counted as it comes in."""

    def __init__(self, receive: Receive, most: int) -> None:
        self._receive = receive
        self._most = most
        self._seen = 0
        self._more = True

    async def receive(self) -> Message:
        message = await self._receive()
        if message["type"] == "http.request":
            self._seen += len(message.get("body", b""))
            self._more = message.get("more_body", False)
            if self._seen > self._most:
                raise _TooLargeError
        return message

    async def drain(self, told: int) -> None:
        """Read the rest and keep none of it."""
        while self._more and max(told, self._seen) <= _PATIENCE:
            message = await self._receive()
            if message["type"] != "http.request":
                return
            self._seen += len(message.get("body", b""))
            self._more = message.get("more_body", False)


def same_origin(headers: Headers) -> bool:
    """Whether a form was sent from one of our own pages, or by no browser at all."""
    site = headers.get("sec-fetch-site")
    if site is not None and site not in ("same-origin", "none"):
        return False
    origin = headers.get("origin")
    return origin is None or urlsplit(origin).netloc == headers.get("host", "")


def _with_headers(send: Send) -> Send:
    async def add(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return add
