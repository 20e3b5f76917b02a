"""Every reference case, for the tests and for the table in the developers' notes."""

from tests.reference import (
    lamination,
    micromechanics,
    plates,
    plies,
    sandwiches,
    transformations,
    weights,
    worked,
)
from tests.reference.case import Case

GROUPS = (lamination, micromechanics, plies, plates, sandwiches, transformations, weights, worked)
CASES: list[Case] = [case for group in GROUPS for case in group.cases()]
