"""One reference value: where it comes from, what it is, and what this project makes of it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import tomli

Values = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """A value to compare with; basis says whether it is the published digits or an independent calculation.

    The tolerance is relative to the largest entry of a matrix or list. A status of memory_unverified proves
    that a stated formula is evaluated as stated, and nothing about the document it is remembered from.
    """

    id: str
    title: str
    quantity: str
    source: str
    status: str
    basis: str
    expected: Values
    ours: Callable[[], Values | float]
    tolerance: float
    remark: str = ""
    scale: float | None = None

    @property
    def name(self) -> str:
        return f"{self.id} {self.quantity} ({self.basis})"

    def computed(self) -> Values:
        return np.asarray(self.ours(), dtype=np.float64)

    def difference(self) -> float:
        """Largest difference over the largest expected value."""
        ours = self.computed()
        assert ours.shape == self.expected.shape, (self.name, ours.shape, self.expected.shape)
        scale = self.scale or float(np.abs(self.expected).max())
        return float(np.abs(ours - self.expected).max() / scale)


@cache
def checks(name: str) -> Mapping[str, Mapping[str, Any]]:
    """The checks of one data file by id."""
    text = (Path(__file__).parent / "data" / f"{name}.toml").read_text(encoding="utf-8")
    return {check["id"]: check for check in tomli.loads(text)["check"]}


def compared(
    check: Mapping[str, Any],
    quantity: str,
    ours: Callable[[], Values | float],
    *,
    published: str | None = None,
    own: str | None = None,
    tolerance: float | None = None,
    remark: str = "",
    scale: float | None = None,
) -> list[Case]:
    """Cases for one quantity, against every value of it that a check states, under its own key by default.

    A tolerance other than the check's needs a remark that says why.
    """
    assert tolerance is None or remark, quantity
    cases = []
    for basis, key in (("published", published or quantity), ("own", own or quantity)):
        if key not in check.get(basis, {}):
            continue
        allowed = check[f"tol_{basis}_rel"] if tolerance is None else tolerance
        expected = np.asarray(check[basis][key], dtype=np.float64)
        cases.append(
            Case(
                check["id"],
                check["title"],
                quantity,
                check["source"],
                check["status"],
                basis,
                expected,
                ours,
                allowed,
                remark,
                scale,
            )
        )
    assert cases, (check["id"], quantity)
    return cases
