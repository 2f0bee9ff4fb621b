"""Engine computers and loggers of performance cars: short names, unit rows, preambles."""

from tests.logs.loggers import (
    AFR, BAR, DEG, INHG, KGF, KMH, KPA, MBAR, MPH, ONE, PERCENT, PSI, RPM, C, Case, F, G, K, c,
    gauge, wide,
)  # fmt: skip

_PAIRS = (
    "Log of a drive\nVersion,3.1\nDate,2026-11-25\nTime,10:31:07\nSample rate,2 Hz\n"
    "Vehicle,grey\nComment,\"cold start, gentle\"\nOwner,\nChannels,7\nDuration,60.5\nLap,1\n\n"
)
_SIXTY = "".join(f"Setting {i};{i * 3};{i / 7:.3f}\n" for i in range(1, 61)) + "\n"

CASES: list[Case] = [
    wide("names, units and types in three rows", [
        c("RPM", 850, 3600, engine_speed=RPM), c("MAP", 35, 98, manifold_pressure=KPA),
        c("TPS", 2, 80, throttle_position=PERCENT), c("CLT", 21, 60, 88, coolant_temperature=C),
        c("IAT", 18, 24, 26, intake_temperature=C), c("Lambda 1", 1.02, 0.86, **{"lambda": ONE}),
        c("OilPress", 4.5, 5.2, 2.1, oil_pressure=BAR),
    ], time="Time", under="s,rpm,kPa,%,°C,°C,λ,bar\n" + "f32," * 7 + "f32\n"),
    wide("short names, no unit anywhere, metric", [
        c("RPM", 850, 3600, engine_speed=RPM), c("MAP", 35, 98, manifold_pressure=KPA),
        c("TPS", 2, 80, throttle_position=PERCENT), c("CLT", 21, 60, 88, coolant_temperature=C),
        c("IAT", 18, 24, 30, intake_temperature=C), c("AFR 1", 14.9, 12.4, **{"lambda": AFR}),
        c("Batt V", 12.4, 14.2, battery_voltage=ONE), c("Ign Adv", 10, 34, ignition_angle=DEG),
        c("Inj DC", 1.5, 40, injector_duty=PERCENT), c("Oil P", 480, 520, 190, oil_pressure=KPA),
        c("BARO", 99, 99, barometric_pressure=KPA), c("Knk ret", 0, 2, knock_retard=DEG),
        c("TGT AFR", 14.7, 12.5), c("VSS", 0, 80),
    ], time="Time", asks={"VSS": "road_speed"}, silent=["TGT AFR"]),
    wide("short names, no unit anywhere, American", [
        c("RPM", 850, 3600, engine_speed=RPM), c("MAP", 5.1, 14.2, manifold_pressure=PSI),
        c("TPS", 2, 80, throttle_position=PERCENT), c("ECT", 70, 140, 190, coolant_temperature=F),
        c("ACT", 66, 75, 84, intake_temperature=F), c("AFR", 14.9, 12.4, **{"lambda": AFR}),
        c("Eng Oil Temp", 68, 120, 205, oil_temperature=F), c("Oil P", 62, 70, 24, oil_pressure=PSI),
        c("Fuel P", 43, 44, 43), c("EGT 1", 300, 1250, exhaust_temperature=F), c("MGP", -9, 4),
    ], time="Time", asks={"Fuel P": "fuel_pressure"}, silent=["MGP"]),
    wide("units in brackets of every kind", [
        c("Engine Speed (RPM)", 850, 3600, engine_speed=RPM),
        c("Man. Abs. Press. (bar)", 0.35, 0.98, manifold_pressure=BAR),
        c("Accel. Pedal Pos. (%)", 0, 70, pedal_position=PERCENT),
        c("Throttle Opening Angle (%)", 2, 80, throttle_position=PERCENT),
        c("Coolant Temp. (F)", 70, 140, 190, coolant_temperature=F),
        c("Oil Temp. (F)", 70, 120, 205, oil_temperature=F),
        c("Ign. Timing (deg.)", 10, 34, ignition_angle=DEG),
        c("OilPress (psi)", 62, 70, 24, oil_pressure=PSI),
        c("AF Sens 1 Ratio (AFR)", 14.9, 12.4, **{"lambda": AFR}),
        c("Target Boost (psi)", 0, 6), c("Vehicle Speed (mph)", 0, 50, road_speed=MPH),
        c("Mass Airflow (kg/h)", 12, 240, air_flow=lambda p: tuple(x / 3600 for x in p)),
    ], time="Time (msec)", stamp=lambda i: str(500 * i), silent=["Target Boost (psi)"]),
    wide("quoted, with a unit row", [
        c("Engine RPM", 850, 3600, engine_speed=RPM), c("Boost", -9.5, 6, manifold_pressure=gauge(PSI)),
        c("Oil Pressure", 62, 70, 24, oil_pressure=PSI),
        c("Coolant Temp", 70, 140, 190, coolant_temperature=F),
        c("Wideband", 1.0, 0.85, **{"lambda": ONE}),
    ], time="Time", quote=True, under='"sec","rpm","psi","psi","°F","Lambda"\n'),
    wide("a preamble of keys and values", [
        c("Engine Speed", 850, 3600, engine_speed=RPM),
        c("Manifold Pressure", 35, 98, manifold_pressure=KPA),
        c("Coolant Temperature", 21, 60, 88, coolant_temperature=C),
        c("Oil Pressure", 480, 520, 190, oil_pressure=KPA),
    ], time="Section Time", above=_PAIRS, under="s,rpm,kPa,C,kPa\n"),
    wide("a preamble of sixty lines, semicolons", [
        c("Motordrehzahl [1/min]", 850, 3600, engine_speed=RPM),
        c("Saugrohrdruck [mbar]", 350, 980, manifold_pressure=MBAR),
        c("Wassertemperatur [°C]", 21, 60, 88, coolant_temperature=C),
    ], time="Zeit [s]", sep=";", decimal=",", above=_SIXTY),
    wide("tabs and remarks", [
        c("rpm", 850, 3600, engine_speed=RPM), c("map_kpa", 35, 98, manifold_pressure=KPA),
        c("oil_press_kpa", 480, 520, 190, oil_pressure=KPA), c("clt_c", 21, 60, 88, coolant_temperature=C),
    ], time="# time", sep="\t", above="# a log\n# second remark, with commas, and 3.5\n#\n"),
    wide("gauge pressure in its name", [
        c("RPM", 850, 3600, engine_speed=RPM),
        c("Boost Gauge Pressure (kPa)", -62, 40, manifold_pressure=gauge(KPA, 98_000)),
        c("Baro (kPa)", 98, 98, barometric_pressure=KPA),
        c("TPS", 0.02, 0.85, throttle_position=ONE),
        c("Coolant Temp (K)", 294, 330, 361, coolant_temperature=K),
        c("Oil Pressure (kgf/cm²)", 4.5, 5.2, 2.1, oil_pressure=KGF),
    ]),
    wide("manifold pressure without a unit, in inches of mercury", [
        c("RPM", 850, 3600, engine_speed=RPM), c("MAP", 10.4, 28.8, manifold_pressure=INHG),
    ]),
    wide("manifold pressure without a unit, in bar", [
        c("RPM", 850, 3600, engine_speed=RPM), c("MAP", 0.35, 1.62, manifold_pressure=BAR),
    ]),
    wide("manifold pressure without a unit, in millibar", [
        c("RPM", 850, 3600, engine_speed=RPM), c("MAP", 350, 1620, manifold_pressure=MBAR),
    ]),
    wide("letters for the quantity first", [
        c("nEngine", 850, 3600, engine_speed=RPM), c("pManifold [mbar]", 350, 980, manifold_pressure=MBAR),
        c("tOil [C]", 22, 60, 96, oil_temperature=C), c("pOil [bar]", 4.5, 5.2, 2.1, oil_pressure=BAR),
        c("tWater [C]", 21, 60, 88, coolant_temperature=C), c("pFuel [bar]", 3, 3.1, fuel_pressure=BAR),
        c("vCar [km/h]", 0, 80, road_speed=KMH), c("nGear", 1, 3, form="{:.0f}", gear=ONE),
        c("gLat [G]", -0.5, 0.6, acceleration_lateral=G), c("gLong [G]", -0.4, 0.3, acceleration_longitudinal=G),
        c("rThrottle [%]", 2, 80, throttle_position=PERCENT),
    ], time="Time [s]", rtol=0.02, only=True),
    wide("underscored letters for the quantity first", [
        c("n_Engine [rpm]", 850, 3600, engine_speed=RPM), c("p_oil [bar]", 4.5, 5.2, 2.1, oil_pressure=BAR),
        c("T_oil [°C]", 22, 60, 96, oil_temperature=C), c("T_water [°C]", 21, 60, 88, coolant_temperature=C),
        c("p_boost [bar]", 0.5, 1.4, manifold_pressure=BAR),
    ], time="t [s]"),
    wide("words run together, units behind", [
        c("EngineSpeedRPM", 850, 3600, engine_speed=RPM),
        c("ManifoldPressurekPa", 35, 98, manifold_pressure=KPA),
        c("OilPressureBar", 4.5, 5.2, 2.1, oil_pressure=BAR),
        c("CoolantTempDegC", 21, 60, 88, coolant_temperature=C),
        c("VehicleSpeedKPH", 0, 80, road_speed=KMH),
    ], time="TimeSec"),
    wide("two sensors of one kind and a spread of corrections", [
        c("RPM [rpm]", 850, 3600, engine_speed=RPM), c("Lambda 1 [λ]", 1.0, 0.86, **{"lambda": ONE}),
        c("Lambda 2 [λ]", 1.02, 0.9), c("Lambda Correction [%]", -3, 4), c("Idle Target RPM [rpm]", 850, 850),
        c("RPM Limit [rpm]", 6500, 6500), c("Oil Pressure Warning", 0, 0), c("Engine Protection RPM [rpm]", 6000, 6000),
        c("Coolant Fan Output [%]", 0, 100), c("Boost Control Duty [%]", 0, 60),
    ], silent=["Lambda 2 [λ]", "Lambda Correction [%]", "Idle Target RPM [rpm]", "RPM Limit [rpm]",
               "Oil Pressure Warning", "Engine Protection RPM [rpm]", "Coolant Fan Output [%]",
               "Boost Control Duty [%]"]),
    wide("a dyno sheet with time", [
        c("Engine Speed [rpm]", 2000, 6500, 6500, engine_speed=RPM), c("Torque [Nm]", 180, 320, 260),
        c("Power [kW]", 38, 180, 177), c("Corrected Power [kW]", 39, 184, 180),
        c("Roller Speed [km/h]", 40, 130, 130), c("AFR [-]", 13.2, 12.0, **{"lambda": AFR}),
        c("Air Temp [°C]", 24, 25, 26), c("Air Pressure [mbar]", 990, 990), c("Slip [%]", 0, 2),
    ], time="Time [s]", only=False, silent=["Torque [Nm]", "Corrected Power [kW]", "Roller Speed [km/h]", "Slip [%]"]),
]  # fmt: skip
