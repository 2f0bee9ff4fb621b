"""The tables of a build sheet, as a person writes them. Every value in SI after reading.

A key with a default of None may stay unsaid. A key without one is either demanded from the
person or filled from book/assumed.toml, which says so in the plan.
"""

import re
from datetime import date, datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, Field, StrictInt, StringConstraints

from witnessmark.model.build_sheet.fields import Measure, Section, Word
from witnessmark.model.faults import fault
from witnessmark.physics.gearing import tyre_diameter
from witnessmark.units import Kind, parse

Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]
Ratio = Annotated[float, Measure(Kind.RATIO, "3.77")]
Clearance = Annotated[float, Measure(Kind.CLEARANCE, "0.0022 in", positive=False)]
Gap = Annotated[float, Measure(Kind.CLEARANCE, "0.46 mm", positive=False)]
Wall = Annotated[float, Measure(Kind.CLEARANCE, "70 µm", positive=False)]
Rough = Annotated[float, Measure(Kind.ROUGHNESS, "0.24 µm")]
Hole = Annotated[float, Measure(Kind.LENGTH, "1.4 mm")]
Play = Annotated[float, Measure(Kind.LENGTH, "2.0 mm", positive=False)]
Lash = Annotated[float, Measure(Kind.CLEARANCE, "0.22 mm", positive=False)]
EndFloat = Annotated[float, Measure(Kind.CLEARANCE, "0.15 mm", positive=False)]


def _day(value: object) -> object:
    """A day; a time of day or a bare number is none."""
    try:
        if isinstance(value, str):
            return date.fromisoformat(value.strip())
    except ValueError:
        value = None
    if isinstance(value, datetime) or not isinstance(value, date):
        raise fault("it is no date", "a day without a time is wanted", "Write it as 2026-11-02")
    return value


Day = Annotated[date, BeforeValidator(_day)]
RingMaterial = Annotated[
    Literal[
        "cast iron", "ductile iron", "ductile iron, moly-faced", "ductile iron, chrome-faced",
        "steel", "steel, nitrided", "steel, vapour-coated", "steel, moly-faced",
        "steel, chrome-faced", "steel, plated",
    ],
    Word(),
]  # fmt: skip


class Identity(Section):
    """Which engine this is, and who stands for it."""

    serial: Text = Field(title="serial number", examples=["TS-0417"])
    name: Text | None = Field(None, title="name", examples=["Heron 24T"])
    shop: Text | None = Field(None, title="shop", examples=["Tarn Street Engines"])
    built_by: Text | None = Field(None, title="built by", examples=["Ruta Ozols"])
    signed_on: Day | None = Field(None, title="signed on", examples=["2026-11-02"])
    owner: Text | None = Field(None, title="owner", examples=["Ilse Marchbank"])
    vehicle: Text | None = Field(None, title="vehicle", examples=["Heron estate, grey"])


class Layout(Section):
    """Cylinders and crank."""

    arrangement: Annotated[Literal["inline", "V", "flat"], Word()] = Field(title="arrangement")
    cylinders: StrictInt = Field(title="number of cylinders", ge=1, le=16, examples=[5])
    firing_order: tuple[StrictInt, ...] = Field(title="firing order", examples=[[1, 2, 4, 5, 3]])
    firing: Annotated[Literal["even", "uneven"], Word()] = Field("even", title="firing intervals")
    bore: Annotated[float, Measure(Kind.LENGTH, "84.00 mm")] = Field(title="bore")
    stroke: Annotated[float, Measure(Kind.LENGTH, "88.00 mm")] = Field(title="stroke")
    rod_length: Annotated[float, Measure(Kind.LENGTH, "149.0 mm")] = Field(title="rod length")
    compression_ratio: Annotated[float, Measure(Kind.RATIO, "9.2")] | None = Field(
        None, title="compression ratio"
    )
    redline: Annotated[float, Measure(Kind.ROTATIONAL_SPEED, "7000 rpm")] = Field(title="redline")
    idle_speed: Annotated[float, Measure(Kind.ROTATIONAL_SPEED, "950 rpm")] = Field(
        title="idle speed"
    )


class Bearings(Section):
    """One row of plain bearings; clearances are on the diameter, one a journal, front first."""

    journal_diameter: Annotated[float, Measure(Kind.LENGTH, "58.00 mm")] = Field(
        title="journal diameter"
    )
    length: Annotated[float, Measure(Kind.LENGTH, "20.5 mm")] = Field(title="length")
    groove: Annotated[Literal["none", "upper half", "full"], Word()] = Field(title="oil groove")
    count: StrictInt = Field(title="number of journals", ge=1, le=64, examples=[6])
    clearances: tuple[Clearance, ...] = Field(title="clearances", examples=[["0.0022 in"]])
    clearance_min: Clearance | None = Field(None, title="least clearance allowed")
    clearance_max: Clearance | None = Field(None, title="most clearance allowed")


class Crank(Section):
    """Crank end float as measured, and the limits it is held against."""

    end_float: EndFloat = Field(title="end float, measured")
    end_float_min: EndFloat = Field(title="least end float allowed")
    end_float_max: EndFloat = Field(title="most end float allowed")


class Rings(Section):
    """Ring faces and end gaps, one gap a cylinder, cylinder 1 first."""

    top_material: RingMaterial = Field(title="top ring")
    second_material: RingMaterial = Field(title="second ring")
    gapless: Annotated[Literal["none", "top", "second"], Word()] = Field(title="gapless ring")
    top_gaps: tuple[Gap, ...] | None = Field(None, title="top ring gaps", examples=[["0.46 mm"]])
    second_gaps: tuple[Gap, ...] | None = Field(
        None, title="second ring gaps", examples=[["0.51 mm"]]
    )
    top_gap_min: Gap | None = Field(None, title="least top ring gap allowed")
    second_gap_min: Gap | None = Field(None, title="least second ring gap allowed")


class Finish(Section):
    """Bore finish by the three numbers of the bearing curve (ISO 13565-2, now ISO 21920-2)."""

    rpk: Rough = Field(title="peaks, Rpk")
    rk: Rough = Field(title="core, Rk")
    rvk: Rough = Field(title="valleys, Rvk")


class Bores(Section):
    """Bores and the pistons in them; piston-to-wall is on the diameter, cylinder 1 first."""

    material: Annotated[Literal["cast iron", "plated", "sprayed", "steel"], Word()] = Field(
        title="material"
    )
    finish: Finish | None = Field(
        None, title="finish", examples=[{"rpk": "0.24 µm", "rk": "0.75 µm", "rvk": "1.6 µm"}]
    )
    pistons: Annotated[Literal["forged", "cast"], Word()] = Field(title="pistons")
    piston_to_wall: tuple[Wall, ...] | None = Field(
        None, title="piston-to-wall", examples=[["70 µm"]]
    )
    piston_to_wall_min: Wall | None = Field(None, title="least piston-to-wall allowed")
    piston_to_wall_max: Wall | None = Field(None, title="most piston-to-wall allowed")


class Cams(Section):
    """Camshafts, what rides on the lobes, and the lash."""

    arrangement: Annotated[Literal["overhead", "in block"], Word()] = Field(
        title="place of the camshaft"
    )
    follower: Annotated[Literal["roller", "bucket", "slider", "flat tappet"], Word()] = Field(
        title="follower"
    )
    adjustment: Annotated[Literal["solid", "hydraulic"], Word()] | None = Field(
        None, title="lash adjustment"
    )
    lash_intake: Lash | None = Field(None, title="intake lash")
    lash_exhaust: Lash | None = Field(None, title="exhaust lash")
    lash_measured: Annotated[Literal["cold", "hot"], Word()] | None = Field(
        None, title="lash measured"
    )


class Induction(Section):
    """How the engine breathes; boost above the air pressure outside."""

    kind: Annotated[Literal["natural", "turbocharged", "supercharged"], Word()] = Field(
        title="kind of induction"
    )
    minimum_boost: Annotated[float, Measure(Kind.PRESSURE, "0.45 bar", positive=False)] | None = (
        Field(None, title="least boost it can be held to")
    )


class Fuel(Section):
    """What goes into the tank for the run-in."""

    kind: Annotated[Literal["petrol", "ethanol blend", "diesel"], Word()] = Field(
        title="kind of fuel"
    )
    octane: Annotated[str, StringConstraints(pattern=r"^\d{2,3}(\.\d)? ?(RON|MON|AKI)$")] | None = (
        Field(None, title="octane", examples=["98 RON"])
    )
    ethanol: Annotated[float, Measure(Kind.FRACTION, "0 %", positive=False)] = Field(
        title="ethanol content"
    )


# Winter and hot grades of SAE J300 (J300_202104; none added since).
_WINTER, _HOT = (0, 5, 10, 15, 20, 25), (8, 12, 16, 20, 30, 40, 50, 60)
_GRADE = re.compile(r"^(?:SAE\s*)?(?:(\d+)\s*W)?\s*-?\s*(\d+)?$", re.IGNORECASE)


def _grade(text: str) -> str:
    match = _GRADE.match(text.strip())
    winter, hot = (int(n) if n else None for n in match.groups()) if match else (None, None)
    known = winter in (*_WINTER, None) and hot in (*_HOT, None)
    if winter is hot is None or not known:
        raise fault(
            f"'{text}' is not an oil grade", "an SAE J300 grade is wanted",
            "Write it as '15W-40', or give kv40 and kv100 from the oil's data sheet",
        )  # fmt: skip
    return "-".join(
        part for part in (f"{winter}W" if winter is not None else "", str(hot or "")) if part
    )


class Oil(Section):
    """The run-in oil, by grade or by the numbers of its data sheet, and where it goes."""

    name: Text | None = Field(None, title="oil", examples=["mineral, zinc-rich run-in oil"])
    grade: Annotated[str, AfterValidator(_grade)] | None = Field(
        None, title="grade", examples=["15W-40"]
    )
    kv40: Annotated[float, Measure(Kind.KINEMATIC_VISCOSITY, "110 mm²/s")] | None = Field(
        None, title="viscosity at 40 °C"
    )
    kv100: Annotated[float, Measure(Kind.KINEMATIC_VISCOSITY, "14.5 mm²/s")] | None = Field(
        None, title="viscosity at 100 °C"
    )
    hths: Annotated[float, Measure(Kind.DYNAMIC_VISCOSITY, "3.9 mPa·s")] | None = Field(
        None, title="HTHS viscosity"
    )
    density: Annotated[float, Measure(Kind.DENSITY, "880 kg/m³")] | None = Field(
        None, title="density at 15 °C"
    )
    capacity: Annotated[float, Measure(Kind.VOLUME, "5.2 L")] | None = Field(
        None, title="capacity, filter included"
    )
    sump: Annotated[Literal["wet", "dry"], Word()] = Field(title="sump")
    filter: (
        Annotated[Literal["hangs down", "lies flat", "stands up", "in a housing"], Word()] | None
    ) = Field(None, title="filter")


class OilPump(Section):
    """Oil pump and relief valve; the gradient is how pressure still climbs once it is open."""

    displacement: Annotated[float, Measure(Kind.DISPLACEMENT, "14.0 cm³/rev")] | None = Field(
        None, title="displacement"
    )
    drive_ratio: Annotated[float, Measure(Kind.RATIO, "1.0")] = Field(title="turns per crank turn")
    relief_pressure: Annotated[float, Measure(Kind.PRESSURE, "75 psi")] = Field(
        title="relief pressure"
    )
    relief_gradient: Annotated[float, Measure(Kind.PRESSURE_PER_FLOW, "4.0 kPa/(L/min)")] | None = (
        Field(None, title="relief gradient")
    )


class Jets(Section):
    """Oil jets under the pistons."""

    count: StrictInt = Field(title="number of jets", ge=1, le=64, examples=[5])
    diameter: Hole = Field(title="jet diameter")
    opening_pressure: Annotated[float, Measure(Kind.PRESSURE, "2.0 bar")] | None = Field(
        None, title="jet opening pressure"
    )


class Feed(Section):
    """Any other place oil is fed to through a hole."""

    name: Text = Field(title="what it feeds", examples=["chain tensioner"])
    diameter: Hole = Field(title="feed diameter")


class Feeds(Section):
    """Where oil goes besides the bearings."""

    piston_jets: Jets | None = Field(
        None,
        title="piston jets",
        examples=[{"count": 5, "diameter": "1.4 mm", "opening_pressure": "2.0 bar"}],
    )
    turbo: Annotated[float, Measure(Kind.LENGTH, "1.0 mm")] | None = Field(
        None, title="turbo feed restrictor"
    )
    other: tuple[Feed, ...] = Field(
        (), title="other feeds", examples=[[{"name": "chain tensioner", "diameter": "0.8 mm"}]]
    )


class Clutch(Section):
    """What sits behind the crank; travel and play at the release bearing."""

    kind: Annotated[Literal["push", "pull", "twin clutch", "torque converter"], Word()] = Field(
        title="kind of clutch"
    )
    release_bearing: Annotated[Literal["runs free", "always in contact"], Word()] | None = Field(
        None, title="release bearing"
    )
    release_travel: Annotated[float, Measure(Kind.LENGTH, "8.0 mm")] | None = Field(
        None, title="release travel"
    )
    free_play: Play | None = Field(None, title="free play")


# Metric tyre size: section width in mm, aspect in per cent, R, rim in inches.
TYRE = re.compile(r"^(?:P|LT)?(\d{3})/(\d{2,3})\s*Z?R\s*(\d{2}(?:\.5)?)\b", re.IGNORECASE)


def _tyre(value: object) -> object:
    if isinstance(value, str) and not TYRE.match(value.strip()):
        raise fault(
            f"'{value}' is not a tyre size", "a size as moulded on the tyre is wanted",
            "Write it as '225/45R17', or give tyre_diameter",
        )  # fmt: skip
    return value.strip().upper() if isinstance(value, str) else value


def _length(number: str, unit: str) -> float:
    return parse(f"{number} {unit}", Kind.LENGTH, "tyre").value


class Gearing(Section):
    """Gear ratios from first up, final drive and the driven tyre."""

    gears: tuple[Ratio, ...] = Field(title="gear ratios", min_length=1, examples=[[3.36, 1.98]])
    final_drive: Ratio = Field(title="final drive")
    tyre: Annotated[str, BeforeValidator(_tyre)] | None = Field(
        None, title="driven tyre", examples=["225/45R17"]
    )
    tyre_diameter: Annotated[float, Measure(Kind.LENGTH, "634 mm")] | None = Field(
        None, title="driven tyre, diameter"
    )

    @property
    def size_diameter(self) -> float | None:
        """Free diameter of the driven tyre, from its size. [m]"""
        size = TYRE.match(self.tyre or "")
        if size is None:
            return None
        width, rim = _length(size[1], "mm"), _length(size[3], "in")
        return tyre_diameter(width, float(size[2]) / 100, rim)

    @property
    def diameter(self) -> float | None:
        """Diameter of the driven tyre: as measured, else from its size. [m]"""
        return self.tyre_diameter or self.size_diameter


class Use(Section):
    """Where the engine will live, and how it is to be run in if somebody has chosen."""

    kind: Annotated[Literal["road", "race only"], Word()] = Field(title="kind of use")
    recipe: Text | None = Field(None, title="run-in recipe", examples=["road-boosted-gentle"])
    school: Annotated[Literal["gentle first", "load early"], Word()] | None = Field(
        None, title="school of run-in"
    )


class Units(Section):
    """The units this engine's people think in."""

    pressure: Annotated[Literal["psi", "bar", "kPa"], Word()] = Field("kPa", title="pressure")
    temperature: Annotated[Literal["°C", "°F"], Word()] = Field("°C", title="temperature")
    distance: Annotated[Literal["km", "mi"], Word()] = Field("km", title="distance")
    mixture: Annotated[Literal["lambda", "AFR"], Word()] = Field("lambda", title="mixture")
    clearance: Annotated[Literal["µm", "mm", "in"], Word()] = Field("µm", title="clearance")
