"""The labels of a model in a repository, as a workspace asks for them."""

from recipe_track.history.ancestry import ancestry
from recipe_track.history.objects import RECIPE_ROOTS, tree
from recipe_track.history.refs import read_refs
from recipe_track.history.repository import Repository
from recipe_track.history.revisions import Labels, labels


def labels_of(repo: Repository, model: str) -> Labels:
    """The labels of the model on main; without a main there is no ancestry."""
    refs = read_refs(repo, "main")
    ancestors = ancestry(repo, refs.main) if refs.main else ()
    return labels(model, ancestors, refs.releases, content_of=lambda commit: tree(repo, commit, RECIPE_ROOTS))
