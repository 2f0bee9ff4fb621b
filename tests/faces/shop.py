"""A shop's browser without the browser: requests to the web face, in this process."""

import asyncio
import re
from pathlib import Path
from typing import Any

import httpx

from witnessmark.web.app import create_app

HOME = "http://shop.test"
DEMO = Path(__file__).resolve().parents[2] / "demo" / "heron.toml"
SHEET = DEMO.read_text(encoding="utf-8")


def made_log(rows: int = 600, top: int = 3600) -> bytes:
    """A drive of five readings a second, invented: up and down between idle and `top` rpm."""
    lines = ["Time [s],Engine speed [rpm],Manifold pressure [kPa],Coolant [°C],Oil temp [°C]"]
    for i in range(rows):
        swing = abs((i % 60) - 30) / 30
        speed = 1000 + (top - 1000) * (1 - swing)
        lines.append(
            f"{i / 5:.1f},{speed:.0f},{30 + 60 * swing:.0f},{60 + i / 30:.1f},{55 + i / 40:.1f}"
        )
    return ("\n".join(lines) + "\n").encode()


class Shop:
    """One visitor. Nothing is followed unless asked, no cookie is kept."""

    def __init__(self, **settings: Any) -> None:
        self.app = create_app(**settings)

    def get(self, path: str, **more: Any) -> httpx.Response:
        return self._ask("GET", path, **more)

    def post(self, path: str, **more: Any) -> httpx.Response:
        return self._ask("POST", path, **more)

    def plan(self, sheet: str = SHEET) -> str:
        """Path of a fresh plan."""
        answer = self.post("/plans", data={"sheet": sheet})
        assert answer.status_code == 303, text_of(answer)
        return answer.headers["location"]

    def phase(self, plan: str) -> str:
        """Id of the plan's first phase that a log can judge."""
        return re.findall(r'name="phase" value="([^"]+)"', self.get(plan + "/drive").text)[0]

    def drive(self, plan: str, log: bytes, name: str = "drive.csv", columns: str = ""):
        fields = {"phase": self.phase(plan), "columns": columns}
        return self.post(plan + "/drive", data=fields, files={"log": (name, log)})

    def _ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        async def ask() -> httpx.Response:
            transport = httpx.ASGITransport(self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url=HOME) as client:
                return await client.request(method, path, **more)

        return asyncio.run(ask())


def text_of(answer: httpx.Response) -> str:
    """What a person reads on a page: tags and styles gone, spaces single."""
    bare = re.sub(r"<style>.*?</style>|<[^>]*>", " ", answer.text, flags=re.DOTALL)
    return " ".join(bare.split())
