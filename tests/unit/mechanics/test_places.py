"""Places of panels: which there are, which count."""

import numpy as np

from recipe_track.mechanics.places import (
    CENTRE,
    EDGE_X,
    EDGE_Y,
    PANEL_PLACES,
    PATCH_PLACES,
    bend_twist_coupling,
    beside_corner,
    counted_places,
)

PLAIN = np.array([[4.0, 1.0, 0.0], [1.0, 2.0, 0.0], [0.0, 0.0, 1.0]])
COUPLED = np.array([[4.0, 1.0, 0.8], [1.0, 2.0, 0.1], [0.8, 0.1, 1.0]])


def whole(places: np.ndarray) -> set[tuple[float, float]]:
    """Both halves of a grid."""
    return {(round(s * x, 9) + 0.0, round(s * y, 9) + 0.0) for x, y in places for s in (1, -1)}


def test_both_halves_of_a_grid_are_all_of_it() -> None:
    even = np.round(np.linspace(-1, 1, 21), 9)
    assert whole(PANEL_PLACES) == {(float(x) + 0.0, float(y) + 0.0) for x in even for y in even}
    assert len(whole(PATCH_PLACES)) == 121


def test_the_places_known_by_name_are_where_they_are_said_to_be() -> None:
    assert PANEL_PLACES[[CENTRE, EDGE_X, EDGE_Y]].tolist() == [[0, 0], [1, 0], [0, 1]]


def test_coupling_is_the_greater_of_both() -> None:
    assert np.allclose(bend_twist_coupling(np.stack([PLAIN, COUPLED])), [0.0, 0.64 / 4])


def test_corners_do_not_count_and_no_place_counts_twice() -> None:
    counted = counted_places(PLAIN[None], np.array([False]))[0]
    assert counted.sum() == 221 - 2
    kept = whole(PANEL_PLACES[counted])
    assert len(kept) == 441 - 4
    assert (1.0, 1.0) not in kept
    assert (1.0, 0.9) in kept


def test_two_by_two_places_at_singular_corners_do_not_count() -> None:
    supported, clamped = counted_places(np.stack([COUPLED] * 2), np.array([False, True]))
    kept = whole(PANEL_PLACES[supported])
    assert len(kept) == 441 - 16
    assert not kept & {(1.0, 0.9), (0.9, 1.0), (0.9, 0.9), (-0.9, 0.9)}
    assert kept >= {(1.0, 0.8), (0.8, 0.9)}
    assert clamped.sum() == 219


def test_a_place_beside_a_corner_is_near_it_along_both_sides() -> None:
    near = [tuple(PANEL_PLACES[n].round(9)) for n in range(231) if beside_corner(n)]
    assert (1.0, 0.8) in near
    assert (0.8, -0.8) in near
    assert (1.0, 0.7) not in near
    assert (0.0, 1.0) not in near
