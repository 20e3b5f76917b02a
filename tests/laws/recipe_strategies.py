"""Random layups out of the test materials."""

from typing import Any

from hypothesis import strategies as st

Line = dict[str, Any]

FABRICS = ("uni-600", "biax-800", "quad-1200", "biax-090", "skew-700", "hybrid-500", "wr-600", "csm-300")
angles = st.sampled_from([0.0, 15.0, 30.0, 45.0, -45.0, 60.0, 90.0])

fabrics = st.fixed_dictionaries(
    {"material": st.sampled_from(FABRICS), "angle_deg": angles, "plies": st.integers(1, 3)},
    optional={
        "flipped": st.booleans(),
        "fibre_mass_fraction": st.floats(0.3, 0.7),
        "coverage_fraction": st.sampled_from([1.0, 0.5]),
    },
)
cores = st.fixed_dictionaries(
    {
        "material": st.sampled_from(["pvc-80", "honeycomb"]),
        "thickness_mm": st.floats(3.0, 40.0),
        "angle_deg": angles,
    }
)
coatings = st.fixed_dictionaries({"material": st.just("gelcoat"), "thickness_mm": st.floats(0.3, 1.0)})
carrying = st.fixed_dictionaries({"material": st.sampled_from(FABRICS), "angle_deg": angles})


def layups(most: int = 7) -> st.SearchStrategy[list[Line]]:
    """Layups of up to `most` lines that hold at least one full ply of fabric."""
    others = st.lists(st.one_of(fabrics, fabrics, cores, coatings), max_size=most - 1)
    return st.tuples(others, carrying, st.integers(0, most)).map(
        lambda drawn: [*drawn[0][: drawn[2]], drawn[1], *drawn[0][drawn[2] :]]
    )
