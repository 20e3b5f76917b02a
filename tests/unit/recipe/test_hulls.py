"""Steps of hulls joined: order without dates, copies, parts that move, steps that disagree."""

from datetime import date
from typing import Any

import pytest

from recipe_track.recipe.hulls import HullPart, HullState, goes_back, hull_states, steps_back, steps_of
from recipe_track.recipe.records import Step

R6, R8 = "6" * 40, "8" * 40
BY = "Joren Veld <joren.veld@example.org>"
Steps = list[tuple[str, Step]]


def step(letter: str, state: str, after: str | None = None, **values: Any) -> tuple[str, Step]:
    given = {"kind": "step", "by": BY, "on": date(2026, 3, 2), "hull": "014", "part": "deck", "state": state}
    data = {**given, **({"after": f"H-{after * 6}"} if after else {}), **values}
    return f"H-{letter * 6}", Step.model_validate(data)


def planned(letter: str = "0", **values: Any) -> tuple[str, Step]:
    return step(letter, "planned", **{"revision": "r6", "commit": R6, **values})


def state(steps: Steps, hull: str = "014") -> HullState:
    return hull_states(steps, [hull])[hull]


def part(steps: Steps, hull: str = "014") -> HullPart:
    found = state(steps, hull).part("deck")
    assert found is not None
    return found


def test_the_order_is_that_of_after_and_not_of_dates() -> None:
    steps = [planned(), step("1", "kit-cut", "0"), step("2", "in-mould", "1", on=date(2025, 1, 1))]
    for shuffled in (steps, steps[::-1], [steps[2], steps[0], steps[1]]):
        assert part(shuffled).state == "in-mould"
        assert [name for name, _ in steps_of(shuffled, "014", "deck")] == ["H-000000", "H-111111", "H-222222"]


def test_a_step_without_a_release_keeps_the_one_before() -> None:
    found = part([planned(), step("1", "in-mould", "0")])
    assert (found.revision, found.commit, found.built_to) == ("r6", R6, "r6")
    assert found.is_started


def test_a_part_in_no_mould_carries_nothing_yet() -> None:
    assert not part([planned()]).is_started
    assert not part([planned(), step("1", "kit-cut", "0")]).is_started


def test_changes_carried_out_on_a_built_part_are_told_with_its_release() -> None:
    steps = [planned(), step("1", "fitted", "0"), step("2", "fitted", "1", done=["C-2M9XQ4"])]
    assert part(steps).built_to == "r6 with C-2M9XQ4"
    steps.append(step("3", "fitted", "2", revision="r8", commit=R8))
    assert part(steps).built_to == "r8"


def test_scrapped_ends_a_copy_and_the_next_step_begins_another() -> None:
    steps = [planned(), step("1", "in-mould", "0", done=["C-2M9XQ4"]), step("2", "scrapped", "1")]
    assert (part(steps).copy, part(steps).is_started) == (1, False)
    steps.append(step("3", "planned", "2"))
    found = part(steps)
    assert (found.copy, found.state, found.revision, found.done) == (2, "planned", "r6", ())


def test_a_part_from_another_hull_brings_its_release_and_is_planned_there_again() -> None:
    steps = [
        planned(),
        planned("1", hull="013", revision="r8", commit=R8),
        step("2", "demoulded", "1", hull="013"),
        step("3", "fitted", "2", **{"from": "013"}),
    ]
    taken, left = part(steps), part(steps, "013")
    assert (taken.state, taken.revision, taken.came_from, taken.copy) == ("fitted", "r8", "013", 1)
    assert (left.state, left.copy, left.came_from) == ("planned", 2, None)
    steps.append(step("4", "in-mould", "3", hull="013"))
    assert part(steps, "013").state == "in-mould"
    assert part(steps).state == "fitted"


@pytest.mark.parametrize("order", [1, -1])
def test_two_steps_after_one_that_differ_disagree_until_the_next_with_a_note(order: int) -> None:
    steps = [planned(), step("1", "in-mould", "0"), step("2", "kit-cut", "0")][::order]
    assert [d.steps for d in state(steps).disagreements] == [("H-111111", "H-222222")]
    assert part(steps).state == "in-mould"  # the furthest: better one hull too many on a recall
    steps.append(step("3", "in-mould", "2"))
    assert state(steps).disagreements
    steps[-1] = step("3", "in-mould", "2", note="the kit was cut on the 2nd, the mould filled on the 4th")
    assert not state(steps).disagreements
    assert part(steps).step == "H-333333"


def test_the_same_step_recorded_in_two_clones_is_no_disagreement() -> None:
    steps = [planned(), step("1", "in-mould", "0"), step("2", "in-mould", "0"), step("3", "demoulded", "2")]
    assert not state(steps).disagreements
    assert part(steps).state == "demoulded"


def test_two_parts_never_meet() -> None:
    steps = [planned(), planned("1", part="hull"), step("2", "in-mould", "0")]
    assert {p.part: p.state for p in state(steps).parts} == {"deck": "in-mould", "hull": "planned"}
    assert not state(steps).disagreements


def test_the_whole_hull_has_steps_of_its_own() -> None:
    steps = [planned(), step("5", "in-build", part=None), step("6", "delivered", "5", part=None)]
    assert state(steps).state == "delivered"
    assert state([], "099").state == "planned"


def test_a_ring_of_steps_ends() -> None:
    steps = [step("1", "in-mould", "2", revision="r6", commit=R6), step("2", "kit-cut", "1")]
    assert state(steps).number == "014"


@pytest.mark.parametrize(
    ("before", "after", "back"),
    [
        ("in-mould", "kit-cut", True),
        ("kit-cut", "in-mould", False),
        ("fitted", "fitted", False),
        ("scrapped", "planned", False),
        ("delivered", "in-build", True),
        ("delivered", "returned", False),
    ],
)
def test_a_state_before_another_is_a_step_back(before: str, after: str, back: bool) -> None:
    assert goes_back(before, after) is back


def test_a_step_back_is_named_unless_a_note_says_why() -> None:
    steps = [planned(), step("1", "in-mould", "0"), step("2", "planned", "1")]
    assert list(steps_back(steps, "014", "deck")) == ["H-222222"]
    steps[2] = step("2", "planned", "1", note="wrong mould")
    assert not list(steps_back(steps, "014", "deck"))
