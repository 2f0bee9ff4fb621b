"""What of the build a tuner asks for, from the sheet, in his units."""

from witnessmark.model.build import BuildSheet
from witnessmark.report.plan.view import Fact
from witnessmark.units import Preferences, Quantity, show

# Label, where it stands on the sheet. ".least" and ".most" of one list make a range.
_LINES = (
    ("Displacement", "layout.displacement"),
    ("Compression ratio", "layout.compression_ratio"),
    ("Redline", "layout.redline"),
    ("Idle", "layout.idle_speed"),
    ("Induction", "induction.kind"),
    ("Least boost it can be held to", "induction.minimum_boost"),
    ("Fuel", "fuel.kind"),
    ("Octane", "fuel.octane"),
    ("Ethanol", "fuel.ethanol"),
    ("Oil", "oil.name"),
    ("Oil grade", "oil.grade"),
    ("Main bearing clearance", "main_bearings.clearances"),
    ("Rod bearing clearance", "rod_bearings.clearances"),
    ("Crank end float", "crank.end_float"),
    ("Piston to wall", "bores.piston_to_wall"),
    ("Top ring gap", "rings.top_gaps"),
    ("Second ring gap", "rings.second_gaps"),
    ("Pistons", "bores.pistons"),
    ("Intake lash", "cams.lash_intake"),
    ("Exhaust lash", "cams.lash_exhaust"),
    ("Oil pump, each turn", "oil_pump.displacement"),
    ("Oil relief valve", "oil_pump.relief_pressure"),
)
_LISTS = ("clearances", "piston_to_wall", "top_gaps", "second_gaps")
# Asked for by every tuner, and nothing a build sheet has a place for.
_NOWHERE = ("Injectors", "Fuel pump and fuel pressure", "Spark plugs", "Turbo or blower")


def build_lines(sheet: BuildSheet, prefer: Preferences) -> tuple[Fact, ...]:
    """The build in lines; what the sheet does not say is said to be not shown."""
    lines = [Fact(label, _said(sheet, path, prefer)) for label, path in _LINES]
    lines += [Fact(label, "not shown: a build sheet has no place for it") for label in _NOWHERE]
    return tuple(lines)


def _said(sheet: BuildSheet, path: str, prefer: Preferences) -> str:
    if path.rpartition(".")[2] in _LISTS:
        low, high = (_one(sheet, f"{path}.{end}", prefer) for end in ("least", "most"))
        text = low if low == high else f"{low} to {high}"
    else:
        text = _one(sheet, path, prefer)
    if text in ("not said", "not measured"):
        return f"not shown: {text} on the build sheet"
    assumed = path != "layout.displacement" and sheet.assumed(path)
    return f"{text} (assumed, not on the build sheet)" if assumed else text


def _one(sheet: BuildSheet, path: str, prefer: Preferences) -> str:
    value = sheet.slot(path)
    return show(value, prefer) if isinstance(value, Quantity) else value
