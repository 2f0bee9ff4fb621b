"""The build sheet: what was built, and what had to be assumed."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from pydantic import BaseModel, PrivateAttr

from witnessmark.model.build_sheet import sections as part
from witnessmark.model.build_sheet.fields import Measure, Section
from witnessmark.model.build_sheet.paths import field_at, measure_of
from witnessmark.model.plan import Assumption
from witnessmark.physics.engine import displacement
from witnessmark.units import Kind, Preferences, Quantity, show, shown_value

_RING_FACE = {"moly": "moly", "chrome": "hard", "plated": "hard"}  # else what it is made of
_AUTOMATIC = ("twin clutch", "torque converter")  # no pedal on the release bearing


@dataclass(frozen=True)
class Origin:
    """What the sheet was read from."""

    sha256: str = ""  # of the text as received, UTF-8
    assumptions: tuple[Assumption, ...] = ()


class BuildSheet(Section):
    """One engine as it was built. All values SI; read one with `parse_build`."""

    identity: part.Identity
    layout: part.Layout
    main_bearings: part.Bearings
    rod_bearings: part.Bearings
    cam_bearings: part.Bearings
    crank: part.Crank
    rings: part.Rings
    bores: part.Bores
    cams: part.Cams
    induction: part.Induction
    fuel: part.Fuel
    oil: part.Oil
    oil_pump: part.OilPump
    feeds: part.Feeds
    clutch: part.Clutch
    gearing: part.Gearing | None = None
    use: part.Use
    units: part.Units

    _origin: Origin = PrivateAttr(default_factory=Origin)

    def from_text(self, origin: Origin) -> "BuildSheet":
        """The same sheet, knowing where it came from and what was assumed."""
        known = self.model_copy()
        known._origin = origin
        return known

    @property
    def sha256(self) -> str:
        """Hash of the text as received, in hexadecimal."""
        return self._origin.sha256

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What the sheet does not say, in its own order, and what stands in its place."""
        return self._origin.assumptions

    def assumed(self, path: str) -> bool:
        """Whether the sheet leaves this out: a value was put in, or none is known.

        Raises KeyError if a sheet has no such key.
        """
        key = path.rpartition(".")[0] if path.rpartition(".")[2] in _LIST_SLOTS else path
        return self.value(key) is None or any(key == a.path for a in self.assumptions)

    @property
    def displacement(self) -> float:
        """Swept volume of all cylinders. [m³]"""
        return displacement(self.layout.bore, self.layout.stroke, self.layout.cylinders)

    @property
    def boosted(self) -> bool:
        """Whether a turbo or a blower feeds the engine."""
        return self.induction.kind != "natural"

    @property
    def prefer(self) -> Preferences:
        """The units this engine's people think in."""
        return Preferences(**self.units.model_dump())

    @property
    def traits(self) -> Mapping[str, str]:
        """What a recipe is chosen by."""
        ethanol = self.fuel.kind == "ethanol blend" or self.fuel.ethanol > 0
        filled = {None: "not said", "hangs down": "can be filled first"}
        return {
            "use": self.use.kind,
            "induction": self.induction.kind,
            "boosted": _yes(self.boosted),
            "cam_contact": self.cams.follower,
            "fuel": self.fuel.kind,
            "ethanol": _yes(ethanol),
            "rings": _ring_face(self.rings.top_material),
            "gapless": _yes(self.rings.gapless != "none"),
            "pistons": self.bores.pistons,
            "bore_finish": "measured" if self.bores.finish else "not measured",
            "transmission": "automatic" if self.clutch.kind in _AUTOMATIC else "manual",
            "filter": filled.get(self.oil.filter, "cannot be filled first"),
            "sump": self.oil.sump,
        }

    def describe(self) -> str:
        """The engine in one line: "inline 5, 2,438 cm³, turbocharged, bucket cams"."""
        layout, (size, unit) = (
            self.layout,
            shown_value(Quantity(self.displacement, Kind.DISPLACEMENT), self.prefer),
        )
        shape = f"{layout.arrangement}{'' if layout.arrangement == 'V' else ' '}{layout.cylinders}"
        induction = {"natural": "naturally aspirated"}.get(self.induction.kind, self.induction.kind)
        diesel = ["diesel"] if self.fuel.kind == "diesel" else []
        return ", ".join(
            [shape, f"{size:,.0f} {unit}", *diesel, induction, f"{self.cams.follower} cams"]
        )

    def slot(self, path: str) -> Quantity | str:
        """What a text's {slot} is filled with: a quantity, or words.

        A list is asked for by its number from 1 ("rod_bearings.clearances.3"), or by
        ".least" and ".most". A key the sheet may leave unsaid and does gives "not said" or
        "not measured". Raises KeyError if a sheet has no such key.
        """
        if path in _SPOKEN:
            return _SPOKEN[path](self)
        key, _, last = path.rpartition(".")
        if last in _LIST_SLOTS or last.isdecimal():
            return self._one_of(key, last)
        value = self.value(path)
        if value is None:
            return self._unsaid(path)
        shown = _shown(value, measure_of(field_at(BuildSheet, path)))
        if shown is None:
            raise KeyError(f"'{path}' is more than one value")
        return shown

    def _one_of(self, path: str, which: str) -> Quantity | str:
        values, measure = self.value(path), measure_of(field_at(BuildSheet, path))
        if values is None:
            return self._unsaid(path)
        if measure is None or not isinstance(values, tuple):
            raise KeyError(f"'{path}' is no list of measurements")
        if which in _LIST_SLOTS:
            return Quantity(_LIST_SLOTS[which](values), measure.kind)
        if not 1 <= int(which) <= len(values):
            raise KeyError(f"'{path}' has no number {which}")
        return Quantity(values[int(which) - 1], measure.kind)

    def _unsaid(self, path: str) -> str:
        if path == "clutch.free_play" and self.clutch.release_bearing == "always in contact":
            return "none, the bearing is always in contact"
        if path.startswith("cams.lash") and self.cams.adjustment == "hydraulic":
            return "none, hydraulic"
        note = next((a for a in self.assumptions if a.path == path), None)
        return "not measured" if note and "not measured" in note.said.text else "not said"

    def value(self, path: str) -> object:
        """What stands at a dotted path, in SI; None if unsaid. KeyError for an unknown path."""
        field_at(BuildSheet, path)
        here: object = self
        for key in path.split("."):
            here = getattr(here, key) if isinstance(here, BaseModel) else None
        return here


def _finish(sheet: BuildSheet) -> str:
    found = sheet.bores.finish
    if found is None:
        return "not measured"
    parts = (("Rpk", found.rpk), ("Rk", found.rk), ("Rvk", found.rvk))
    rough = ((name, Quantity(value, Kind.ROUGHNESS)) for name, value in parts)
    return ", ".join(f"{name} {show(value, sheet.prefer)}" for name, value in rough)


def _oil(sheet: BuildSheet) -> str:
    if sheet.oil.grade is not None or sheet.oil.kv100 is None:
        return sheet.oil.grade or "not said"
    thin = show(Quantity(sheet.oil.kv100, Kind.KINEMATIC_VISCOSITY), sheet.prefer)
    return f"of {thin} at 100 °C"


# Slots that are no single value of the sheet.
_SPOKEN: Mapping[str, Callable[[BuildSheet], Quantity | str]] = {
    "layout.displacement": lambda sheet: Quantity(sheet.displacement, Kind.DISPLACEMENT),
    "bores.finish": _finish,
    "oil.grade": _oil,
}
_LIST_SLOTS = {"least": min, "most": max}


def _shown(value: object, measure: Measure | None) -> Quantity | str | None:
    if measure is not None and isinstance(value, float):
        return Quantity(value, measure.kind)
    if isinstance(value, int):
        return Quantity(float(value), Kind.COUNT)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple) and value and isinstance(value[0], int):
        return "-".join(map(str, value))  # the firing order
    return value if isinstance(value, str) else None


def _yes(true: bool) -> str:
    return "yes" if true else "no"


def _ring_face(material: str) -> str:
    face = next((known for word, known in _RING_FACE.items() if word in material), None)
    return face or ("steel" if material.startswith("steel") else "iron")
