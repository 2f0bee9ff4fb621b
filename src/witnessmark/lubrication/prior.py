"""What a build sheet says of its oil system, and how sure it is of each number."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from witnessmark.lubrication.system import PARAMETERS, OilSystem
from witnessmark.model.authority import Authority
from witnessmark.model.log import Floats


@dataclass(frozen=True)
class Spread:
    """How far one parameter may lie from what the build gives.

    `sd` is of the logarithm of the factor; of sender_offset it is in Pa. `made_of` names what
    the spread comes from ("clearances as measured, ±3 µm"), `authority` who says so.
    """

    sd: float
    made_of: str
    authority: Authority


@dataclass(frozen=True)
class Prior:
    """The nominal system and a spread for each of PARAMETERS."""

    system: OilSystem
    spreads: Mapping[str, Spread]

    def by(self, standard: Floats) -> dict[str, Floats]:
        """Factors from standard normal numbers.

        Parameters
        ----------
        standard : Last axis runs over PARAMETERS. [-]

        Returns
        -------
        Parameter -> factor (Pa for sender_offset), for OilSystem.vary.
        """
        steps = {n: standard[..., i] * self.spreads[n].sd for i, n in enumerate(PARAMETERS)}
        return {n: s if n == "sender_offset" else np.exp(s) for n, s in steps.items()}
