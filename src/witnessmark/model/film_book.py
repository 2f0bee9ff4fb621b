"""What the films of the crank's bearings need beyond the build sheet: book/film.toml, as read."""

from witnessmark.model import number as n
from witnessmark.model.recipe import Part


class Weights(Part):
    """Masses of one cylinder at the bore they are meant for."""

    reciprocating: n.Mass
    rotating: n.Mass


class MovingParts(Part):
    """Weights by the pistons on the sheet, a diesel's its own; how they go with the bore; the
    bare throw of the crank, and what takes off its pull."""

    bore: n.Length
    power: n.Ratio
    throw: n.Mass
    counterweight: n.Share
    forged: Weights
    cast: Weights
    diesel: Weights


class Valves(Part):
    """Crank angles from the dead centre beside which a valve moves."""

    intake_closes: n.Angle
    exhaust_opens: n.Angle
    intake_opens: n.Angle
    exhaust_closes: n.Angle
    blowdown: n.Angle


class Gas(Part):
    """Charge, exhaust, walls, and the heat ratio at three temperatures."""

    compression_petrol: n.Ratio
    compression_boosted: n.Ratio
    compression_diesel: n.Ratio
    filling: n.Share
    intake: n.Temperature
    back_pressure: n.Share
    turbine: n.Share
    wall: n.Temperature
    wall_heat: n.Share
    cool: n.Temperature
    warm: n.Temperature
    hot: n.Temperature
    ratio_cool: n.Ratio
    ratio_warm: n.Ratio
    ratio_hot: n.Ratio


class BurnStage(Part):
    """One stage of the burn by Wiebe's law."""

    start: n.Angle
    duration: n.Angle
    form: n.Ratio
    completeness: n.Ratio
    share: n.Share


class Fuel(Part):
    """A fuel, its lambda at little and at full load, and how it burns."""

    heating_value: n.EnergyPerMass
    air_ratio: n.Ratio
    light: n.Ratio
    full: n.Ratio
    closed_throttle: n.Absolute
    free_running: n.Absolute
    burn: tuple[BurnStage, ...]


class Film(Part):
    """Roughness, heat, and the textbook's words for a film over its roughness."""

    journal: n.Roughness
    shell: n.Roughness
    shell_new: n.Roughness
    rise: n.Share
    clearance_assumed: n.Share
    full_film: n.Ratio
    boundary: n.Ratio


class Map(Part):
    """Speeds, loads and oil temperatures a map is worked out at."""

    step: n.Speed
    loads: n.Ratio
    boosts: n.Ratio
    cold: n.Temperature
    warm: n.Temperature
    hot: n.Temperature
    very_hot: n.Temperature
    fuel: n.Share
    most_fuel: n.Share
    lugging: n.Speed
    boost_from: n.Speed


class FilmBook(Part):
    """The whole file."""

    owner: n.Words
    masses: MovingParts
    valves: Valves
    gas: Gas
    petrol: Fuel
    diesel: Fuel
    film: Film
    map: Map
