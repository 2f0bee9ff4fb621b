"""What a column is taken for: by its words, its unit and its values, and never in silence."""

import numpy as np
import pytest

from tests.logs.written import column, read, said
from witnessmark.errors import UserError
from witnessmark.logs.channels.naming import matches, take_apart
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.channel import How

ROWS = 240
RAMP = np.linspace(0, 1, ROWS)


def log_of(columns: dict[str, np.ndarray], *corrections: str):
    """A log of these columns at 10 rows a second, with a sound engine speed beside them."""
    sheet = {"Time [s]": np.arange(ROWS) / 10, "Engine RPM [rpm]": 900 + 1500 * RAMP, **columns}
    lines = [";".join(sheet)]
    lines += [";".join(f"{x:.6g}" for x in row) for row in zip(*sheet.values(), strict=True)]
    return read("\n".join(lines), *corrections)


# --- by the words -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "channel"),
    [
        ("RPM", "engine_speed"),
        ("Engine Speed (RPM)", "engine_speed"),
        ("n_mot", "engine_speed"),
        ("EngineSpeed", "engine_speed"),
        ("ENGINE_RPM", "engine_speed"),
        ("Intake Manifold Absolute Pressure", "manifold_pressure"),
        ("MAP", "manifold_pressure"),
        ("boost_kpa", "manifold_pressure"),
        ("Ladedruck [mbar]", "manifold_pressure"),
        ("ECT (°F)", "coolant_temperature"),
        ("coolantTempC", "coolant_temperature"),
        ("Water Temp", "coolant_temperature"),
        ("oilT_C", "oil_temperature"),
        ("Engine oil temperature", "oil_temperature"),
        ("Oil Press (PSI)", "oil_pressure"),
        ("IAT", "intake_temperature"),
        ("OAT", "ambient_temperature"),
        ("AFR", "lambda"),
        ("Lambda 1", "lambda"),
        ("Control module voltage", "battery_voltage"),
        ("GPS Speed (mph)", "road_speed"),
        ("MAF air flow rate", "air_flow"),
        ("Fuel Flow (gal/hour)", "fuel_flow"),
        ("Gear", "gear"),
        ("Timing advance", "ignition_angle"),
        ("Short term fuel % trim - Bank 1", "fuel_trim_short"),
        ("LTFT [%]", "fuel_trim_long"),
        ("EGT1 (deg F)", "exhaust_temperature"),
        ("CHT 3", "cylinder_head_temperature"),
        ("Accelerator pedal position D", "pedal_position"),
        ("Calculated load value (%)", "engine_load"),
        ("Lateral acceleration (g)", "acceleration_lateral"),
        ("Barometric pressure", "barometric_pressure"),
        ("Crankcase pressure (mbar)", "crankcase_pressure"),
        ("Injector duty cycle (%)", "injector_duty"),
    ],
)
def test_names_of_channels(name, channel):
    best = matches(take_apart(name))[0]
    assert (best.entry.channel.name, best.left) == (channel, ())


@pytest.mark.parametrize(
    "name",
    [
        "Commanded Boost Pressure A [kPa]",
        "Desired engine speed [rpm]",
        "Average speed [km/h]",
        "Maximum engine RPM [rpm]",
        "Turbocharger A RPM [rpm]",
        "Wheel speed FL [km/h]",
        "Gearbox oil temperature [°C]",
        "Transmission fluid temperature [°C]",
        "EGR temperature [°C]",
        "Distance to empty [km]",
        "Fuel rail pressure [kPa]",
        "Catalyst temperature [°C]",
        "Fuel pressure regulator duty [%]",
        "Battery temperature [°C]",
        "Oil level [%]",
        "Engine torque [%]",
        "Intake cam position [°]",
        "Exhaust back pressure [kPa]",
        "Coolant pressure [kPa]",
        "Throttle position sensor voltage [V]",
        "Clutch pedal position [%]",
        "Brake pedal position [%]",
        "Fuel temperature [°C]",
        "Lambda integrator [%]",
        "Engine speed limit [rpm]",
        "Soll-Drehzahl [1/min]",
        "Solldrehzahl [1/min]",
        "Getriebeöltemperatur [°C]",
        "Ladedruck Soll [mbar]",
        "Turbo shaft speed [rpm]",
        "Propeller rpm [rpm]",
        "Fan speed [rpm]",
        "Alternator voltage [V]",
        "Vertical speed [ft/s]",
    ],
)
def test_names_of_other_things_are_not_taken(name):
    log = log_of({name: 50 + RAMP})
    found = column(log, name)
    assert found.channel is None
    assert found.why
    assert set(log.channels) == {"engine_speed"}


def test_one_strange_word_beside_a_unit_that_fits_is_said():
    log = log_of({"Quxx Oil Pressure [kPa]": 200 + 100 * RAMP})
    found = column(log, "Quxx Oil Pressure [kPa]")
    assert found.channel == "oil_pressure"
    assert "'quxx' in its name is not known" in found.why


def test_strange_words_without_a_unit_are_asked():
    log = log_of({"Quxx oil pressure": 200 + 100 * RAMP})
    found = column(log, "Quxx oil pressure")
    assert (found.channel, found.how) == (None, How.SET_ASIDE)
    assert "--channel 'Quxx oil pressure=oil_pressure:" in found.why


def test_every_column_has_a_word_said_of_it():
    log = log_of({"Foo": RAMP, "Bar [kPa]": RAMP, "Oil temp [°C]": 60 + RAMP})
    assert [c.name for c in log.columns] == [
        "Time [s]", "Engine RPM [rpm]", "Foo", "Bar [kPa]", "Oil temp [°C]",
    ]  # fmt: skip
    assert all(c.channel or c.why for c in log.columns)


# --- by the unit and the values ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "values", "unit", "channel", "si"),
    [
        # Fixed points anybody knows: 212 °F boils at 100 °C; 14.7 psi is 101.35 kPa.
        ("Coolant temperature", 60 + 152 * RAMP, "°F", "coolant_temperature", 373.15),
        ("Oil pressure", 14.7 + 40 * RAMP, "psi", "oil_pressure", 54.7 * 6894.757),
        ("Oil pressure", 1.5 + 2.5 * RAMP, "bar", "oil_pressure", 4.0e5),
        ("Oil pressure", 150 + 350 * RAMP, "kPa", "oil_pressure", 5.0e5),
        ("MAP", 30 + 70 * RAMP, "kPa", "manifold_pressure", 1.0e5),
        ("MAP", 0.3 + 0.7 * RAMP, "bar", "manifold_pressure", 1.0e5),
        ("MAP", 300 + 700 * RAMP, "mbar", "manifold_pressure", 1.0e5),
        ("Battery voltage", 12.5 + RAMP, "V", "battery_voltage", 13.5),
        ("TPS", 3 + 60 * RAMP, "%", "throttle_position", 0.63),
    ],
)
def test_a_missing_unit_that_only_one_explains_is_assumed_and_said(name, values, unit, channel, si):
    log = log_of({name: values})
    found = column(log, name)
    assert (found.how, found.taken_unit) == (How.ASSUMED_UNIT, unit)
    assert unit in found.why
    assert np.nanmax(log[channel]) == pytest.approx(si, rel=1e-4)


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("Vehicle speed", 10 + 40 * RAMP),  # km/h, mph and m/s all make sense, always
        ("Speed", 10 + 40 * RAMP),
        ("Intake air temperature", 30 + 5 * RAMP),  # 30 °C or 30 °F
        ("Oil pressure", 14 + 0 * RAMP),  # nothing fits
    ],
)
def test_a_missing_unit_that_several_explain_is_asked(name, values):
    log = log_of({name: values})
    found = column(log, name)
    assert found.channel is None
    assert "engine_speed" in log
    if name != "Speed":
        assert f"--channel '{name}=" in found.why


def test_what_the_reader_asks_to_type_works():
    log = log_of({"Vehicle speed": 10 + 40 * RAMP})
    option = column(log, "Vehicle speed").why.split("--channel '")[1].split("'")[0]
    assert option.startswith("Vehicle speed=road_speed:")
    assert "road_speed" in log_of({"Vehicle speed": 10 + 40 * RAMP}, option)


def test_a_unit_the_values_contradict_is_set_aside_with_the_one_that_fits():
    log = log_of({"Coolant temperature [°C]": 70 + 125 * RAMP})
    found = column(log, "Coolant temperature [°C]")
    assert (found.channel, found.how) == (None, How.SET_ASIDE)
    assert "--channel 'Coolant temperature [°C]=coolant_temperature:°F'" in found.why
    told = log_of(
        {"Coolant temperature [°C]": 70 + 125 * RAMP},
        "Coolant temperature [°C]=coolant_temperature:°F",
    )
    assert np.nanmax(told["coolant_temperature"]) == pytest.approx(273.15 + (195 - 32) / 1.8)


def test_a_unit_of_another_kind_is_set_aside():
    found = column(log_of({"Throttle position [V]": 0.5 + 3 * RAMP}), "Throttle position [V]")
    assert found.channel is None
    assert "'V' is not a unit of it" in found.why


# --- pressures --------------------------------------------------------------------------------


def test_boost_gets_the_barometer_of_the_log():
    log = log_of({"Boost [kPa]": -60 + 80 * RAMP, "Barometric pressure [kPa]": 98 + 0 * RAMP})
    assert log["manifold_pressure"][[0, -1]] == pytest.approx([38e3, 118e3])
    assert "98.0 kPa added (from 'Barometric pressure [kPa]')" in said(log)


def test_boost_without_a_barometer_gets_the_standard_atmosphere_and_says_so():
    log = log_of({"Boost [bar]": -0.6 + 0.8 * RAMP})
    # ISO 2533:1975, standard atmosphere at sea level: 1013.25 hPa.
    assert log["manifold_pressure"][-1] == pytest.approx(0.2e5 + 101_325)
    assert "standard atmosphere, ISO 2533" in said(log)


def test_boost_that_can_only_be_absolute_stays_as_it_is():
    log = log_of({"Ladedruck [mbar]": 980 + 900 * RAMP})
    assert log["manifold_pressure"][-1] == pytest.approx(188_000)
    assert "can only be absolute" in said(log)


def test_a_marked_gauge_pressure_is_gauge_whatever_its_values():
    log = log_of({"Boost [psig]": 12 + 4 * RAMP})
    assert log["manifold_pressure"][-1] == pytest.approx(16 * 6894.757 + 101_325, rel=1e-6)


def test_absolute_oil_pressure_is_brought_to_gauge():
    log = log_of({"Oil pressure [psia]": 54.7 + 0 * RAMP})
    assert log["oil_pressure"][-1] == pytest.approx(54.7 * 6894.757 - 101_325, rel=1e-6)
    assert "taken off" in said(log)


# --- mixture ----------------------------------------------------------------------------------


def test_air_fuel_ratio_becomes_lambda_with_the_fuel_said():
    log = log_of({"AFR": 14.7 + 0 * RAMP})
    # 14.7 for petrol without ethanol: common practice on gauges, no source.
    assert log["lambda"][0] == pytest.approx(1.0)
    assert "petrol without ethanol" in said(log)


def test_lambda_under_the_name_of_air_fuel_ratio_stays_lambda():
    assert log_of({"AFR": 0.95 + 0 * RAMP})["lambda"][0] == pytest.approx(0.95)


# --- several columns for one channel ----------------------------------------------------------


def test_twins_that_agree_give_the_first():
    speed = 20 + 40 * RAMP
    log = log_of({"Vehicle speed [km/h]": speed, "Vehicle speed sensor [km/h]": speed + 0.2})
    assert log["road_speed"][-1] == pytest.approx(60 / 3.6)
    assert "shows the same" in column(log, "Vehicle speed sensor [km/h]").why


def test_twins_that_differ_are_both_asked():
    names = ("Coolant temp [°C]", "Engine coolant temperature [°C]")
    log = log_of({names[0]: 60 + 20 * RAMP, names[1]: 85 - 20 * RAMP})
    assert "coolant_temperature" not in log
    for name in names:
        assert "they differ" in column(log, name).why
        assert f"--channel '{name}=coolant_temperature:°C'" in column(log, name).why


def test_the_user_decides_between_twins():
    columns = {
        "Coolant temp [°C]": 60 + 20 * RAMP,
        "Engine coolant temperature [°C]": 85 - 20 * RAMP,
    }
    log = log_of(columns, "Coolant temp [°C]=coolant_temperature:°C")
    assert log["coolant_temperature"][-1] == pytest.approx(80 + 273.15)


def test_the_better_name_wins():
    log = log_of({"Boost pressure [kPa]": 5 + 60 * RAMP, "MAP [kPa]": 35 + 60 * RAMP})
    assert log["manifold_pressure"][-1] == pytest.approx(95_000)
    assert "'MAP [kPa]' is used" in column(log, "Boost pressure [kPa]").why


def test_a_second_sensor_is_not_merged_with_the_first():
    log = log_of({"Throttle position B [%]": 5 + RAMP, "Throttle position [%]": 9 + RAMP})
    assert log["throttle_position"][0] == pytest.approx(0.09)
    assert "second sensor" in column(log, "Throttle position B [%]").why


def test_of_one_sensor_a_cylinder_the_hottest_is_shown():
    log = log_of({"EGT1 [°C]": 600 + 50 * RAMP, "EGT2 [°C]": 650 - 50 * RAMP})
    assert log["exhaust_temperature"][[0, -1]] == pytest.approx([923.15, 923.15])
    assert log["exhaust_temperature"].min() > 890
    assert "the hottest of them" in column(log, "EGT2 [°C]").why


def test_no_engine_speed_but_something_useful_is_a_log():
    lines = ["Time [s];Oil pressure [kPa]", *(f"{i / 10};{200 + i}" for i in range(50))]
    assert set(read("\n".join(lines)).channels) == {"oil_pressure"}


# --- the vocabulary itself --------------------------------------------------------------------


def test_common_units_of_every_channel_are_known():
    for entry in vocabulary().entries.values():
        for unit in entry.units:
            lines = ["Time [s];X", *(f"{i};1" for i in range(5))]
            option = f"X={entry.channel.name}:{unit}"
            try:
                read("\n".join(lines), option)
            except UserError as error:
                assert "unit" not in str(error).split(";")[0], (option, str(error))


def test_every_phrase_is_found_under_its_own_channel():
    for name, entry in vocabulary().entries.items():
        for phrase in entry.phrases:
            unit = f" [{entry.units[0]}]" if phrase.unit else ""
            named = take_apart(" ".join(sorted(phrase.words)) + unit)
            best = matches(named)[0]
            assert best.entry.channel.name == name, (name, phrase)
