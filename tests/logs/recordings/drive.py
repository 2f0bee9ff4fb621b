"""A short drive on a bus, invented: its DBC, its frames, and what they must read back as."""

import io

import can
import cantools
import numpy as np

from witnessmark.logs.recordings.dbc import Dbc

DBC = """VERSION ""

BU_: Unit

BO_ 256 Engine1: 8 Unit
 SG_ EngineSpeed : 0|16@1+ (0.25,0) [0|16000] "rpm" Unit
 SG_ CoolantTemp : 16|8@1+ (1,-40) [-40|215] "degC" Unit
 SG_ OilPressure : 31|12@0+ (0.5,0) [0|2000] "kPa" Unit
 SG_ BrakeSwitch : 56|2@1+ (1,0) [0|3] "" Unit

BO_ 257 Engine2: 8 Unit
 SG_ Page M : 7|8@0+ (1,0) [0|255] "" Unit
 SG_ IntakeAirTemp m0 : 8|8@1- (0.5,10) [-50|80] "degC" Unit
 SG_ Lambda m1 : 8|16@1+ (0.001,0) [0|4] "lambda" Unit
 SG_ BatteryVoltage m1 : 39|32@0- (1,0) [0|30] "V" Unit

VAL_ 256 BrakeSwitch 0 "Off" 1 "On" 3 "Not available" ;
SIG_VALTYPE_ 257 BatteryVoltage : 1;
"""
BUS = Dbc("drive.dbc", DBC)
ROWS, STEP = 200, 0.05  # s


def frames() -> list[can.Message]:
    """Two messages in turn; the second carries one of two pages."""
    database = cantools.database.load_string(DBC, "dbc")
    found = []
    for i in range(ROWS):
        time = i * STEP
        data = database.encode_message("Engine1", {
            "EngineSpeed": 900.0 + 10 * i, "CoolantTemp": 20 + i // 4,
            "OilPressure": 200.0 + i % 50, "BrakeSwitch": i // 50 % 2,
        })  # fmt: skip
        found.append(message(time, 256, data))
        page = {"Page": 0, "IntakeAirTemp": 20.0 + i % 8 / 2} if i % 2 == 0 else {
            "Page": 1, "Lambda": 0.9 + i % 20 / 100, "BatteryVoltage": 13.5,
        }  # fmt: skip
        found.append(message(time + 0.01, 257, database.encode_message("Engine2", page)))
    return found


def message(time: float, ident: int, data: bytes, extended: bool = False, bus: int = 0):
    return can.Message(
        timestamp=time, arbitration_id=ident, data=data, is_extended_id=extended, channel=bus
    )


class _Kept(io.BytesIO):
    """A file in memory that keeps what was written when it is closed."""

    kept = b""
    name = "drive"  # one of the writers puts it into the log

    def close(self) -> None:
        self.kept = self.getvalue()
        super().close()


def written(kind: str, messages: list[can.Message], start: float = 1_700_000_000.0) -> bytes:
    """A bus log by python-can's own writer. `kind`: blf, asc, log or trc."""
    makers = {
        "blf": can.BLFWriter, "asc": can.ASCWriter, "log": can.CanutilsLogWriter,
        "trc": can.TRCWriter,
    }  # fmt: skip
    file = _Kept()
    target = file if kind == "blf" else io.TextIOWrapper(file, "utf-8", newline="")
    with makers[kind](target) as writer:
        for each in messages:
            writer.on_message_received(
                can.Message(
                    timestamp=each.timestamp + start,
                    arbitration_id=each.arbitration_id,
                    data=each.data,
                    is_extended_id=each.is_extended_id,
                    channel=each.channel,
                )
            )
    return file.kept


def fresh(log, channel: str):
    """The samples at which a channel was read."""
    return log.fresh.get(channel, np.ones(len(log.time), dtype=bool))


def shows_the_drive(log, tolerance: float = 1e-4) -> None:
    """The log shows every reading of the drive at its time, and no other."""
    i = np.arange(ROWS)
    want = {
        "engine_speed": (i, STEP * i, (900 + 10 * i) / 60),
        "coolant_temperature": (i, STEP * i, 20 + i // 4 + 273.15),
        "oil_pressure": (i, STEP * i, (200 + i % 50) * 1e3),
        "intake_temperature": (i[::2], STEP * i[::2] + 0.01, 20 + i[::2] % 8 / 2 + 273.15),
        "lambda": (i[1::2], STEP * i[1::2] + 0.01, 0.9 + i[1::2] % 20 / 100),
        "battery_voltage": (i[1::2], STEP * i[1::2] + 0.01, np.full(ROWS // 2, 13.5)),
    }
    for channel, (_, times, values) in want.items():
        read = fresh(log, channel)
        np.testing.assert_allclose(log.time[read], times, atol=tolerance, err_msg=channel)
        np.testing.assert_allclose(log[channel][read], values, rtol=1e-9, err_msg=channel)
