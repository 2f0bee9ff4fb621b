"""The table of units against a library of units made by others."""

import pint
import pytest

from witnessmark.units import SI, Kind, Quantity, known_unit, parse, scale, units_of

DIFFERENCES = {"degC": "delta_degC", "degF": "delta_degF", "kelvin": "delta_degC"}
# What our table calls by a name that the library does not know.
OURS = ("krpm = 1000 * rpm", "hrpm = 100 * rpm", "uin = 1e-6 * inch")
ROUNDING = 1e-12  # of a factor; 0 °F is 255.372222... K, cut off at the last digit


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    """The library's units (pint's definitions, after NIST SP 811 and CODATA)."""
    found: pint.UnitRegistry[float] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    for line in OURS:
        found.define(line)
    return found


@pytest.mark.parametrize("kind", Kind)
def test_every_unit_has_the_size_the_library_gives(
    kind: Kind, registry: pint.UnitRegistry[float]
) -> None:
    spellings = units_of(kind)
    assert spellings or kind in (Kind.RATIO, Kind.COUNT)
    for text in spellings:
        name = known_unit(text)
        assert name is not None
        if kind is Kind.TEMPERATURE_DIFFERENCE:
            name = DIFFERENCES.get(name, name)
        zero, one = (registry.Quantity(x, name).to(SI[kind]).magnitude for x in (0.0, 1.0))
        found = scale(text, kind)
        assert found is not None
        assert found.factor == pytest.approx(one - zero, rel=ROUNDING), text
        assert found.offset == pytest.approx(zero, rel=ROUNDING, abs=0.0), text


def test_a_unit_is_known_wherever_the_library_can_turn_it_into_the_kind(
    registry: pint.UnitRegistry[float],
) -> None:
    spellings = {text for kind in Kind for text in units_of(kind)}
    for text in spellings:
        name = known_unit(text)
        assert name is not None
        for kind in Kind:
            if kind is Kind.TEMPERATURE_DIFFERENCE:
                continue
            fits = registry.Quantity(1.0, name).is_compatible_with(SI[kind])
            assert (scale(text, kind) is not None) == fits, (text, kind)


@pytest.mark.parametrize(
    ("text", "kind", "si", "tolerance"),
    [
        # NIST SP 811 (2008), appendix B.8: exact where printed bold, else to the digits printed.
        ("1 psi", Kind.PRESSURE, 6894.757, 5e-4),
        ("1 inHg", Kind.PRESSURE, 3386.389, 5e-4),
        ("1 in", Kind.LENGTH, 0.0254, 1e-15),
        ("1 mph", Kind.ROAD_SPEED, 0.44704, 1e-15),
        ("1 lbf", Kind.FORCE, 4.448222, 5e-7),
        ("1 lb", Kind.MASS, 0.45359237, 1e-15),
        ("1 kgf/cm2", Kind.PRESSURE, 98066.5, 1e-9),
        ("32 °F", Kind.TEMPERATURE, 273.15, 1e-9),
        ("1 rpm", Kind.ROTATIONAL_SPEED, 1 / 60, 1e-15),
    ],
)
def test_published_factors(text: str, kind: Kind, si: float, tolerance: float) -> None:
    found = parse(text, kind, "test")
    assert found == Quantity(pytest.approx(si, abs=tolerance), kind)
