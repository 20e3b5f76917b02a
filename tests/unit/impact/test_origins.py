"""Since when a layer is there: short histories told by hand."""

import pytest

from recipe_track.impact.origins import Trace, VersionNode, trace
from tests.unit.impact.test_align import KINDS, stack

ALL_KINDS = {**KINDS, **dict.fromkeys(("csm", "biax", "uni", "wr", "quad"), "reinforcement")}


def node(name: str, layup: str | None, *parents: str) -> VersionNode[str]:
    return VersionNode(name, parents, None if layup is None else stack(layup), ALL_KINDS)


def since(found: Trace[str]) -> list[str]:
    return [line.since for line in found.lines]


def removed(found: Trace[str]) -> list[str]:
    return [f"{r.layer.material}*{r.layer.plies} {r.since}-{r.removed_by}" for r in found.removed]


def test_kept_and_moved_layers_keep_their_origin_and_altered_ones_are_new() -> None:
    found = trace(
        [
            node("r1", "gel csm biax foam:15 biax"),
            node("r2", "gel csm biax uni foam:15 biax", "r1"),
            node("r3", "gel csm biax uni foam:20 biax", "r2"),
            node("r4", "csm biax uni foam:20 biax gel", "r3"),
        ]
    )
    assert since(found) == ["r1", "r1", "r2", "r3", "r1", "r1"]
    core = found.lines[3].origins[0]
    assert (core.mark, core.was and core.was.thickness_mm) == ("altered", 15.0)
    assert removed(found) == []


def test_a_line_that_grew_tells_both_origins() -> None:
    found = trace([node("r1", "uni*2"), node("r2", "uni*3", "r1")])
    assert [(o.since, o.plies) for o in found.lines[0].origins] == [("r1", 2), ("r2", 1)]
    assert since(found) == ["r2"]


def test_a_line_that_shrank_is_as_old_as_before() -> None:
    found = trace([node("r1", "uni*3"), node("r2", "uni", "r1")])
    assert since(found) == ["r1"]
    assert removed(found) == ["uni*2 r1-r2"]


def test_what_was_taken_out_and_put_back_is_new_and_its_removal_told() -> None:
    found = trace([node("r1", "csm uni"), node("r2", "csm", "r1"), node("r3", "csm uni", "r2")])
    assert since(found) == ["r1", "r3"]
    assert removed(found) == ["uni*1 r1-r2"]


def test_a_replaced_layer_is_there_since_the_replacement() -> None:
    found = trace([node("r1", "csm wr"), node("r2", "csm quad", "r1")])
    assert since(found) == ["r1", "r2"]
    assert found.lines[1].origins[0].was is not None
    assert found.lines[1].origins[0].was.material == "wr"


def test_a_merge_keeps_what_each_side_brought() -> None:
    found = trace(
        [
            node("base", "gel csm biax"),
            node("main", "gel csm biax uni", "base"),
            node("branch", "gel wr biax", "base"),
            node("merge", "gel wr biax uni", "main", "branch"),
        ]
    )
    assert since(found) == ["base", "branch", "base", "main"]
    assert removed(found) == []


def test_a_merge_does_not_claim_what_one_side_had_taken_out() -> None:
    found = trace(
        [
            node("base", "gel csm biax"),
            node("main", "gel biax", "base"),
            node("branch", "gel csm biax uni", "base"),
            node("merge", "gel biax uni", "main", "branch"),
        ]
    )
    assert since(found) == ["base", "base", "branch"]
    assert removed(found) == ["csm*1 base-main"]


def test_a_merge_that_changes_a_layer_itself_is_its_origin() -> None:
    found = trace(
        [
            node("base", "csm"),
            node("main", "csm uni:0", "base"),
            node("branch", "csm uni:90", "base"),
            node("merge", "csm uni:45", "main", "branch"),
        ]
    )
    assert since(found) == ["base", "merge"]


def test_a_zone_split_off_keeps_the_layers_of_the_zone_it_was() -> None:
    found = trace(
        [
            node("r1 bottom", "gel csm biax"),
            node("r2 bottom", "gel csm biax uni", "r1 bottom"),
            node("r3 bottom-aft", "gel csm biax uni quad", "r2 bottom"),
            node("r4 bottom-aft", "gel csm biax uni:90 quad", "r3 bottom-aft"),
        ]
    )
    assert since(found) == ["r1 bottom"] * 3 + ["r4 bottom-aft", "r3 bottom-aft"]


def test_a_zone_joined_from_two_keeps_the_layers_of_either() -> None:
    found = trace([node("a", "gel csm"), node("b", "quad*2"), node("joined", "gel csm quad*2 uni", "a", "b")])
    assert since(found) == ["a", "a", "b", "joined"]


def test_a_zone_deleted_and_written_again_is_new() -> None:
    found = trace([node("r1", "uni"), node("r2", None, "r1"), node("r3", "uni", "r2")])
    assert since(found) == ["r3"]
    assert removed(found) == ["uni*1 r1-r2"]


def test_a_merge_does_not_claim_what_one_side_had_altered_and_taken_out() -> None:
    found = trace(
        [
            node("base", "csm:0 uni"),
            node("main", "csm:45 uni", "base"),
            node("main+1", "uni", "main"),
            node("branch", "csm:0 uni biax", "base"),
            node("merge", "uni biax", "main+1", "branch"),
        ]
    )
    assert since(found) == ["base", "branch"]
    assert removed(found) == ["csm*1 main-main+1"]


def test_a_layer_that_a_merge_brought_back_is_told_by_its_latest_removal() -> None:
    found = trace(
        [
            node("base", "csm uni"),
            node("main", "uni", "base"),
            node("branch", "csm uni biax", "base"),
            node("merge", "csm uni biax", "main", "branch"),
            node("last", "uni biax", "merge"),
        ]
    )
    assert removed(found) == ["csm*1 base-last"]


def test_versions_off_the_line_of_descent_tell_nothing() -> None:
    found = trace(
        [
            node("r1", "csm uni"),
            node("proposal", "csm uni quad", "r1"),
            node("proposal+1", "csm uni", "proposal"),
            node("r2", "csm uni biax", "r1"),
        ]
    )
    assert since(found) == ["r1", "r1", "r2"]
    assert removed(found) == []


def test_a_parent_must_be_known() -> None:
    with pytest.raises(ValueError, match="'r2' comes ahead of its parent 'r1'"):
        trace([node("r2", "uni", "r1"), node("r1", "uni")])


def test_no_versions_no_layers() -> None:
    assert trace([]) == Trace((), ())
