"""Records and hull files: written once, by the one they name, signed where that is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import TYPE_CHECKING

from recipe_track.recipe.paths import record_at
from recipe_track.recipe.records import DECIDED_AGAIN, Change, Decision, Record, Verification
from recipe_track.review.audit.finding import Finding, found_in, said_by_action
from recipe_track.review.audit.scope import Scope, attached

if TYPE_CHECKING:
    from recipe_track.history.ancestry import Ancestor
    from recipe_track.recipe.records import Attachment
    from recipe_track.workspace.trail import Origin

A_DAY = timedelta(days=1)
UNPROVEN = ("not-signed", "signature-invalid")


def check_kept(scope: Scope) -> Iterator[Finding]:
    """No record and no hull file differs from what was first added, and none is gone."""
    for origin in scope.trail.origins.values():
        now = scope.files.get(origin.path)
        name = record_at(origin.path)
        if name is not None and scope.trail.origin_of[name] is not origin:
            yield from _second(name, origin, now)
            continue
        if now == origin.blob:
            continue
        subject = name or origin.path
        commit = scope.trail.who_altered(origin)
        by = f"{commit.author} in {commit.id[:10]}, {commit.date[:10]}"
        back = f"git cat-file blob {origin.blob[:10]} > {origin.path}"
        rule, what = ("record-deleted", "deleted") if now is None else ("record-altered", "altered")
        correct = f", and `record correct {name}`" if name and name[0] not in DECIDED_AGAIN else ""
        remedy = f"bring it back: {back}" if now is None else f"restore it ({back}){correct}"
        yield Finding(
            rule, subject, f"it was {what} after it was written, by {by}; what was first written counts",
            remedy, origin.path, **found_in(commit), basis=(origin.path, origin.blob, now or ""),
        )  # fmt: skip


def _second(name: str, origin: Origin, now: str | None) -> Iterator[Finding]:
    """A record is there once; what came later under its name does not count."""
    if now is not None:
        yield Finding(
            "record-altered", name,
            f"it is there a second time, as {origin.path}; what was first written counts",
            f"git rm {origin.path}", origin.path, **found_in(origin.commit), basis=(origin.path, now),
        )  # fmt: skip


def check_authors(scope: Scope) -> Iterator[Finding]:
    """Every record was brought, signed or confirmed by the one it names."""
    for name, record in scope.trail.written.items():
        if not scope.concerns(record) or not scope.trail.is_by_another(name):
            continue
        origin = scope.trail.origin_of[name]
        void = "; it has no effect until then" if name in scope.trail.void else ""
        yield Finding(
            "record-by-another", name,
            f"it names {record.by}, and {found_in(origin.commit)['by']} brought it{void}",
            f"have {record.by} confirm it: `record confirm {name}`",
            origin.path, **found_in(origin.commit), basis=(name, origin.blob),
        )  # fmt: skip


def check_signatures(scope: Scope) -> Iterator[Finding]:
    """Where settings ask for signatures, whoever decides has signed the very bytes, or has decided again."""
    proven = {(one.about, one.decision) for _, one in scope.trail.records.of_kind(Decision)}
    for name, why in scope.trail.void.items():
        record = scope.trail.written[name]
        if why not in UNPROVEN or not scope.concerns(record):
            continue
        if isinstance(record, Decision) and (record.about, record.decision) in proven:
            continue
        origin = scope.trail.origin_of[name]
        rule = "signature-missing" if why == "not-signed" else "signature-invalid"
        what = "it is not signed" if why == "not-signed" else "its signature does not prove that"
        yield Finding(
            rule, name, f"{record.by} is to have written it, but {what}; it has no effect",
            "have it written again, signed, by the one it names; keys are listed in approval.keys",
            origin.path, **found_in(origin.commit), basis=(name, origin.blob),
        )  # fmt: skip


def check_dates(scope: Scope) -> Iterator[Finding]:
    """No record is of a day after it was written, and no decision of one before what it decides."""
    for name, record in scope.trail.written.items():
        if not scope.concerns(record):
            continue
        origin = scope.trail.origin_of[name]
        is_ahead = record.on > date.fromisoformat(origin.commit.date[:10]) + A_DAY
        if is_ahead and name not in scope.trail.records.replaced_by:
            yield Finding(
                "record-dated-ahead", name,
                f"it is of {record.on}, and was written on {origin.commit.date[:10]}",
                _dated_anew(name, record), origin.path, **found_in(origin.commit),
            )  # fmt: skip
        if isinstance(record, Decision):
            yield from _too_soon(scope, name, record, origin)


def _dated_anew(name: str, record: Record) -> str:
    if isinstance(record, Change | Decision | Verification):  # never corrected
        return f"say how that came: `action record 'record-dated-ahead {name}' --cause … --done …`"
    return f"write it again as of its day: `record correct {name} --on DATE --note …`"


def _too_soon(scope: Scope, name: str, decision: Decision, origin: Origin) -> Iterator[Finding]:
    subject = scope.trail.written.get(decision.about)
    if subject is not None and decision.on < subject.on - A_DAY:
        yield Finding(
            "records-contradict", name,
            f"it decides on {decision.on} about {decision.about}, which is of {subject.on}",
            said_by_action("records-contradict", name), origin.path, **found_in(origin.commit),
        )  # fmt: skip


def check_corrections(scope: Scope) -> Iterator[Finding]:
    """A correction is by whoever may make it, of a record of its kind, and no two of them disagree."""
    for name, record in scope.trail.written.items():
        if record.replaces is None or not scope.concerns(record):
            continue
        why = scope.trail.correction_fault(name)
        if why is not None:
            origin = scope.trail.origin_of[name]
            yield Finding(
                "correction-without-effect", name, f"it replaces {record.replaces}, {why}",
                f"have its author or an approver correct {record.replaces}, if it needs it, and "
                + said_by_action("correction-without-effect", name),
                origin.path, **found_in(origin.commit),
            )  # fmt: skip
    for name in scope.trail.records.replaced_by:
        standing = scope.trail.records.standing_for(name)
        if len(standing) > 1 and scope.trail.records.is_first(name):
            origin = scope.trail.origin_of[standing[-1]]
            yield Finding(
                "corrections-disagree", name, f"it is replaced by {' and by '.join(sorted(standing))}",
                "correct one of them as the other says: `record correct`", origin.path,
                **found_in(origin.commit), basis=tuple(sorted(standing)),
            )  # fmt: skip


def check_attachments(scope: Scope) -> Iterator[Finding]:
    """What is attached to a record is there as it was."""
    for name, one in attached(scope.trail):
        if scope.concerns(scope.trail.written[name]) and scope.digests.get(one.path) != one.sha256:
            what = "is gone" if one.path not in scope.digests else "was altered"
            commit = _last_touch(scope, one.path) or scope.trail.origin_of[name].commit
            yield Finding(
                "attachment-altered", name, f"its attachment {one.path} {what}",
                _bring_back(scope, name, one), one.path, **found_in(commit),
                basis=(one.path, one.sha256, scope.digests.get(one.path, "")),
            )  # fmt: skip


def _bring_back(scope: Scope, name: str, attachment: Attachment) -> str:
    """How the file comes back as its record brought it, by the blob and the commit where git has them."""
    commit = scope.trail.origin_of[name].commit
    behind = scope.trail.behind(commit.id)
    held = [(c, t.after) for c, t in scope.trail.touching(attachment.path) if c.id in behind and t.after]
    if not held:
        return f"bring back the file with SHA-256 {attachment.sha256[:12]}…"
    since, blob = held[-1]
    return f"bring it back as of {since.id[:10]}: git cat-file blob {blob[:10]} > {attachment.path}"


def _last_touch(scope: Scope, path: str) -> Ancestor | None:
    return next((commit for commit, _ in reversed(list(scope.trail.touching(path)))), None)


RULES = (check_kept, check_authors, check_signatures, check_dates, check_corrections, check_attachments)
