"""A drive made by hand, its plan, and the packet of it."""

import io
import json
import zipfile
from contextlib import contextmanager
from functools import cache

import pytest

from tests.jobs.engines import engine
from witnessmark.jobs.frozen import freeze
from witnessmark.jobs.packet.map_file import map_of
from witnessmark.jobs.packet.packet import Original, Packet
from witnessmark.jobs.packet.units import read_units
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import review
from witnessmark.logs.read import read_log_bytes
from witnessmark.report.packet import make
from witnessmark.report.packet.make import packet_bytes

PHASE = "first-50-miles"
MAP = b"what stands in the control unit"
ROWS = 1500
RATE = 5  # rows a second


def rows(top=3600.0):
    """(clock, rpm, kPa abs, °C coolant or None, psi oil, km/h, lambda) a row: as typed below.

    Up and down between 1,000 and 3,600 rpm, once to `top`.
    """
    for i in range(ROWS):
        swing = abs((i % 60) - 30) / 30
        high = top if 600 <= i < 660 else 3600.0
        minute, second = divmod(i / RATE, 60)
        clock = f"2026-11-05 10:{int(minute):02d}:{second:04.1f}"
        coolant = round(80 + i / 150, 1) if i % 10 == 0 else None
        rpm = round(1000 + (high - 1000) * (1 - swing))
        speed = round(10 + rpm / 100, 1)
        yield clock, rpm, round(30 + 60 * swing, 1), coolant, 50 + i % 7, speed, 0.9


def log_text(top=3600.0, extra="Odd"):
    head = (
        "Time,Engine speed [rpm],Manifold pressure [kPa abs],Coolant [°C],Oil pressure [psi],"
        f"Road speed [km/h],Lambda [-],{extra}"
    )
    lines = [",".join("" if v is None else str(v) for v in (*row, "x")) for row in rows(top)]
    return "\n".join([head, *lines]) + "\n"


@cache
def plan_made():
    return make_plan(engine())


def packet_of(text, name="drive.csv", **more):
    data, plan = text.encode(), more.pop("plan", plan_made())
    frozen = freeze(plan)
    log = read_log_bytes(data, name)
    prefer = read_units(more.pop("units", "psi,F,mph,afr"), plan.prefer, "--tuner-units")
    return Packet(
        review(plan, PHASE, log), frozen["sha256"], json.dumps(frozen).encode(), prefer,
        Original(name, len(data), lambda: io.BytesIO(data)),
        map_of(MAP, more.pop("map_name", "heron v7")), **more,
    )  # fmt: skip


@cache
def broken():
    """A drive over the engine speed ceiling, packed with everything."""
    packet = packet_of(log_text(4300), map_data=MAP, sheet=engine(), note="Look at 4,300 rpm.")
    return packet, light_bytes(packet, charts=True)


@contextmanager
def light(charts):
    """Inside, a packet's verdict is not drawn: other tests look at it, and it takes seconds."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(make, "verdict_html", lambda *_: "<p>verdict</p>")
        patch.setattr(make, "verdict_pdf", lambda *_: b"verdict")
        if not charts:
            patch.setattr(make, "moment_chart", lambda *_: "<svg/>")
        yield


def light_bytes(packet, charts=False):
    with light(charts):
        return packet_bytes(packet)


@cache
def unbroken():
    packet = packet_of(log_text())
    return packet, light_bytes(packet)


def opened(data):
    return zipfile.ZipFile(io.BytesIO(data))
