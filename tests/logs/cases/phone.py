"""Phone adapters and diagnostic testers: one wide row, fields with units in cells, one a row."""

from tests.logs.loggers import (
    AFR,
    BAR,
    DEG,
    GPS_,
    KMH,
    KPA,
    MPH,
    ONE,
    PERCENT,
    PSI,
    RPM,
    C,
    Case,
    F,
    c,
    gauge,
    long,
    shows,
    table,
    wide,
)

_WIDE = [
    c("Engine RPM(rpm)", 850, 3600, engine_speed=RPM),
    c("Speed (OBD)(km/h)", 0, 80, road_speed=KMH),
    c("Speed (GPS)(km/h)", 0, 79.8),
    c("Turbo Boost & Vacuum Gauge(psi)", -9.5, 6, manifold_pressure=gauge(PSI)),
    c("Engine Coolant Temperature(°F)", 70, 140, 190, coolant_temperature=F),
    c("Engine Oil Temperature(°F)", 68, 120, 205, oil_temperature=F),
    c("Air Fuel Ratio(Measured)(:1)", 14.9, 12.4, **{"lambda": AFR}),
    c("Air Fuel Ratio(Commanded)(:1)", 14.7, 12.5),
    c("Throttle Position(Manifold)(%)", 2, 80, throttle_position=PERCENT),
    c("Engine Load(%)", 20, 90, engine_load=PERCENT),
    c("Timing Advance(°)", 10, 34, ignition_angle=DEG),
    c("Mass Air Flow Rate(g/s)", 3, 70, air_flow=GPS_),
    c("Fuel Trim Bank 1 Short Term(%)", -2, 3, fuel_trim_short=PERCENT),
    c("Fuel Trim Bank 1 Long Term(%)", -1, 2, fuel_trim_long=PERCENT),
    c("Intake Air Temperature(°F)", 66, 75, 84, intake_temperature=F),
    c("O2 Volts Bank 1 sensor 1(V)", 0.1, 0.8),
    c("Miles Per Gallon(Instant)(mpg)", 10, 30),
    c("Voltage (OBD Adapter)(V)", 13.9, 14.1, battery_voltage=ONE),
]


def _day(i: int) -> str:
    whole, half = divmod(i, 2)
    return f"25-Nov-2026 10:{30 + whole // 60:02d}:{whole % 60:02d}.{500 * half:03d}"


def _gps(i: int) -> str:
    return f"Wed Nov 25 10:{30 + i // 120:02d}:{i // 2 % 60:02d} GMT+01:00 2026"


def _phone(repeat: bool) -> str:
    text = table(
        _WIDE,
        time=" Device Time",
        stamp=_day,
        lead=lambda i: f"{_gps(i)},8.4{i:03d},49.0",
        lead_head="GPS Time, Longitude, Latitude",
    )
    lines = text.splitlines()
    # A column that has nothing but dashes, and now and then a dash elsewhere.
    lines = [line + (", Fuel Pressure(kpa)" if i == 0 else ",-") for i, line in enumerate(lines)]
    if repeat:
        lines.insert(40, lines[0])
    return "\n".join(lines) + "\n"


_OBD = [
    c("ENGINE_RPM", 850, 3600, form="{:.0f}RPM", engine_speed=RPM),
    c("ENGINE_COOLANT_TEMP", 21, 61, 88, form="{:.0f}C", coolant_temperature=C),
    c("INTAKE_MANIFOLD_PRESSURE", 35, 98, form="{:.0f}kPa", manifold_pressure=KPA),
    c("VEHICLE_SPEED", 0, 80, form="{:.0f}km/h", road_speed=KMH),
    c("THROTTLE_POS", 2, 80, form="{:.1f}%", throttle_position=PERCENT),
    c("CONTROL_MODULE_VOLTAGE", 13.8, 14.2, form="{:.1f}V", battery_voltage=ONE),
]
_READ = [
    c("Engine RPM", 850, 3600, engine_speed=RPM),
    c("Vehicle speed", 0, 80, road_speed=KMH),
    c("Engine coolant temperature", 21, 60, 88, coolant_temperature=C),
    c("Intake manifold absolute pressure", 35, 98, manifold_pressure=KPA),
]
_UNIT = {
    "Engine RPM": "rpm",
    "Vehicle speed": "km/h",
    "Engine coolant temperature": "°C",
    "Intake manifold absolute pressure": "kPa",
}

CASES: list[Case] = [
    Case(
        "a phone adapter, wide",
        _phone(False),
        shows(_WIDE),
        rtol=5e-3,
        silent=[
            "Air Fuel Ratio(Commanded)(:1)",
            "Speed (GPS)(km/h)",
            "O2 Volts Bank 1 sensor 1(V)",
            "Miles Per Gallon(Instant)(mpg)",
        ],
    ),
    Case("a phone adapter that met the car again", _phone(True), shows(_WIDE), rtol=5e-3),
    wide("names of the open diagnostic standard, unit in the cell", _OBD, time="TIME"),
    wide("the same with decimal commas", _OBD, time="TIME", sep=";", decimal=","),
    long(
        "one a row: time, name, value, unit",
        _READ,
        "time,name,value,unit",
        lambda t, col, i: f"{t},{col.head},{col.cell(i)},{_UNIT[col.head]}",
    ),
    long(
        "one a row: seconds;pid;value;units, quoted",
        _READ,
        '"SECONDS";"PID";"VALUE";"UNITS";',
        lambda t, col, i: f'"{t}";"{col.head}";"{col.cell(i)}";"{_UNIT[col.head]}";',
    ),
    long(
        "one a row: name first, tabs, unit in the cell",
        _READ,
        "Signal\tReading\tTimestamp",
        lambda t, col, i: f"{col.head}\t{col.cell(i)} {_UNIT[col.head]}\t{t}",
    ),
    long(
        "one a row: German",
        [
            c("Motordrehzahl", 850, 3600, engine_speed=RPM),
            c("Kühlmitteltemperatur", 21, 60, 88, coolant_temperature=C),
            c("Öldruck", 4.5, 5.2, 2.1, oil_pressure=BAR),
        ],
        "Zeit;Messgröße;Einheit;Messwert",
        lambda t, col, i: ";".join(
            [
                t.replace(".", ","),
                col.head,
                {"Motordrehzahl": "1/min", "Öldruck": "bar"}.get(col.head, "°C"),
                col.cell(i, ","),
            ]
        ),
    ),
    long(
        "one a row: unit in the name, no unit column",
        [
            c("Engine Speed [rpm]", 850, 3600, engine_speed=RPM),
            c("Oil Pressure [kPa]", 480, 520, 190, oil_pressure=KPA),
        ],
        "timestamp_ms,parameter,value",
        lambda t, col, i: f"{500 * i},{col.head},{col.cell(i)}",
    ),
    wide(
        "a tester's table: J1979 wording",
        [
            c("Calculated LOAD Value (%)", 20, 90, engine_load=PERCENT),
            c("Engine Coolant Temperature (°C)", 21, 60, 88, coolant_temperature=C),
            c("Engine RPM (1/min)", 850, 3600, engine_speed=RPM),
            c("Vehicle Speed Sensor (km/h)", 0, 80, road_speed=KMH),
            c("Ignition Timing Advance for #1 Cylinder (°)", 10, 34, ignition_angle=DEG),
            c("Intake Air Temperature (°C)", 18, 24, 30, intake_temperature=C),
            c("Air Flow Rate from Mass Air Flow Sensor (g/s)", 3, 70, air_flow=GPS_),
            c("Absolute Throttle Position (%)", 12, 80, throttle_position=PERCENT),
            c("Time Since Engine Start (s)", 5, 35, 65, form="{:.0f}"),
            c("Barometric Pressure (kPa)", 99, 99, barometric_pressure=KPA),
            c("Fuel/Air Commanded Equivalence Ratio", 1, 0.85, lambda_target=ONE),
            c("Catalyst Temperature Bank 1, Sensor 1 (°C)", 200, 600),
            c("Accelerator Pedal Position D (%)", 14, 70, pedal_position=PERCENT),
            c("Accelerator Pedal Position E (%)", 7, 35),
            c("Distance Travelled While MIL is Activated (km)", 0, 0),
        ],
        time="Time (s)",
        silent=[
            "Distance Travelled While MIL is Activated (km)",
            "Accelerator Pedal Position E (%)",
            "Catalyst Temperature Bank 1, Sensor 1 (°C)",
        ],
        sep=";",
    ),
    wide(
        "a time beside every channel",
        [
            c("Engine Speed (rpm)", 850, 3600, engine_speed=RPM),
            c("Time (s) ", 0.05, 30.05, 60.05),
            c("Coolant Temperature (°C)", 21, 60, 88, coolant_temperature=C),
            c("Time (s) ", 0.1, 30.1, 60.1),
            c(
                "Charge Air Pressure (mbar)",
                980,
                1620,
                manifold_pressure=lambda p: tuple(100 * x for x in p),
            ),
        ],
    ),
    wide(
        "speed on the road twice, in two units",
        [
            c("Engine Speed (rpm)", 850, 3600, engine_speed=RPM),
            c("Vehicle speed (mph)", 0, 50, road_speed=MPH),
            c("GPS speed (km/h)", 0, 80.5),
        ],
        silent=["GPS speed (km/h)"],
    ),
    wide(
        "a sibling names the unit of speed",
        [
            c("RPM", 850, 3600, engine_speed=RPM),
            c("VSS", 0, 50, road_speed=MPH),
            c("GPS Speed (mph)", 0, 50),
        ],
        only=True,
    ),
    wide(
        "no unit of speed, and nothing to tell it by",
        [
            c("RPM", 850, 3600, engine_speed=RPM),
            c("Vehicle speed", 0, 50),
        ],
        asks={"Vehicle speed": "road_speed"},
    ),
    wide(
        "oil pressure in bar with the temperature beside",
        [
            c("RPM", 850, 3600, engine_speed=RPM),
            c("Oil pressure", 4.5, 5.2, 1.1, oil_pressure=BAR),
            c("Oil temperature", 22, 60, 96, oil_temperature=C),
        ],
    ),
]
