"""Weights, centres and their sums, through whole recipes (checks A3.02, A3.08, A6)."""

from functools import cache, partial

import numpy as np

from recipe_track.figures.craft import centre_of, figures_of
from recipe_track.figures.results import CraftFigures
from recipe_track.recipe.craft import Model, Settings
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from tests.recipes import figures, material, materials, part, zone
from tests.reference.case import Case, Values, checks, compared

CHECKS = checks("weights")


def cases() -> list[Case]:
    return laminate_weights() + gelcoat() + loading() + vertical_moments() + open_boat()


@cache
def ply_weights() -> Values:
    """Whole and resin areal mass [kg/m²] of the common plies of check A3.02, each as a recipe."""
    glass = {"density_kg_m3": 2560, "e_axial_gpa": 73.0, "g_gpa": 30.0, "nu": 0.18, "source": "illustrative"}
    rows = []
    for ply in checks("plies")["A3.02"]["input"]["plies"]:
        using = materials(
            glass={"kind": "fibre", **glass},
            fabric={
                "kind": "reinforcement",
                "fibre": "glass",
                "areal_mass_g_m2": ply["w"] * 1000,
                "directions": [{"angle_deg": 0, "share": 1.0}],
                "fibre_mass_fraction": {"hand-layup": ply["psi"]},
            },
        )
        made = part(process="hand-layup", resin="polyester")
        computed = figures([{"material": "fabric"}], using=using, of=made)
        rows.append((computed.areal_mass_kg_m2, computed.mass_by_kind_kg["resin"]))
    return np.array(rows, dtype=float)


def laminate_weights() -> list[Case]:
    check = checks("plies")["A3.02"]
    found = compared(check, "laminate_weight_kg_m2", lambda: ply_weights()[:, 0])
    return found + compared(check, "resin_weight_kg_m2", lambda: ply_weights()[:, 1])


def gelcoat() -> list[Case]:
    check = CHECKS["A3.08"]
    given = check["input"]
    using = materials(gel={"kind": "coating", "density_kg_m3": given["rho_kg_m3"]})
    layer = {"material": "gel", "thickness_mm": given["wet_mm"]}
    return compared(check, "weight_kg_m2", lambda: figures([layer], using=using).areal_mass_kg_m2 or 0.0)


def rolled_up(items: list[dict[str, float]]) -> tuple[float, Values]:
    """Total and centre [m] of weights with `kg_m` above the keel and `y_m` off the centreline."""
    total, centre = centre_of((i["w_t"], (0.0, i["y_m"], i["kg_m"])) for i in items)
    assert centre is not None
    return total, np.array(centre)


def loading() -> list[Case]:
    check = CHECKS["A6.01"]
    total, (_, y, z) = rolled_up(check["input"]["items"])
    metacentric = check["input"]["KM_m"] - z
    values = {
        "total_t": total,
        "moment_keel_tm": total * z,
        "KG_m": z,
        "GM_m": metacentric,
        "moment_centreline_tm": total * y,
        "GG1_m": y,
        "list_deg": np.degrees(np.arctan(y / metacentric)),
    }
    return [case for key, value in values.items() for case in compared(check, key, partial(float, value))]


def vertical_moments() -> list[Case]:
    check = CHECKS["A6.02"]

    def heights() -> Values:
        sums = [
            centre_of((w, (0.0, 0.0, z)) for w, z in zip(one["w"], one["z"], strict=True))
            for one in check["input"]["cases"]
        ]
        return np.array([centre[2] for _, centre in sums if centre])

    return compared(check, "KG", heights)


@cache
def boat() -> CraftFigures:
    """The open boat as a recipe: each panel a coating of 1 mm whose density gives the stated kg/m²."""
    *panels, battery = CHECKS["A6.03"]["input"]["items"]
    using = dict(materials())
    zones = {}
    for n, item in enumerate(panels):
        using[f"skin-{n}"] = material(kind="coating", density_kg_m3=item["kg_per_m2"] * 1000)
        at = (item["x"], item["y"], item["z"])
        layer = {"material": f"skin-{n}", "thickness_mm": 1.0}
        zones[f"panel-{n}"] = zone([layer], area_m2=item["area_m2"], centroid_m=at)
    aboard = {
        "item": battery["name"],
        "mass_kg": battery["area_m2"] * battery["kg_per_m2"],
        "at_m": [battery["x"], battery["y"], battery["z"]],
    }
    model = Model.model_validate({"origin": "transom, top of keel", "mass": [aboard]})
    tree = ModelTree("m", model, {"hull": PartTree("hull", part(), zones)})
    return figures_of(Snapshot(Settings(format=1), using, None, {"m": tree}), "m").craft


def open_boat() -> list[Case]:
    check = CHECKS["A6.03"]
    found = compared(check, "total_kg", lambda: boat().mass_kg)
    for axis, key in enumerate(("LCG_m", "TCG_m", "VCG_m")):
        found += compared(check, key, partial(_centre, axis))
    return found


def _centre(axis: int) -> float:
    centre = boat().centroid_m
    assert centre is not None
    return centre[axis]
