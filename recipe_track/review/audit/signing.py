"""Signatures, where settings ask for them: by who the state before the commit vouches for."""

from collections.abc import Iterator

from recipe_track.history.log import Commit, merged
from recipe_track.history.signatures import Signature, verify_tag
from recipe_track.recipe.craft import Settings
from recipe_track.recipe.paths import record_at
from recipe_track.recipe.records import Decision
from recipe_track.review.audit.scope import Finding, Scope
from recipe_track.review.authority import (
    ALLOWED_SIGNERS,
    mail_of,
    parent_of,
    proof_words,
    settings_before,
    signatures,
    signers_before,
)


def check_decisions(scope: Scope) -> Iterator[Finding]:
    """Every decision is signed by the one it names, where signatures were asked for before it."""
    writing = {c.id: (c, ids) for c, ids in _deciding(scope) if _asked(scope, parent_of(c))}
    proven = signatures(scope.ws, {i: parent_of(commit) for i, (commit, _) in writing.items()})
    for commit_id, (_, decisions) in writing.items():
        for decision_id in decisions:
            decision = scope.snapshot.records.get(decision_id)
            if isinstance(decision, Decision):
                subject = f"{decision_id} about {decision.about}"
                yield from _judged(subject, proven.get(commit_id, Signature("none")), decision.by)


def _deciding(scope: Scope) -> Iterator[tuple[Commit, list[str]]]:
    """Commits that wrote decisions; those inside a merge of two mains are looked at themselves."""
    known: set[str] = set()
    for commit in reversed(scope.commits):
        inner = [one for one in reversed(merged(scope.ws.repo, commit)) if _decisions(one)]
        for one in (*inner, commit):
            new = [i for i in _decisions(one) if i not in known]
            known.update(new)
            if new:
                yield one, new


def _decisions(commit: Commit) -> list[str]:
    added = (record_at(change.path) for change in commit.changes if change.status == "A")
    return [record_id for record_id in added if record_id and record_id.startswith("D-")]


def _asked(scope: Scope, before: str | None) -> bool:
    settings = settings_before(scope.ws, before)
    return isinstance(settings, Settings) and settings.approval.signed


def check_releases(scope: Scope) -> Iterator[Finding]:
    """Every release is signed by its tagger, where signatures were asked for before the released commit."""
    for model, release in scope.releases():
        commit = next((c for c in scope.ws.commits if c.id == release.commit), None)
        before = parent_of(commit) if commit else None
        if _asked(scope, before):
            signature = verify_tag(scope.ws.repo, release.tag_id, signers_before(scope.ws, before))
            yield from _judged(f"{model}/{release.label}", signature, release.tagger_mail)


def _judged(subject: str, signature: Signature, person: str) -> Iterator[Finding]:
    if signature.verdict == "none":
        yield Finding(
            "signature-missing", subject, f"{proof_words(signature)}: it is not signed by {person}",
            "have it confirmed by a signed decision that replaces it (git config commit.gpgSign true)",
        )  # fmt: skip
    elif signature.verdict != "good":
        yield Finding(
            "signature-invalid", subject, proof_words(signature),
            f"ask {person}; a key counts once {ALLOWED_SIGNERS} names it, before it is used",
        )  # fmt: skip
    elif mail_of(signature.signer) != mail_of(person):
        yield Finding(
            "signature-invalid", subject, f"it names {person}, but is signed by {signature.signer}",
            "have it confirmed by the one it names",
        )  # fmt: skip


RULES = (check_decisions, check_releases)
