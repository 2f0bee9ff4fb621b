"""The lists every recipe draws on: inspections, aborts, cautions, judging numbers, schools."""

from pydantic import Field

from witnessmark.model.number import Kinded, Saying, Words
from witnessmark.model.plan import Doing
from witnessmark.model.recipe import AbortFile, Id, InspectionFile, Part, Place, School


class Inspections(Part):
    """The pre-start list."""

    owner: Words
    inspections: tuple[InspectionFile, ...]


class Aborts(Part):
    """First-start abort criteria."""

    owner: Words
    aborts: tuple[AbortFile, ...]


class CautionFile(Saying):
    """A warning and where it is shown: at these places, and only beside these doings if any.

    With neither `places` nor `doing` it stands once, over the whole plan.
    """

    id: Id
    places: tuple[Place, ...] = ()
    doing: tuple[Doing, ...] = ()


class Cautions(Part):
    """Warnings, each shown at its point of use."""

    owner: Words
    cautions: tuple[CautionFile, ...]


class Judging(Part):
    """The numbers a log is judged by, by name. Each says what it measures with `kind`."""

    owner: Words
    judging: dict[str, Kinded]


class SchoolFile(Part):
    """One of the two published ways to run an engine in."""

    id: School
    said: Words
    why: Words


class Schools(Part):
    """The schools, and which is taken where nobody says."""

    owner: Words
    default: School
    default_why: Words
    schools: tuple[SchoolFile, ...] = Field(min_length=2)


class Shared(Part):
    """All shared lists together."""

    inspections: Inspections
    aborts: Aborts
    cautions: Cautions
    judging: Judging
    schools: Schools
