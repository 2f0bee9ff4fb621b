"""Whatever comes in, only a Log or a UserError comes out, and columns are never shifted."""

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.logs.written import DRIVE, HEADER, ROWS, cells, same_drive, text
from witnessmark.errors import UserError
from witnessmark.logs.read import read_log_bytes
from witnessmark.model.log import Log

# The same examples in every run: a suite that fails by chance is no evidence. To look further,
# raise max_examples and drop derandomize.
few = settings(
    max_examples=700, deadline=None, derandomize=False,
    suppress_health_check=[HealthCheck.too_slow],
)  # fmt: skip
more = settings(few, max_examples=2000)
PLAIN = text(cells()).encode()
LINES = PLAIN.split(b"\n")


def sound(log: Log) -> None:
    """What every Log promises, whatever was read."""
    assert len(log.time) >= 2
    assert np.all(np.diff(log.time) > 0)
    assert log.time[0] == 0
    assert log.held.shape == log.time.shape
    assert np.all(log.held >= 0) and np.isfinite(log.held).all()
    assert log.channels
    for values in log.channels.values():
        assert values.shape == log.time.shape
        assert not np.isinf(values).any()


def try_to_read(data: bytes) -> Log | None:
    try:
        log = read_log_bytes(data, "drive.csv")
    except UserError as error:
        assert all(part for part in (error.where, error.found, error.wanted, error.remedy))
        return None
    sound(log)
    return log


@more
@given(st.binary(max_size=400))
def test_any_bytes(data):
    try_to_read(data)


@more
@given(st.text(alphabet="0123456789.,;:-/\t\n\r\"' abRPMs[]()%°eNT|", max_size=300))
def test_any_text_of_the_kind_logs_are_made_of(data):
    try_to_read(data.encode())


@few
@given(st.lists(st.tuples(st.integers(0, len(PLAIN) - 1), st.integers(0, 255)), max_size=12))
def test_bytes_flipped(flips):
    data = bytearray(PLAIN)
    for at, value in flips:
        data[at] = value
    try_to_read(bytes(data))


@few
@given(st.integers(0, len(PLAIN)), st.sampled_from(["utf-8", "utf-16", "utf-16-be", "cp1252"]))
def test_cut_anywhere(at, codec):
    data = PLAIN.decode().encode(codec)
    log = try_to_read(data[:at])
    if log is not None and len(log.time) > 1:
        # Whole rows read true; only the last one may have lost figures.
        n = len(log.time) - 1
        for _, channel, value, si in DRIVE:
            if channel in log:
                got = log[channel][:n]
                want = np.array([si(value(i)) for i in range(n)])
                np.testing.assert_allclose(got, want, rtol=1e-9)


@few
@given(
    st.lists(
        st.tuples(
            st.integers(1, ROWS - 1),
            st.sampled_from(
                [b"", b",,,", b"# stop", b"1,2,3", b"\x00", b'"', LINES[0], b"x" * 300]
            ),
        ),
        max_size=5,
    )
)
def test_lines_put_in(extra):
    lines = list(LINES)
    for at, line in extra:
        lines.insert(at, line)
    log = try_to_read(b"\n".join(lines))
    assert log is not None


@few
@given(
    delimiter=st.sampled_from([",", ";", "\t", "|"]),
    comma=st.booleans(),
    preamble=st.lists(st.sampled_from(["Log of a drive", "Samples,60", "# note; more", "", "a|b"])),
    unit_row=st.booleans(),
    trailing=st.booleans(),
    quoted=st.booleans(),
    order=st.permutations(range(len(HEADER))),
    codec=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
)
def test_however_it_is_laid_out_the_same_numbers_come_back(
    delimiter, comma, preamble, unit_row, trailing, quoted, order, codec, end
):
    comma = comma and (delimiter != "," or quoted)
    header = [HEADER[i] for i in order]
    rows = [[row[i] for i in order] for row in cells("," if comma else ".")]
    if unit_row:
        units = [h.split("[")[1].rstrip("]") for h in header]
        header = [h.split(" [")[0] for h in header]
        rows = [units, *rows]
    if quoted:
        header, *rows = ([f'"{cell}"' for cell in row] for row in [header, *rows])
    if trailing:
        rows = [[*row, ""] for row in rows]
    written = "".join(line + end for line in preamble) + text(rows, header, delimiter, end)
    same_drive(read_log_bytes(written.encode(codec), "drive.csv"))
