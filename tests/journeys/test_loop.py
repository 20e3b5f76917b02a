"""The whole loop with three people and two clones: observation, change, decision, release, hull, proof."""

from pathlib import Path

from tests.journeys.gitrepo import GitRepo
from tests.journeys.yard import SIDE, Yard, main_files, new_yard


def clones(folder: Path) -> tuple[Yard, Yard]:
    """Two clones of one bare remote that holds a released recipe with a hull."""
    first = new_yard(folder, settings='format = 1\n\n[approval]\napprovers = ["ben@quay.example"]\n')
    bare = first.repo.clone("remote.git", "--bare")
    bare.git("remote", "remove", "origin")
    copies = []
    for name in ("office", "quay"):
        copy = bare.clone(name)
        copy.clock = first.repo.clock
        copies.append(Yard(copy))
    return copies[0], copies[1]


def log(yard: Yard, text: str, who: str) -> str:
    return yard(
        "trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "too-flexible", "--severity",
        "4", "--text", text, who=who,
    ).id  # fmt: skip


def push(repo: GitRepo, *refs: str, who: str) -> None:
    repo.git("push", "--quiet", "origin", *refs, who=who)


def test_the_loop_loses_nothing_and_ends_in_proof(tmp_path: Path) -> None:
    office, quay = clones(tmp_path)

    # both log offline, both push; the second fetches and merges without a conflict
    at_office = log(office, "soft between the frames", "ada")
    at_quay = log(quay, "moves when two stand on it", "cem")
    push(office.repo, "main", who="ada")
    assert quay.repo.run("push", "origin", "main", who="cem").returncode != 0
    quay.repo.git("pull", "--quiet", "--no-rebase", "--no-edit", "origin", "main", who="cem")
    push(quay.repo, "main", who="cem")
    office.repo.git("pull", "--quiet", "origin", "main", who="ada")
    listed = [row["id"] for row in office("trial", "list", "--open", "--json").json["trials"]]
    assert sorted(listed) == sorted([at_office, at_quay])

    # the office proposes and pushes the branch; the approver fetches it and approves
    office.edit(SIDE, "thickness_mm = 20", "thickness_mm = 25")
    change = office(
        "change", "propose", "--title", "Thicker core", "--reason", "too soft underfoot on hull 001",
        "--category", "layup", "--trial", at_office, "--trial", at_quay,
    ).id  # fmt: skip
    push(office.repo, f"change/{change}", who="ada")
    office.repo.git("checkout", "--quiet", "--", SIDE)
    quay.repo.git("fetch", "--quiet", who="ben")
    assert quay("change", "approve", change, who="ada").status == 1
    assert quay("change", "approve", change, who="ben").status == 0
    assert quay("trial", "list", "--open", "--json").json["trials"] == []

    # released, a hull started to it, weighed and tried
    assert quay("release", "demo", "--from-hull", "002", who="ben").id == "r2"
    push(quay.repo, "main", "demo/r2", who="ben")
    office.repo.git("pull", "--quiet", "--tags", "origin", "main", who="ada")
    assert office("hull", "add", "002", "--revision", "r2").id == "002"
    office("hull", "part", "002", "--part", "deck", "--state", "demoulded")
    assert list(office.findings()) == ["change-unverified"]
    office("hull", "weigh", "002", "--part", "deck", "--mass-kg", "60", "--state", "as-demoulded")
    proof = office("change", "verify", change, "--hull", "002", "--outcome", "confirmed", who="cem").id
    push(office.repo, "main", who="cem")

    # the story is told alike in every clone, and the records are in order
    quay.repo.git("pull", "--quiet", "origin", "main", who="ben")
    for yard in (office, quay):
        core = yard("why", "deck/side", "--line", "4", "--json").json["layers"][0]
        assert (core["since"]["label"], core["change"], core["outcome"]) == ("r2", change, "confirmed")
        assert core["reason"] == "too soft underfoot on hull 001"
        assert core["trials"] == [at_office, at_quay]
        assert core["approved_by"] == "Ben Slip <ben@quay.example>"
        assert core["hulls"] == ["002"]
        assert yard.findings() == {}
    assert any(path.endswith(f"{proof}.toml") for path in main_files(quay))
    assert quay.repo.git("status", "--porcelain") == ""
    assert {f"{i}.toml" for i in (at_office, at_quay, change, proof)} <= {
        path.rsplit("/", 1)[-1] for path in main_files(quay)
    }
