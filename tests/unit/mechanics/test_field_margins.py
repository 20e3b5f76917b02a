"""Margins over fields: the same as place by place and ply by ply, what is grouped, sides, ties."""

import numpy as np
import pytest

from recipe_track.mechanics.field_margins import (
    BAG,
    BOTH,
    MOULD,
    core_crush_use,
    greatest_core_shear_use,
    greatest_strain_use,
    greatest_wrinkling_use,
)
from recipe_track.mechanics.laminate import Stiffness, ply_bounds, stiffness
from recipe_track.mechanics.margins import MODES, strain_use, wrinkling_use
from recipe_track.mechanics.ply import reduced_stiffness, rotated_stiffness

NAN = np.nan
ZONES, PLIES, PLACES = 40, 9, 50
ANGLES = np.radians([0.0, 45.0, -45.0, 90.0])
SETS = np.array([[0.012, 0.009, 0.004, 0.014], [0.01, NAN, 0.005, NAN], [NAN] * 4])


def zones():  # type: ignore[no-untyped-def]
    """Random zones: laminate, curvatures (n, 3, place), faces, angles, random plies, limits."""
    rng = np.random.default_rng(11)
    thickness, angle = rng.uniform(2e-4, 2e-3, (ZONES, PLIES)), rng.choice(ANGLES, (ZONES, PLIES))
    mat = rng.random((ZONES, PLIES)) < 0.3
    q = reduced_stiffness(
        np.full(mat.shape, 38e9), np.full(mat.shape, 9e9), np.full(mat.shape, 3.5e9), np.full(mat.shape, 0.28)
    )
    laminate, z = stiffness(rotated_stiffness(q, angle), thickness), ply_bounds(thickness)
    faces, limits = np.stack([z[:, :-1], z[:, 1:]], axis=-1), SETS[rng.integers(0, 3, (ZONES, PLIES))]
    return laminate, rng.normal(size=(ZONES, 3, PLACES)), faces, angle, mat, limits


@pytest.mark.parametrize(("side", "signs"), [(MOULD, (1,)), (BAG, (-1,)), (BOTH, (1, -1))])
def test_strain_over_a_field_is_that_of_place_by_place(side: int, signs: tuple[int, ...]) -> None:
    laminate, curvature, *plies = zones()
    found = greatest_strain_use(laminate, curvature, np.full(ZONES, side), *plies)
    each = [strain_use(laminate, sign * np.swapaxes(curvature, 1, 2), *plies) for sign in signs]
    expected = np.max([one.use for one in each], axis=0)
    assert found.use == pytest.approx(expected, rel=2e-5)
    for n in range(ZONES):
        one = each[signs.index(int(found.side[n]))]
        if one.use[n] == pytest.approx(expected[n], rel=1e-9):
            assert (found.ply[n], found.place[n], found.face[n], found.mode[n]) == (
                one.ply[n], one.place[n], one.face[n], one.mode[n],
            )  # fmt: skip


def test_the_use_has_all_digits_at_the_place_it_names() -> None:
    laminate, curvature, *plies = zones()
    found = greatest_strain_use(laminate, curvature, np.full(ZONES, MOULD), *plies)
    at = np.take_along_axis(np.swapaxes(curvature, 1, 2), found.place[:, None, None], axis=1)
    assert found.use == pytest.approx(strain_use(laminate, at, *plies).use, rel=1e-12)


def test_a_load_on_the_bag_side_turns_pull_and_pressure_round() -> None:
    plate = Stiffness(np.eye(3)[None] * 1e7, np.zeros((1, 3, 3)), np.eye(3)[None] * 10)
    curvature, faces = np.array([[[1.0], [0.0], [0.0]]]), np.array([[[0.001, 0.002]]])
    given = faces, np.zeros((1, 1)), np.zeros((1, 1), dtype=bool), np.array([[[0.004, 0.002, NAN, NAN]]])
    sides = [greatest_strain_use(plate, curvature, np.array([side]), *given) for side in (MOULD, BAG, BOTH)]
    assert [float(s.use[0]) for s in sides] == pytest.approx([0.5, 1.0, 1.0])
    assert [MODES[s.mode[0]] for s in sides] == ["tension", "compression", "compression"]
    assert [int(s.side[0]) for s in sides] == [MOULD, BAG, BAG]


def test_what_has_no_limit_or_no_load_is_not_checked() -> None:
    laminate, curvature, faces, angle, mat, limits = zones()
    one = np.full(ZONES, BOTH)
    for bent, allowed in ((curvature, np.full_like(limits, NAN)), (np.full_like(curvature, NAN), limits)):
        found = greatest_strain_use(laminate, bent, one, faces, angle, mat, allowed)
        assert np.isnan(found.use).all()
        assert {*found.ply, *found.place, *found.face, *found.mode} == {-1}
        assert not found.side.any()


def test_pieces_that_fit_in_memory_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    laminate, curvature, *plies = zones()
    whole = greatest_strain_use(laminate, curvature, np.full(ZONES, BOTH), *plies)
    monkeypatch.setattr("recipe_track.mechanics.field_margins.AT_ONCE", 5_000)
    pieces = greatest_strain_use(laminate, curvature, np.full(ZONES, BOTH), *plies)
    assert pieces.use == pytest.approx(whole.use, rel=1e-12, nan_ok=True)
    assert pieces.ply.tolist() == whole.ply.tolist()


def core_use(q, flow=(50.0, 40.0), angle_deg=0.0, strength=(1e6, 1e6)):  # type: ignore[no-untyped-def]
    """Use of a core between two faces under (Qx, Qy) at places."""
    flows = np.array([[[60.0, 60.0], flow, [60.0, 60.0]]])
    strengths = np.array([[[NAN, NAN], strength, [NAN, NAN]]])
    angles = np.radians([[0.0, angle_deg, 0.0]])
    return greatest_core_shear_use(np.array([q], dtype=float), flows, angles, strengths)


def test_both_stresses_in_a_core_count_together_where_they_meet() -> None:
    found = core_use([[3e3, 9e3, 8e3], [0.0, 1e3, 8e3]])
    assert found.use == pytest.approx([np.hypot(8e3 * 50, 8e3 * 40) / 1e6])
    assert (found.ply[0], found.place[0], found.direction[0]) == (1, 2, 0)


def test_a_core_is_as_strong_as_its_directions() -> None:
    assert core_use([[1e4], [0.0]], strength=(2e6, 1e6)).use == pytest.approx([0.25])
    assert core_use([[1e4], [0.0]], angle_deg=90.0, strength=(2e6, 1e6)).use == pytest.approx([0.5])
    turned = core_use([[1e4], [1e4]], flow=(50.0, 50.0), angle_deg=45.0, strength=(2e6, 1e6))
    assert turned.use == pytest.approx([np.sqrt(2) * 5e5 / 2e6])
    assert core_use(
        [[1e4], [-1e4]], flow=(50.0, 50.0), angle_deg=45.0, strength=(2e6, 1e6)
    ).use == pytest.approx([np.sqrt(2) * 5e5 / 1e6])


def test_the_greater_stress_gives_the_direction_and_no_sign_matters() -> None:
    assert core_use([[1e3], [-9e3]]).direction.tolist() == [1]
    assert core_use([[-9e3], [1e3]]).use == core_use([[9e3], [1e3]]).use


@pytest.mark.parametrize("strength", [(NAN, NAN), (1e6, NAN)])
def test_a_core_of_unknown_strength_is_not_checked(strength: tuple[float, float]) -> None:
    found = core_use([[1e4], [0.0]], strength=strength)
    assert np.isnan(found.use[0])
    assert (found.ply[0], found.place[0], found.direction[0]) == (-1, -1, -1)


def wrinkling_given():  # type: ignore[no-untyped-def]
    face = reduced_stiffness(np.array(20e9), np.array(10e9), np.array(4e9), np.array(0.25))
    stack, thickness = np.stack([face, np.zeros((3, 3)), face])[None], np.array([[0.002, 0.020, 0.003]])
    z = ply_bounds(thickness)
    in_face = np.array([[[True, False, False], [False, False, True]]])
    middle = (z[:, :-1] + z[:, 1:]) / 2
    return stiffness(stack, thickness), (
        stack,
        thickness,
        middle,
        in_face,
        np.full((1, 2), 9e7),
        np.full((1, 2), 3e7),
    )


@pytest.mark.parametrize(("side", "signs"), [(MOULD, (1,)), (BAG, (-1,)), (BOTH, (1, -1))])
def test_wrinkling_over_a_field_is_that_of_place_by_place(side: int, signs: tuple[int, ...]) -> None:
    laminate, given = wrinkling_given()
    curvature = np.random.default_rng(3).normal(size=(1, 3, 20))
    found = greatest_wrinkling_use(laminate, curvature, np.array([side]), *given)
    each = {s: wrinkling_use(laminate, s * np.swapaxes(curvature, 1, 2), *given) for s in signs}
    sign = max(each, key=lambda s: float(each[s].use[0]))
    assert found.use == pytest.approx(each[sign].use, rel=1e-12)
    assert found.side[0] == sign
    assert (found.face[0], found.place[0], found.direction[0]) == (
        each[sign].face[0], each[sign].place[0], each[sign].direction[0],
    )  # fmt: skip


def test_a_face_that_is_only_pulled_uses_nothing() -> None:
    laminate, given = wrinkling_given()
    pulled = np.array([[[-0.2], [-0.2], [0.0]]])
    only = (*given[:3], given[3] & np.array([[[True], [False]]]), *given[4:])
    assert greatest_wrinkling_use(laminate, pulled, np.array([MOULD]), *only).use == pytest.approx([0.0])
    assert greatest_wrinkling_use(laminate, pulled, np.array([BAG]), *only).use[0] > 0


def test_a_stack_without_faces_is_not_checked() -> None:
    laminate, given = wrinkling_given()
    none = (*given[:3], np.zeros((1, 0, 3), dtype=bool), np.zeros((1, 0)), np.zeros((1, 0)))
    found = greatest_wrinkling_use(laminate, np.ones((1, 3, 2)), np.array([BOTH]), *none)
    assert np.isnan(found.use[0])
    assert (found.face[0], found.place[0], found.direction[0], found.side[0]) == (-1, -1, -1, 0)


def test_a_core_is_crushed_by_force_over_area() -> None:
    crushed = core_crush_use(np.array([1.2e3, 1.2e3]), np.array([0.1, 0.1]), np.array([1.5e6, NAN]))
    assert crushed == pytest.approx([0.08, NAN], nan_ok=True)


def test_places_that_mirror_each_other_are_equal() -> None:
    """Otherwise what governs would differ from one machine to the next."""
    assert core_use([[1.0, 1.0 + 1e-9], [0.0, 0.0]]).place.tolist() == [0]
    assert core_use([[1.0, 1.0 + 1e-5], [0.0, 0.0]]).place.tolist() == [1]
