"""One oil, or a thousand sampled ones: viscosity and density at any temperature and shear rate."""

from dataclasses import dataclass

import numpy as np

from witnessmark.physics.numbers import Floats
from witnessmark.physics.oil.density import density
from witnessmark.physics.oil.shear import HTHS_TEMPERATURE, cross_time
from witnessmark.physics.oil.viscosity import COLDEST, ZERO_CELSIUS, kinematic_on_line, walther_line

AT_40 = ZERO_CELSIUS + 40.0  # K; data sheets give viscosity here (ASTM D445)
AT_100 = ZERO_CELSIUS + 100.0  # K; and here
SHEAR_FLOOR = 0.5  # where nothing is measured; common practice, no source: 0.3 to 0.7 is seen


@dataclass(frozen=True)
class Oil:
    """What the formulas need of an oil; each field a number, or an array of samples.

    Attributes
    ----------
    walther_a, walther_b : The oil's line after ASTM D341. [-]
    density_15 : Density at 15 °C. [kg/m³]
    shear_stress : Stress at which half of what shear can take is gone, at 150 °C; endless for
        an oil that does not thin. [Pa]
    shear_floor : Viscosity at endless shear over viscosity at rest. [-]

    Limits: 0 to 200 °C (`viscosity.within` says where). Hotter, the line is followed on.
    Colder, every viscosity is NaN, never a guess: ask `cold` for a bound.
    """

    walther_a: Floats
    walther_b: Floats
    density_15: Floats
    shear_stress: Floats = np.inf
    shear_floor: Floats = 1.0

    def kinematic(self, temperature: Floats) -> Floats:
        """Kinematic viscosity at rest. [m²/s]; temperature [K]; NaN below 0 °C. Broadcasts."""
        warm = np.where(np.asarray(temperature) >= COLDEST, temperature, np.nan)
        return kinematic_on_line(self.walther_a, self.walther_b, warm)

    def density(self, temperature: Floats) -> Floats:
        """Density. [kg/m³]; temperature [K], any. Broadcasts."""
        return density(self.density_15, temperature)

    def dynamic(self, temperature: Floats, shear_rate: Floats = 0.0) -> Floats:
        """Dynamic viscosity at a shear rate.

        Parameters
        ----------
        temperature : Oil temperature. [K]
        shear_rate : Sliding speed over film thickness; 0 is the oil at rest. [1/s]

        Returns
        -------
        Viscosity. [Pa s] Everything broadcasts, the oil's own samples too. NaN below 0 °C.

        Limits: thinning in proportion to stress over absolute temperature; at the pressure
        of the air. Permanent shear loss is not in it: give a used oil's own viscosities.

        Source: Cross (1965), exponent 1, with reduced variables of Ferry, Viscoelastic
        Properties of Polymers (1980), ch. 11: critical stress goes as absolute temperature.
        """
        rest = self.kinematic(temperature) * self.density(temperature)
        if not np.any(shear_rate) or np.all(np.isinf(self.shear_stress)):
            return rest * np.ones_like(shear_rate)
        critical = self.shear_stress * (np.asarray(temperature) / HTHS_TEMPERATURE)
        left = 1 / (1 + rest * shear_rate / critical)
        return rest * (self.shear_floor + (1 - self.shear_floor) * left)


def oil_from_data(
    kv40: Floats,
    kv100: Floats,
    density_15: Floats,
    hths: Floats | None = None,
    shear_floor: Floats = SHEAR_FLOOR,
) -> Oil:
    """Oil of a data sheet.

    Parameters
    ----------
    kv40, kv100 : Kinematic viscosity at 40 and at 100 °C. [m²/s]
    density_15 : Density at 15 °C. [kg/m³]
    hths : Viscosity at 150 °C and 1e6 1/s. [Pa s] Without it the oil is taken not to thin.
    shear_floor : Viscosity at endless shear over viscosity at rest; used with hths. [-] It moves
        the viscosity at 100 °C and 1e6 1/s by about 8 % from 0.3 to 0.7.

    Returns
    -------
    Oil whose `dynamic(423.15, 1e6)` is hths. All inputs broadcast.

    Raises
    ------
    ValueError : a viscosity not positive, the oil at 100 °C not thinner than at 40 °C, a density
    not positive, an HTHS that this oil cannot have.

    Source: ASTM D341, D4683; see `Oil.dynamic`.
    """
    if not np.all(np.asarray(density_15) > 0):
        raise ValueError(
            f"density at 15 °C: found {np.min(density_15):g} kg/m³; wanted more than 0; give the "
            "density off the data sheet, in kg/m³"
        )
    a, b = walther_line(AT_40, kv40, AT_100, kv100)
    if hths is None:
        return Oil(a, b, density_15)
    rest = kinematic_on_line(a, b, HTHS_TEMPERATURE) * density(density_15, HTHS_TEMPERATURE)
    time = np.asarray(cross_time(rest, rest * shear_floor, hths))
    with np.errstate(divide="ignore"):  # no thinning: the critical stress is endless
        stress = rest / time
    return Oil(a, b, density_15, stress, shear_floor)
