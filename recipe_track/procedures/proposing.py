"""Proposing a change: what differs in the work tree, checked, with its reason and its expected effect."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from recipe_track.errors import CallError, InvalidRecipe, Key, Problem, Refused
from recipe_track.history.ancestry import Ancestor, Touch
from recipe_track.history.aside import objects_aside
from recipe_track.history.commit_to_main import commit_record
from recipe_track.history.making import write_tree
from recipe_track.history.objects import read_many
from recipe_track.history.people import compose
from recipe_track.history.proposals import WorkChange, already_proposed, propose, strangers, work_changes
from recipe_track.procedures.writing import Done, NewRecord, new_record, noted, with_records
from recipe_track.recipe.craft import Approval
from recipe_track.recipe.paths import SETTINGS_PATH, model_at
from recipe_track.recipe.records import Change, Deviation, Trial, Verification
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import holds_by_zone, open_trials
from recipe_track.review.change.expected import expected_of
from recipe_track.review.change.minima import Concern, concern_words, concerns
from recipe_track.review.change.register import open_branches, read_tree
from recipe_track.review.choosing import one_of, record_named
from recipe_track.trail.edits import Edit, is_governed
from recipe_track.workspace import Workspace
from recipe_track.workspace.assembly import Reading
from recipe_track.workspace.edits import diff_lines


@dataclass(frozen=True, slots=True)
class ChangeEntry:
    """What a person says of a change."""

    title: str
    reason: str
    category: str
    on: date
    trials: tuple[str, ...] = ()
    model: str | None = None
    considered: str | None = None
    note: str | None = None
    answers: tuple[str, ...] = ()
    replaces: str | None = None


@dataclass(frozen=True, slots=True)
class Prepared:
    """A proposal ready to be written: its files, its record, what it does to the required minima."""

    record: NewRecord
    files: tuple[WorkChange, ...]
    model: str | None
    concerns: tuple[Concern, ...]
    skipped: tuple[tuple[str, str], ...]
    strange: tuple[tuple[str, int], ...] = ()

    @property
    def message(self) -> str:
        """The commit message, with the trailers for those who read plain `git log`."""
        change = self.record.record
        title, reason = getattr(change, "title", ""), getattr(change, "reason", "")
        return compose(f"Propose {self.record.id}: {title}", "", change_trailers(self.record.id, reason))


def change_trailers(change_id: str, reason: str) -> tuple[tuple[str, str], ...]:
    """The trailers that every recipe commit carries."""
    return ("Change", change_id), ("Reason", reason)


def propose_change(ws: Workspace, entry: ChangeEntry, dry_run: bool = False) -> Done:
    """Put the recipe edits of the work tree on a branch change/<id> with the record that says why."""
    with objects_aside(ws.repo, dry_run):
        return write_proposal(ws, prepare(ws, entry), dry_run)


def write_proposal(ws: Workspace, prepared: Prepared, dry_run: bool = False) -> Done:
    """Start the branch of a prepared proposal."""
    record, commit = prepared.record, None
    if not dry_run:
        texts = {record.path: record.text}
        made = propose(ws.repo, ws.main_branch, record.id, prepared.files, texts, prepared.message)
        commit = made.commit
    said = (*proposal_words(prepared), *noted(ws))
    return Done(record.id, commit, said, _shown(prepared), dry_run=dry_run)


def _shown(prepared: Prepared) -> dict[str, bytes]:
    return {prepared.record.path: prepared.record.text} | {c.path: c.data or b"" for c in prepared.files}


def proposal_words(prepared: Prepared) -> tuple[str, ...]:
    """What was proposed, what was left out, and what an approval will need."""
    said = [f"proposed {prepared.record.id} on branch change/{prepared.record.id}:"]
    said += [f"  {change.status} {change.path}" for change in prepared.files]
    said += [f"  left out {path}: {other} proposes just this" for path, other in prepared.skipped]
    said += _left_alone(prepared.strange)
    if prepared.concerns:
        said.append("approving it needs --reverified DOCUMENT --body B:")
        said += concern_words(prepared.concerns)
    return tuple(said)


def _left_alone(strange: Iterable[tuple[str, int]]) -> list[str]:
    return [f"  left alone {path}: no recipe file ({_size(size)})" for path, size in strange]


def _size(count: int) -> str:
    """Bytes as a person says them."""
    return (
        f"{count / 1e6:.1f} MB" if count >= 1e6 else f"{count / 1e3:.1f} kB" if count >= 1e3 else f"{count} B"
    )


def prepare(ws: Workspace, entry: ChangeEntry) -> Prepared:
    """Everything that can be refused about a proposal, before anything is written."""
    snapshot = ws.current()
    _require_said(snapshot.settings.approval, entry)
    for trial in entry.trials:
        record_named(snapshot, trial, Trial, "observation")
    _require_answers(snapshot, entry)
    replaced = _replaced(ws, snapshot, entry)
    changes, skipped = _edits(ws, snapshot, replaced)
    tree = write_tree(ws.repo, ws.tip(), {change.path: change.entry for change in changes})
    after = _valid(ws, tree, {change.path for change in changes})
    model = _model_of(ws, entry, changes, after)
    _require_zones_kept(snapshot, after)
    expected = _expected(snapshot, after, model)
    edits = [_edit(ws, change) for change in changes]
    record = _record(ws, snapshot, entry, model, edits, expected)
    with_records(after, record)
    models = (model,) if model else tuple(after.models)
    concerned = tuple(one for name in models for one in concerns(snapshot, after, name))
    return Prepared(record, changes, model, concerned, skipped, strangers(ws.repo, ws.main_branch))


def _record(
    ws: Workspace, snapshot: Snapshot, entry: ChangeEntry, model: str | None,
    edits: Sequence[Mapping[str, str]], expected: Mapping[str, object],
) -> NewRecord:  # fmt: skip
    return new_record(
        ws, snapshot, "change", entry.on, model=model, title=entry.title.strip(), reason=entry.reason.strip(),
        trials=tuple(trial.upper() for trial in entry.trials),
        answers=tuple(one.upper() for one in entry.answers), category=entry.category,
        considered=entry.considered, note=entry.note, replaces=entry.replaces and entry.replaces.upper(),
        expected=expected, edit=tuple(edits),
    )  # fmt: skip


def _expected(before: Snapshot, after: Snapshot, model: str | None) -> dict[str, object]:
    if model is None:
        return {}
    return expected_of(before, after, model).model_dump(exclude_none=True, exclude_unset=True)


def _edit(ws: Workspace, change: WorkChange) -> dict[str, str]:
    """An edit as the record keeps it: its blobs, and both texts should a rebase leave neither to be found."""
    old = read_many(ws.repo, [change.before])[change.before] if change.before else b""
    return edit_table(
        change.path, change.before, change.entry.oid if change.entry else "", old, change.data or b""
    )


def edit_table(path: str, before: str, after: str, old: bytes, new: bytes) -> dict[str, str]:
    """One `[[edit]]` of a change record."""
    lines = diff_lines(old, new)
    table = {"path": path, "before": before, "after": after}
    return table if lines is None else {**table, "lines": lines}


def _replaced(ws: Workspace, snapshot: Snapshot, entry: ChangeEntry) -> str | None:
    """The proposal, or the change on main, that this one takes the place of."""
    if entry.replaces is None:
        return None
    known = {*snapshot.records.all_of(Change), *(branch.id for branch in open_branches(ws, snapshot))}
    return one_of("change", entry.replaces.upper(), known)


def _require_answers(snapshot: Snapshot, entry: ChangeEntry) -> None:
    for name in entry.answers:
        kind, what = (
            (Deviation, "deviation") if name.upper().startswith("N-") else (Verification, "verification")
        )
        record_named(snapshot, name, kind, what)


def _require_zones_kept(before: Snapshot, after: Snapshot) -> None:
    """A zone that matters does not vanish unless another one names it as an earlier name."""
    gone = []
    for model, tree in before.models.items():
        now = after.zones_of(model)
        named = {old for zone in now.values() for old in zone.formerly}
        held = holds_by_zone(before, model)
        watched = {t.zone for _, t in open_trials(before.records)}
        gone += [
            f"{model} {name}"
            for name, zone in tree.zones.items()
            if name not in now and name not in named and (zone.required or name in held or name in watched)
        ]
    if gone:
        raise Refused(
            "zones with minima, holds or open observations would vanish",
            'name them where they live on: formerly = ["part/zone"]',
            tuple(gone),
        )


def _require_said(approval: Approval, entry: ChangeEntry) -> None:
    reason = entry.reason.strip()
    if not reason:
        raise Refused("a change needs a reason", "say why: --reason R")
    if len(reason) < approval.reason_min_length:
        least = approval.reason_min_length
        raise Refused(
            f"the reason is too short: {len(reason)} characters of at least {least}",
            "say it so that someone understands it in five years",
        )
    if not entry.title.strip():
        raise Refused("a change needs a title", "--title T")


def _edits(
    ws: Workspace, snapshot: Snapshot, replaced: str | None
) -> tuple[tuple[WorkChange, ...], tuple[tuple[str, str], ...]]:
    """The edits to take, and those that an open proposal holds already, but for the one replaced."""
    edited = work_changes(ws.repo, ws.main_branch)
    others = [branch for branch in open_branches(ws, snapshot) if branch.id != replaced]
    proposed = already_proposed(ws.repo, ws.main_branch, edited, others)
    changes = tuple(change for change in edited if change.path not in proposed)
    skipped = tuple(sorted(proposed.items()))
    if not changes:
        raise Refused(
            "there is nothing to propose: models, materials, prices and settings are as they are on main",
            "edit the recipe first",
            (
                *(f"{path}: {other} proposes just this" for path, other in skipped),
                *(line.strip() for line in _left_alone(strangers(ws.repo, ws.main_branch))),
            ),
        )
    behind = tuple(change.path for change in changes if change.behind)
    if behind:
        raise Refused(
            f"{ws.main_branch} has gone on with these files since your branch left it",
            f"bring your branch up to date first: git merge {ws.main_branch}",
            behind,
        )
    return changes, skipped


def _valid(ws: Workspace, tree: str, paths: set[str]) -> Snapshot:
    """The snapshot of a tree; InvalidRecipe with what is wrong in these paths or was not wrong on main."""
    reading = read_tree(ws, tree)
    require_no_worse(ws, reading, paths, "the proposal is not valid, so nothing was written")
    return reading.snapshot


def require_no_worse(ws: Workspace, reading: Reading, paths: set[str], message: str) -> None:
    """Refuse problems in the paths touched, and any that main does not have already."""
    known = {_fault(p) for p in ws.read(ws.revision_of(ws.tip(), None), with_records=True).problems}
    problems = tuple(p for p in reading.problems if p.file in paths or _fault(p) not in known)
    if problems:
        raise InvalidRecipe(message, problems)


def _fault(problem: Problem) -> tuple[str, str, Key, str]:
    """What is wrong, wherever its line has moved to and however it is worded."""
    return problem.file, problem.code, problem.key, problem.name


def _model_of(
    ws: Workspace, entry: ChangeEntry, changes: Sequence[WorkChange], after: Snapshot
) -> str | None:
    """The model a change is about: the one named, or whose files it edits; of shared files the only one."""
    touched = {model for change in changes if (model := model_at(change.path)) is not None}
    if entry.model is not None:
        return one_of("model", entry.model, {*after.models, *touched})
    if len(touched) > 1:
        raise CallError(
            "these edits touch several models", f"propose one at a time, or say --model {sorted(touched)[0]}"
        )
    if touched:
        return touched.pop()
    settings_alone = all(change.path == SETTINGS_PATH for change in changes)
    return None if settings_alone or len(after.models) != 1 else next(iter(after.models))


def propose_landed(ws: Workspace, entry: ChangeEntry, commits: Sequence[str], dry_run: bool = False) -> Done:
    """Write down why what is on main already was done; decided afterwards like any other change."""
    snapshot = ws.current()
    _require_said(snapshot.settings.approval, entry)
    for trial in entry.trials:
        record_named(snapshot, trial, Trial, "observation")
    _require_answers(snapshot, entry)
    _replaced(ws, snapshot, entry)
    landed = [_on_main(ws, commit) for commit in commits]
    touches = [edit for commit in landed for edit in _done_by(ws, commit)]
    if not touches:
        raise Refused("these commits change nothing that is governed", "name the commit that holds the edit")
    texts = read_many(ws.repo, [blob for touch in touches for blob in (touch.before, touch.after) if blob])
    edits = [
        edit_table(t.path, t.before, t.after, texts.get(t.before, b""), texts.get(t.after, b""))
        for t in touches
    ]
    models = {model for touch in touches if (model := model_at(touch.path)) is not None}
    model = entry.model or (models.pop() if len(models) == 1 else None)
    record = _record(ws, snapshot, entry, model, edits, _effect(ws, landed, model))
    with_records(snapshot, record)
    subject = f"Explain {record.id}: {entry.title.strip()}"
    paths = tuple(dict.fromkeys(touch.path for touch in touches))
    said = (f"{subject}; on main already:", *(f"  {path}" for path in paths), "it waits for a decision")
    commit = None
    if not dry_run:
        commit = commit_record(ws.repo, ws.main_branch, {record.path: record.text}, compose(subject))
    said = (*said, *noted(ws))
    return Done(record.id, commit, said, {record.path: record.text}, dry_run=dry_run)


def _done_by(ws: Workspace, commit: Ancestor) -> Iterator[Touch | Edit]:
    """What a commit did to governed files; a merge, what it did beyond joining its lines."""
    if len(commit.parents) < 2:
        yield from (touch for touch in commit.touches if is_governed(touch.path))
    else:
        yield from (finding.edit for finding in ws.trail.verdict.open if commit.id in finding.commits)


def _on_main(ws: Workspace, text: str) -> Ancestor:
    commit = ws.revision(text, ws.only_model(None)).commit
    if commit is None or commit not in ws.trail.by_id:
        raise CallError(f"`{text}` is no commit of {ws.main_branch}", "name commits that main holds")
    return ws.trail.by_id[commit]


def _effect(ws: Workspace, landed: Sequence[Ancestor], model: str | None) -> dict[str, object]:
    """What the commits did together, where a model stood before them."""
    first = landed[0].parents[:1]
    if model is None or not first:
        return {}
    before = ws.read(ws.revision_of(first[0], None)).snapshot
    after = ws.read(ws.revision_of(landed[-1].id, None)).snapshot
    return _expected(before, after, model) if model in before.models and model in after.models else {}
