"""Logs that mislead: lost signs, odd headers, several drives, names of other things."""

from tests.logs.loggers import (
    AFR,
    BAR,
    DEG,
    GPS_,
    INHG,
    KMH,
    KPA,
    MPH,
    ONE,
    PERCENT,
    PSI,
    ROWS,
    RPM,
    STEP,
    C,
    Case,
    F,
    c,
    gauge,
    shows,
    table,
    wide,
)

_SMALL = [
    c("RPM", 850, 3600, engine_speed=RPM),
    c("MAP (kPa)", 35, 98, manifold_pressure=KPA),
    c("Oil Pressure (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR),
]
_ALL = shows(_SMALL)
_RACE = (
    '"Kind","CSV file"\n"Place","test hill"\n"Vehicle","grey"\n"Driver",""\n"Sample Rate","2"\n'
    '"Duration","60.5"\n"Part","1"\n"Marks","12.5 40.25"\n\n'
)


def _trips() -> str:
    """Two drives of one car in one file, the clock starting again; day and car in front."""
    head = "Day,Car,Trip,Timestamp(ms),Latitude[deg],"
    head += "Vehicle Speed[km/h],MAF[g/sec],Engine RPM[RPM]\n"
    cols = [c("", 0, 80), c("", 3, 70), c("", 850, 3600)]
    return head + "".join(
        f"12.3456,8,{trip},{500 * i},42.2{i:04d},{','.join(col.cell(i) for col in cols)}\n"
        for trip in (1, 2)
        for i in range(ROWS)
    )


def _polled() -> str:
    """Channels polled in turn, one a row, the others left empty; a bar for the delimiter."""
    cols = [c("", 850, 3600), c("", 21, 60, 88), c("", 35, 98)]
    lines = ["Time|Engine RPM [rpm]|Coolant [°C]|MAP [kPa]"]
    for i in range(ROWS):
        for j, col in enumerate(cols):
            cells = [other.cell(0) if i == 0 else "" for other in cols]
            cells[j] = col.cell(i)
            lines.append(f"{STEP * i + 0.1 * j:.1f}|" + "|".join(cells))
    return "\n".join(lines) + "\n"


CASES: list[Case] = [
    wide(
        "empty brackets for units",
        [
            c("ENGINE_RPM ()", 850, 3600, engine_speed=RPM),
            c("COOLANT_TEMPERATURE ()", 21, 60, 88, coolant_temperature=C),
            c("INTAKE_MANIFOLD_PRESSURE ()", 35, 98, manifold_pressure=KPA),
            c("INTAKE_AIR_TEMP ()", 18, 24, 30, intake_temperature=C),
            c("THROTTLE ()", 12, 80, throttle_position=PERCENT),
            c("VEHICLE_SPEED ()", 0, 80),
            c("PEDAL_D ()", 14, 70, pedal_position=PERCENT),
            c("FUEL_TANK ()", 50, 50),
            c("COMMANDED_EVAPORATIVE_PURGE ()", 0, 20),
        ],
        time="ENGINE_RUN_TIME ()",
        stamp=lambda i: str(i + 5),
        length=120,
        asks={"VEHICLE_SPEED ()": "road_speed"},
        silent=["COMMANDED_EVAPORATIVE_PURGE ()"],
    ),
    wide(
        "a degree sign that was lost",
        [
            c("RPM", 850, 3600, engine_speed=RPM),
            c("Coolant Temp (\ufffdC)", 21, 60, 88, coolant_temperature=C),
            c("Oil Temp (?F)", 70, 140, 205, oil_temperature=F),
        ],
    ),
    Case(
        "names, units and readings with blank lines between",
        table(
            [
                c("Engine Speed", 850, 3600),
                c("Manifold Pres", 35, 98),
                c("Oil Pressure", 4.5, 5.2, 2.1),
            ],
            time="Time",
            quote=True,
            above=_RACE,
            under='"s","rpm","kPa","bar"\n\n',
        ),
        _ALL,
    ),
    Case(
        "name, unit and range in one cell",
        table(
            [
                c('"Engine RPM"|"rpm"|0|9000|50', 850, 3600),
                c('"MAP"|"kPa"|0|300|50', 35, 98),
                c('"Oil Pres"|"bar"|0|10|50', 4.5, 5.2, 2.1),
            ],
            time='"Clock"|"ms"|0|0|1',
            stamp=lambda i: str(500 * i),
        ),
        _ALL,
    ),
    wide(
        "parameter numbers in the names",
        [
            c("SPN 190 Engine Speed (rpm)", 650, 1500, engine_speed=RPM),
            c("SPN100 Engine Oil Pressure (kPa)", 200, 400, oil_pressure=KPA),
            c("PGN 65262 Engine Coolant Temperature (°C)", 21, 60, 88, coolant_temperature=C),
            c("SPN 84 Wheel-Based Vehicle Speed (km/h)", 0, 80, road_speed=KMH),
            c(
                "SPN 102 Engine Intake Manifold #1 Pressure (kPa)",
                2,
                120,
                manifold_pressure=gauge(KPA),
            ),
            c("SPN 127 Transmission Oil Pressure (kPa)", 900, 1000),
        ],
        silent=["SPN 127 Transmission Oil Pressure (kPa)"],
    ),
    wide(
        "addresses and widths in the names",
        [
            c("Engine Speed (2 byte) (rpm)", 850, 3600, engine_speed=RPM),
            c("Manifold Absolute Pressure (4-byte) (psi)", 5, 14, manifold_pressure=PSI),
            c("Ignition Total Timing (degrees)", 10, 34, ignition_angle=DEG),
            c("A/F Sensor #1 (AFR)", 14.9, 12.4, **{"lambda": AFR}),
            c("Mass Airflow (g/s)", 3, 70, air_flow=GPS_),
            c("Gear (calculated)", 1, 3, form="{:.0f}", gear=ONE),
            c("Engine Load (g/rev)", 0.3, 1.2),
        ],
        time="Time (msec)",
        stamp=lambda i: str(500 * i),
        silent=["Engine Load (g/rev)"],
    ),
    Case("two drives in one file", _trips(), only=False, length=2 * 60 + 60),
    Case(
        "polled in turn, parted by bars",
        _polled(),
        shows(
            [
                c("", 850, 3600, engine_speed=RPM),
                c("", 35, 98, manifold_pressure=KPA),
                c("", 21, 60, 88, coolant_temperature=C),
            ]
        ),
        length=60.2,
        rtol=0.03,
    ),
    wide(
        "a standing engine first",
        [
            c("RPM", 0, 2200, engine_speed=RPM),
            c("Oil Press", 0, 62, oil_pressure=PSI),
            c("Boost (inHg)", 0, -20, manifold_pressure=gauge(INHG)),
        ],
    ),
    wide(
        "two engines, the first is taken",
        [
            c("E1 RPM", 650, 2500, engine_speed=RPM),
            c("E2 RPM", 660, 2480),
            c("E1 OilP (psi)", 20, 75, 60, oil_pressure=PSI),
            c("E2 OilP (psi)", 22, 70, 55),
        ],
        silent=["E2 RPM", "E2 OilP (psi)"],
    ),
    wide(
        "other voltages, speeds and temperatures",
        [
            c("RPM", 850, 3600, engine_speed=RPM),
            c("Knock Voltage (V)", 0.5, 2),
            c("TPS Voltage (V)", 0.6, 4.2),
            c("O2 Sensor Voltage (V)", 0.1, 0.8),
            c("Fan Speed (rpm)", 0, 2000),
            c("Wheel Speed FL (km/h)", 0, 80),
            c("ECU Temperature (°C)", 30, 50),
            c("Gearbox Temp (°C)", 20, 60),
            c("Tyre Temp (°C)", 20, 60),
            c("Brake Pressure (bar)", 0, 30, brake_pressure=BAR),
            c("Clutch Pressure (bar)", 0, 20),
            c("Rail Pressure (bar)", 300, 1600),
            c("Exhaust Back Pressure (kPa)", 100, 130),
            c("DPF Pressure (kPa)", 1, 5),
            c("Fuel Temp (°C)", 20, 30),
            c("Cabin Temp (°C)", 20, 22),
            c("AC Pressure (bar)", 8, 15),
            c("Turbo Speed (rpm)", 20000, 120000),
            c("Oil Level (mm)", 30, 30),
            c("Oil Life (%)", 99, 99),
            c("Target Idle Speed (rpm)", 850, 850),
            c("Lambda Trim (%)", -2, 2),
            c("EGR Position (%)", 0, 30),
            c("Wastegate Position (%)", 0, 80),
            c("Intake Cam Angle (°)", 0, 30),
            c("VVT Angle (°)", 0, 30),
            c("Steering Angle (°)", -90, 90),
            c("Max RPM (rpm)", 3600, 3600),
            c("RPM Error (rpm)", 0, 10),
            c("Dwell (ms)", 3, 3.2),
            c("Barometric Altitude (m)", 200, 210),
            c("Fuel Level (%)", 50, 50),
            c("Throttle Target (%)", 2, 80),
        ],
        only=False,
        silent=[
            "Knock Voltage (V)",
            "TPS Voltage (V)",
            "O2 Sensor Voltage (V)",
            "Fan Speed (rpm)",
            "Wheel Speed FL (km/h)",
            "ECU Temperature (°C)",
            "Gearbox Temp (°C)",
            "Tyre Temp (°C)",
            "Clutch Pressure (bar)",
            "Rail Pressure (bar)",
            "Exhaust Back Pressure (kPa)",
            "DPF Pressure (kPa)",
            "Fuel Temp (°C)",
            "Cabin Temp (°C)",
            "AC Pressure (bar)",
            "Turbo Speed (rpm)",
            "Oil Level (mm)",
            "Oil Life (%)",
            "Target Idle Speed (rpm)",
            "Lambda Trim (%)",
            "EGR Position (%)",
            "Wastegate Position (%)",
            "Intake Cam Angle (°)",
            "VVT Angle (°)",
            "Steering Angle (°)",
            "Max RPM (rpm)",
            "RPM Error (rpm)",
            "Dwell (ms)",
            "Fuel Level (%)",
            "Throttle Target (%)",
        ],
    ),
    wide(
        "a track car's position recorder with the engine beside",
        [
            c("Lap", 1, 1, form="{:.0f}"),
            c("Latitude", 48.1, 48.2, form="{:.6f}"),
            c("Longitude", 8.1, 8.2, form="{:.6f}"),
            c("Altitude (m)", 200, 230, altitude=ONE),
            c("Speed (MPH)", 0, 90, road_speed=MPH),
            c("Heading", 0, 180),
            c("G Force X", -0.5, 0.5),
            c("Engine Speed (RPM) (bus)", 850, 6100, engine_speed=RPM),
            c("Throttle Position (%) (bus)", 2, 90, throttle_position=PERCENT),
            c("Coolant Temp (F) (bus)", 150, 190, 200, coolant_temperature=F),
            c("Distance (mi)", 0, 0.5, 1, distance=lambda p: tuple(x * 1609.344 for x in p)),
        ],
        time="Time",
        rtol=5e-3,
    ),
    wide(
        "index, date as days, and the time in the third column",
        [
            c("Engine Speed [1/min]", 850, 3600, engine_speed=RPM),
            c("Öldruck [bar]", 4.5, 5.2, 2.1, oil_pressure=BAR),
        ],
        time="Messzeit [s]",
        sep=";",
        decimal=",",
        lead=lambda i: f"{i};46351",
        lead_head="Nr.;Tag",
    ),
    wide(
        "unit row with dashes and words",
        [
            c("Engine Speed", 850, 3600, engine_speed=RPM),
            c("Gear", 1, 3, form="{:.0f}", gear=ONE),
            c("Coolant Temp", 70, 140, 190, coolant_temperature=F),
            c("Lambda", 1, 0.86, **{"lambda": ONE}),
            c("Launch Status", 0, 0, form="{:.0f}"),
        ],
        time="Time",
        under="Seconds,RPM,--,Deg F,LA,On/Off\n",
    ),
    wide(
        "units after a dash, a colon, a full stop",
        [
            c("Engine Speed - rpm", 850, 3600, engine_speed=RPM),
            c("Oil Press. PSI", 62, 70, 24, oil_pressure=PSI),
            c("Coolant Temp: °C", 21, 60, 88, coolant_temperature=C),
            c("MAPkPa", 35, 98, manifold_pressure=KPA),
        ],
    ),
    wide(
        "knots and feet without a word on the engine's units",
        [
            c("RPM", 650, 2500, 2350, engine_speed=RPM),
            c("Oil Press", 20, 75, 60, oil_pressure=PSI),
            c("Oil Temp", 70, 150, 190, oil_temperature=F),
            c("OAT", 59, 57, 50, ambient_temperature=F),
            c("GS (kt)", 0, 55, 125),
            c("Alt (ft)", 500, 600, 3000, altitude=lambda p: tuple(x * 0.3048 for x in p)),
        ],
        rtol=3e-3,
    ),
]
