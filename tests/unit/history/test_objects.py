"""What git keeps, asked for by name."""

import os

import pytest

from recipe_track.errors import RepositoryError
from recipe_track.history.objects import (
    Edit,
    Entry,
    content_at,
    differing,
    empty_tree,
    has_commit,
    has_signature,
    hash_files,
    read_files,
    read_many,
    tree,
    tree_entries,
)
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo
from tests.unit.history.conftest import ZONE


def test_a_commit_is_there_or_not(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo:
        assert has_commit(repo, yard.head())
        assert not has_commit(repo, "0" * 40)
        assert not has_commit(repo, tree(repo, "HEAD")[ZONE])  # a blob


def test_one_file_of_a_branch_or_none(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo:
        assert content_at(repo, "HEAD", "recipe-track.toml") == b"format = 1\n"
        assert content_at(repo, "HEAD", "nothing.toml") is None
        assert content_at(repo, "refs/heads/nowhere", "recipe-track.toml") is None
        assert read_files(repo, "HEAD", ZONE, "nothing.toml") == {ZONE: b"t = 1\n"}


def test_a_submodule_is_an_entry_and_no_file(yard: GitRepo) -> None:
    yard.git("update-index", "--add", "--cacheinfo", f"160000,{yard.head()},models/linked")
    linked = yard.git("write-tree")
    with yard.acting(), open_repository(yard.root) as repo:
        assert "models/linked" not in tree(repo, linked)
        assert tree_entries(repo, linked, ["models/linked"])["models/linked"].mode == "160000"


def test_content_that_looks_like_a_header_is_read_by_its_size(yard: GitRepo) -> None:
    odd = b"0" * 40 + b" blob 3\nabc\n"
    oids = [yard.git("hash-object", "-w", "--stdin", stdin=text) for text in (odd, b"", b"\n\n")]
    with yard.acting(), open_repository(yard.root) as repo:
        assert list(read_many(repo, [*oids, oids[0]]).values()) == [odd, b"", b"\n\n"]
        with pytest.raises(RepositoryError, match="is missing from the repository"):
            read_many(repo, ["0" * 40])


def test_two_trees_differ_path_by_path_and_a_rename_is_two(yard: GitRepo) -> None:
    first = yard.head()
    yard.git("mv", ZONE, "models/pb/deck/flange.toml")
    second = yard.commit("renamed")
    with yard.acting(), open_repository(yard.root) as repo:
        oid = tree(repo, first)[ZONE]
        entry = Entry("100644", oid)
        assert differing(repo, first, second) == (
            Edit("models/pb/deck/flange.toml", None, entry),
            Edit(ZONE, entry, None),
        )
        assert {edit.path for edit in differing(repo, None, first)} == {ZONE, "recipe-track.toml"}
        assert differing(repo, empty_tree(repo), empty_tree(repo)) == ()


def test_odd_names_are_hashed_as_git_would_add_them(yard: GitRepo) -> None:
    names = ['"quoted"', "two\nlines", "tür"]
    for name in names:
        yard.write(name, name)
    with yard.acting(), open_repository(yard.root) as repo:
        oids = hash_files(repo, yard.root, names)
    assert oids == {name: yard.git("hash-object", "--stdin", stdin=os.fsencode(name)) for name in names}


def test_a_tag_that_only_talks_of_signatures_is_not_signed(yard: GitRepo) -> None:
    plain = yard.tag("pb/r1", message="-----BEGIN OF SEASON-----\nx -----BEGIN SSH SIGNATURE-----")
    signed = yard.git(
        "hash-object", "-t", "tag", "-w", "--stdin",
        stdin=f"object {yard.head()}\ntype commit\ntag pb/r2\ntagger A <a@b> 1 +0000\n\nr2\n-----BEGIN SSH SIGNATURE-----\nx\n-----END SSH SIGNATURE-----\n".encode(),
    )  # fmt: skip
    with yard.acting(), open_repository(yard.root) as repo:
        assert not has_signature(repo, plain)
        assert has_signature(repo, signed)
