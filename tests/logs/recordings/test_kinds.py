"""What a file is stands in its first bytes; archives give up one log, and no bomb goes off."""

import gzip
import io
import zipfile

import pytest

from tests.logs.written import cells, said, same_drive, text
from witnessmark.errors import UserError
from witnessmark.logs.delimited.text import wrap
from witnessmark.logs.read import read_log_bytes
from witnessmark.logs.recordings import archive
from witnessmark.logs.recordings.kinds import FileKind, kind_of


@pytest.mark.parametrize(
    ("start", "kind"),
    [
        (b"Time [s],rpm\n", FileKind.TEXT),
        (b"LOGGER;3\nTime;rpm\n", FileKind.TEXT),
        (b"date,base hex\n", FileKind.TEXT),
        (b"PAR1\x15", FileKind.PARQUET),
        (b"MDF     4.11", FileKind.MDF),
        (b"UnFinMF 4.11", FileKind.MDF),
        (b"LOGG\x90\x00\x00\x00", FileKind.BLF),
        (
            b"\xef\xbb\xbfdate Mon Jan 5 10:00:00 2026\nbase hex  timestamps absolute\n",
            FileKind.ASC,
        ),
        (b"(1700000000.0) can0 100#00\n", FileKind.CANDUMP),
        (b"\n(0.5)  vcan1 18FEEE00#0011223344556677\n", FileKind.CANDUMP),
        (b";$FILEVERSION=2.1\n", FileKind.TRC),
        (b"PK\x03\x04", FileKind.ZIP),
        (b"\x1f\x8b\x08", FileKind.GZIP),
    ],
)
def test_first_bytes(start, kind):
    assert kind_of(wrap(start, "x.csv")) is kind


def zipped(**files: bytes) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in files.items():
            packed.writestr(name.replace("__", "."), data)
    return held.getvalue()


LOG = text(cells()).encode()


@pytest.mark.parametrize("data", [zipped(drive__csv=LOG), gzip.compress(LOG)])
def test_a_packed_log(data):
    log = read_log_bytes(data, "drive.zip")
    same_drive(log)
    assert "taken out of a" in said(log)
    assert log.source.size == len(data)


def refused(data: bytes) -> str:
    with pytest.raises(UserError) as caught:
        read_log_bytes(data, "drive.zip")
    return str(caught.value)


def test_archives_with_no_log_or_several():
    assert "2 files" in refused(zipped(a__csv=LOG, b__csv=LOG))
    assert "0 files" in refused(zipped()) if zipped()[:4] == b"PK\x03\x04" else True
    assert "archive in an archive" in refused(zipped(a__zip=zipped(a__csv=LOG)))
    assert "archive in an archive" in refused(gzip.compress(gzip.compress(LOG)))
    assert "empty" in refused(zipped(a__csv=b""))


def test_a_workbook_is_no_log():
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as book:
        book.writestr("[Content_Types].xml", "<x/>")
        book.writestr("xl/workbook.xml", "<x/>")
    assert "spreadsheet workbook" in refused(held.getvalue())


@pytest.mark.parametrize("pack", [lambda d: zipped(a__csv=d), gzip.compress])
def test_a_bomb_does_not_go_off(pack, monkeypatch):
    monkeypatch.setattr(archive, "MOST", 3_000_000)
    data = pack(b"0" * 4_000_000)
    assert len(data) < 10_000
    assert "bytes" in refused(data)


@pytest.mark.parametrize("share", [0.3, 0.8, 0.98])
@pytest.mark.parametrize("pack", [lambda d: zipped(a__csv=d), gzip.compress])
def test_a_damaged_archive(pack, share):
    data = pack(LOG)
    assert "archive" in refused(data[: int(share * len(data))])


def test_a_text_archive_inside_says_what_it_is():
    assert "PDF" in refused(zipped(a__csv=b"%PDF-1.7\n"))
