"""Aircraft instruments, trucks, motorcycles, boats, generators."""

from tests.logs.loggers import (
    BAR,
    INHG,
    KMH,
    KPA,
    ONE,
    PERCENT,
    PSI,
    RPM,
    C,
    Case,
    F,
    c,
    gauge,
    shows,
    si,
    table,
    wide,
)

KNOTS, FEET = si(1852 / 3600), si(0.3048)
_FLIGHT = [
    c("E1 OilP", 20, 75, 60, form="{:9.1f}", oil_pressure=PSI),
    c("E1 OilT", 70, 150, 180, form="{:9.1f}", oil_temperature=F),
    c("E1 MAP", 29.5, 14, 24, form="{:9.2f}", manifold_pressure=INHG),
    c("E1 RPM", 650, 2500, 2350, form="{:9.0f}", engine_speed=RPM),
    c("E1 CHT1", 80, 250, 380, form="{:9.1f}"),
    c("E1 CHT2", 85, 260, 390, form="{:9.1f}", cylinder_head_temperature=F),
    c("E1 EGT1", 600, 1300, 1400, form="{:9.1f}"),
    c("E1 EGT2", 610, 1310, 1410, form="{:9.1f}", exhaust_temperature=F),
    c("E1 FFlow", 2, 14, 12, form="{:9.2f}", fuel_flow=si(3.785411784e-3 / 3600)),
    c("AltMSL", 500, 600, 3000, form="{:9.1f}", altitude=FEET),
    c("IAS", 0, 60, 120, form="{:9.1f}"),
    c("GndSpd", 0, 55, 125, form="{:9.1f}", road_speed=KNOTS),
    c("VSpd", 0, 500, 300, form="{:9.1f}"),
    c("OAT", 15, 14, 10, form="{:9.1f}", ambient_temperature=C),
    c("volt1", 28.1, 28.0, form="{:9.1f}", battery_voltage=ONE),
]
_UNITS = (
    "#yyyy-mm-dd, hh:mm:ss,   hh:mm, psi, deg F, inch, rpm, "
    "deg F, deg F, deg F, deg F, gph, ft, kt, kt, fpm,"
    " deg C, volts\n"
)


def _flight(unit_row: bool) -> str:
    text = table(
        _FLIGHT,
        time=None,
        lead_head="  Lcl Date, Lcl Time, UTCOfst",
        sep=", ",
        lead=lambda i: f"2026-11-25, 10:{30 + i // 60:02d}:{i % 60:02d},  +01:00",
    )
    return '#unit_info,log_version="1.03", serial="123", software="4.50",\n' + _UNITS + text


def _sparse() -> tuple[str, dict]:
    cols = [
        c("EngineSpeed", 850, 1500, engine_speed=RPM),
        c("EngOilPress", 300, 400, oil_pressure=KPA),
        c("EngCoolantTemp", 21, 60, 88, coolant_temperature=C),
    ]
    lines = ["timestamps,EngineSpeed,EngOilPress,EngCoolantTemp"]
    for i in range(121):
        cells = [
            cols[0].cell(i),
            cols[1].cell(i) if i % 5 == 0 else "",
            cols[2].cell(i) if i % 10 == 0 else "",
        ]
        lines.append(f"{i / 2},{','.join(cells)}")
    return "\n".join(lines) + "\n", shows(cols)


_SPARSE = _sparse()

CASES: list[Case] = [
    Case(
        "an aircraft panel: preamble, unit row, padded names",
        _flight(True),
        shows(_FLIGHT),
        length=120,
        silent=["IAS", "VSpd"],
    ),
    wide(
        "an aircraft engine monitor, no units",
        [
            c("OIL PRESS", 20, 75, 60, oil_pressure=PSI),
            c("OIL TEMP", 70, 150, 190, oil_temperature=F),
            c("M P", 29.5, 14, 24),
            c("TACH", 650, 2500, 2350, engine_speed=RPM),
            c("CHT1", 80, 250, 380, cylinder_head_temperature=F),
            c("EGT1", 600, 1300, 1400, exhaust_temperature=F),
            c("BAT VOLTS", 28.1, 28.0, battery_voltage=ONE),
            c("FUEL FLOW", 2, 14, 12),
        ],
        time="TIME",
        asks={"FUEL FLOW": "fuel_flow", "M P": "manifold_pressure"},
    ),
    wide(
        "an aircraft panel with second names",
        [
            c("Engine RPM", 650, 2500, 2350, engine_speed=RPM),
            c("Oil Pressure (PSI)", 20, 75, 60, oil_pressure=PSI),
            c("Oil Temperature (deg F)", 70, 150, 190, oil_temperature=F),
            c("Manifold Pressure (inches Hg)", 29.5, 14, 24, manifold_pressure=INHG),
            c("CHT 1 (deg F)", 80, 250, 380, cylinder_head_temperature=F),
            c("CHT 2 (deg F)", 80, 240, 370),
            c("Fuel Pressure (PSI)", 4, 5.5, 5, fuel_pressure=PSI),
            c("Vertical Speed (ft/min)", 0, 500, 300),
            c("Pressure Altitude (ft)", 500, 600, 3000, altitude=FEET),
            c("Indicated Airspeed (knots)", 0, 60, 120),
        ],
        time="Session Time",
        silent=["Vertical Speed (ft/min)", "Indicated Airspeed (knots)"],
    ),
    wide(
        "a truck, decoded, with units",
        [
            c("EngineSpeed [rpm]", 650, 1500, engine_speed=RPM),
            c("EngOilPress [kPa]", 200, 400, oil_pressure=KPA),
            c("EngCoolantTemp [degC]", 21, 60, 88, coolant_temperature=C),
            c("EngOilTemp1 [degC]", 21, 50, 90, oil_temperature=C),
            c("WheelBasedVehicleSpeed [km/h]", 0, 80, road_speed=KMH),
            c("EngIntakeManifold1Press [kPa]", 2, 120, manifold_pressure=gauge(KPA, 100_000)),
            c("EngIntakeManifold1Temp [degC]", 18, 30, 40, intake_temperature=C),
            c("BarometricPress [kPa]", 100, 100, barometric_pressure=KPA),
            c("AmbientAirTemp [degC]", 15, 15, ambient_temperature=C),
            c("EngPercentLoadAtCurrentSpeed [%]", 10, 95, engine_load=PERCENT),
            c("AccelPedalPos1 [%]", 0, 80, pedal_position=PERCENT),
            c("EngFuelRate [l/h]", 2, 40, fuel_flow=si(1e-3 / 3600)),
            c("ActualEngPercentTorque [%]", 10, 90),
            c("TransOilTemp1 [degC]", 20, 60, 70),
            c("EngTurbo1Speed [rpm]", 20000, 90000),
            c("EngTotalHours [h]", 1000, 1000),
            c("EngFuelDeliveryPress [kPa]", 500, 500),
            c("EngCoolantLevel1 [%]", 100, 100),
            c("TransOutputShaftSpeed [rpm]", 0, 1500),
            c("FrontAxleSpeed [km/h]", 0, 80),
            c("EngThrottleValve1Pos1 [%]", 2, 80, throttle_position=PERCENT),
        ],
        time="timestamps",
        only=False,
        silent=[
            "ActualEngPercentTorque [%]",
            "TransOilTemp1 [degC]",
            "EngTurbo1Speed [rpm]",
            "EngTotalHours [h]",
            "EngCoolantLevel1 [%]",
            "TransOutputShaftSpeed [rpm]",
            "FrontAxleSpeed [km/h]",
        ],
    ),
    Case("a truck, decoded, no units, each at its own rate", _SPARSE[0], _SPARSE[1], rtol=0.06),
    wide(
        "signals under the message they came in",
        [
            c("CAN1.EEC1.EngineSpeed", 650, 1500, engine_speed=RPM),
            c("CAN1.EFL_P1.EngOilPress", 200, 400, oil_pressure=KPA),
            c("CAN1.ET1.EngCoolantTemp", 21, 60, 88, coolant_temperature=C),
            c("CAN1.CCVS1.WheelBasedVehicleSpeed", 0, 80),
        ],
        time="t",
        asks={"CAN1.CCVS1.WheelBasedVehicleSpeed": "road_speed"},
    ),
    wide(
        "signals under a group with units",
        [
            c("Engine.Speed [rpm]", 650, 1500, engine_speed=RPM),
            c("Engine.OilPressure [kPa]", 200, 400, oil_pressure=KPA),
            c("Engine.CoolantTemperature [°C]", 21, 60, 88, coolant_temperature=C),
            c("Vehicle.Speed [km/h]", 0, 80, road_speed=KMH),
            c("Gearbox.OilTemperature [°C]", 21, 40, 60),
            c("Body/Cabin/Temperature [°C]", 18, 22),
        ],
        silent=["Gearbox.OilTemperature [°C]", "Body/Cabin/Temperature [°C]"],
    ),
    wide(
        "signals with message and bus in brackets",
        [
            c("EngineSpeed (EEC1, 0xCF00400)", 650, 1500, engine_speed=RPM),
            c("EngOilPress (EFL_P1, 0x18FEEF00)", 200, 400, oil_pressure=KPA),
        ],
        sep=";",
    ),
    wide(
        "a motorcycle",
        [
            c("RPM", 1200, 7800, engine_speed=RPM),
            c("Gear", 1, 3, form="{:.0f}", gear=ONE),
            c("TPS (%)", 0, 90, throttle_position=PERCENT),
            c("Water Temp (°C)", 30, 70, 95, coolant_temperature=C),
            c("Front Wheel Speed (km/h)", 0, 120),
            c("Rear Wheel Speed (km/h)", 0, 121),
            c("Lean Angle (deg)", -30, 30),
            c("Front Brake Pressure (bar)", 0, 8, brake_pressure=BAR),
            c("Speed (km/h)", 0, 120, road_speed=KMH),
        ],
        silent=["Front Wheel Speed (km/h)", "Lean Angle (deg)"],
    ),
    wide(
        "a boat",
        [
            c("Port Engine RPM", 650, 3200),
            c("Stbd Engine RPM", 650, 3210),
            c("Port Engine Oil Pressure (psi)", 40, 62),
            c("Stbd Engine Oil Pressure (psi)", 41, 60),
            c("SOG (kt)", 0, 24, road_speed=KNOTS),
            c("Port Engine Coolant Temp (°F)", 70, 170),
            c("Depth (ft)", 10, 40),
        ],
        asks={
            "Port Engine RPM": "engine_speed",
            "Stbd Engine RPM": "engine_speed",
            "Port Engine Oil Pressure (psi)": "oil_pressure",
        },
        silent=["Depth (ft)"],
    ),
    wide(
        "a generator set",
        [
            c("Engine Speed (RPM)", 1500, 1502, engine_speed=RPM),
            c("Oil Pressure (Bar)", 4.5, 5.2, 4.1, oil_pressure=BAR),
            c("Coolant Temperature (°C)", 21, 60, 88, coolant_temperature=C),
            c("Generator Frequency (Hz)", 50, 50.1),
            c("Generator L1-N Voltage (V)", 230, 231),
            c("Engine Battery Voltage (V)", 13.6, 13.8, battery_voltage=ONE),
            c("Generator Load (%)", 10, 80),
            c("Running Hours (h)", 12, 12),
            c("Mains Frequency (Hz)", 50, 50),
        ],
        silent=[
            "Generator Frequency (Hz)",
            "Generator L1-N Voltage (V)",
            "Generator Load (%)",
            "Mains Frequency (Hz)",
        ],
    ),
    wide(
        "a tractor",
        [
            c("Engine speed (rpm)", 850, 2100, engine_speed=RPM),
            c("PTO speed (rpm)", 0, 540),
            c("Ground speed (km/h)", 0, 12, road_speed=KMH),
            c("Engine oil pressure (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR),
            c("Hydraulic oil temperature (°C)", 20, 40, 60),
            c("Coolant temperature (°C)", 21, 60, 88, coolant_temperature=C),
            c("Wheel slip (%)", 0, 8),
        ],
        silent=["PTO speed (rpm)", "Hydraulic oil temperature (°C)", "Wheel slip (%)"],
    ),
]
