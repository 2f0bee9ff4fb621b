"""CoolProp's incompressible liquids, asked one number at a time."""


def coolprop(liquid: str, what: str, temperature: float, pressure: float = 5e6) -> float:
    """PropsSI of a liquid by its CoolProp name; the library takes seconds to load its tables."""
    from CoolProp import CoolProp  # noqa: PLC0415 - else every run loads it, for these tests alone

    return CoolProp.PropsSI(what, "T", temperature, "P", pressure, f"INCOMP::{liquid}")
