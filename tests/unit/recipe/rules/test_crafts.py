"""Each rule of parts, craft and price list, provoked once: the fault, its file and its key."""

from dataclasses import replace
from typing import Any

import pytest

from recipe_track.recipe.craft import Model, Prices
from recipe_track.recipe.snapshot import Snapshot
from tests.unit.recipe.rules.provoking import only


def prices(snapshot: Snapshot, **changed: Any) -> Snapshot:
    assert snapshot.prices is not None
    data = snapshot.prices.model_dump(exclude_none=True)
    materials = {k: v for k, v in {**data["materials"], **changed}.items() if v is not None}
    return replace(snapshot, prices=Prices.model_validate({**data, "materials": materials}))


def test_there_is_a_price_list(snapshot: Snapshot) -> None:
    only(replace(snapshot, prices=None), "prices.toml", (), "no price list")


def test_a_used_material_without_a_price_is_named(snapshot: Snapshot) -> None:
    fault = only(prices(snapshot, **{"biax-800": None}), "prices.toml", ("materials",), "`biax-800`")
    assert "deck/side" in fault.message


@pytest.mark.parametrize("price", [{}, {"per_kg": 1.0, "per_m2": 1.0}])
def test_a_price_has_one_measure(snapshot: Snapshot, price: dict[str, float]) -> None:
    only(prices(snapshot, gelcoat=price), "prices.toml", ("materials", "gelcoat"), "exactly one")


def test_a_resin_is_priced_by_weight(snapshot: Snapshot) -> None:
    bad = prices(snapshot, vinylester={"per_m2": 3.0})
    only(bad, "prices.toml", ("materials", "vinylester", "per_m2"), "not per_m2")


def test_a_price_of_nothing(snapshot: Snapshot) -> None:
    bad = prices(snapshot, gelcot={"per_kg": 1.0})
    assert "gelcoat" in only(bad, "prices.toml", ("materials", "gelcot"), "unknown material").hint


def with_model(snapshot: Snapshot, **keys: Any) -> Snapshot:
    tree = snapshot.models["demo"]
    data = {**tree.model.model_dump(exclude_none=True, exclude_defaults=True), **keys}
    return replace(snapshot, models={"demo": replace(tree, model=Model.model_validate(data))})


def test_conditions_have_names_of_their_own(snapshot: Snapshot) -> None:
    bad = with_model(snapshot, condition=[{"name": "light", "fill": 0.1}])
    only(bad, "models/demo/model.toml", ("condition", 0, "name"), "already")


def test_targets_hold_in_a_known_condition(snapshot: Snapshot) -> None:
    bad = with_model(snapshot, targets={"condition": "arival"})
    only(bad, "models/demo/model.toml", ("targets", "condition"), "unknown condition")


def test_a_range_runs_upwards(snapshot: Snapshot) -> None:
    bad = with_model(snapshot, targets={"lcg_m": [2.0, 1.0]})
    only(bad, "models/demo/model.toml", ("targets", "lcg_m"), "lower to the upper")


def test_a_part_has_a_resin(snapshot: Snapshot) -> None:
    tree = snapshot.models["demo"]
    part = tree.parts["deck"]
    wrong = replace(part, part=part.part.model_copy(update={"resin": "gelcoat"}))
    bad = replace(snapshot, models={"demo": replace(tree, parts={"deck": wrong})})
    only(bad, "models/demo/deck/part.toml", ("resin",), "unknown resin")
