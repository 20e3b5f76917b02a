"""Every reference case, for the tests and for the table in the developers' notes."""

from tests.reference import (
    lamination,
    micromechanics,
    panels,
    plates,
    plies,
    sandwiches,
    stiffeners,
    transformations,
    weights,
    worked,
)
from tests.reference.case import Case

GROUPS = (
    lamination,
    micromechanics,
    plies,
    plates,
    panels,
    sandwiches,
    stiffeners,
    transformations,
    weights,
    worked,
)
CASES: list[Case] = [case for group in GROUPS for case in group.cases()]
