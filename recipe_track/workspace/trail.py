"""What main's whole ancestry says: where each record came from, what has an effect, what decisions cover."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from itertools import permutations
from typing import TYPE_CHECKING, Literal

from recipe_track.history.ancestry import Ancestor, Touch, ancestry
from recipe_track.history.record_signatures import SUFFIX, verify_record
from recipe_track.recipe.craft import Approval, Hull, Settings
from recipe_track.recipe.entitlement import DeciderFault, decider_fault
from recipe_track.recipe.hulls import renumbered
from recipe_track.recipe.ledger import Records
from recipe_track.recipe.paths import SETTINGS_PATH, RecipeFile, file_at
from recipe_track.recipe.people import is_entitled, mail_of, same_person
from recipe_track.recipe.records import (
    CONFIRMED,
    Action,
    Change,
    Decision,
    Deviation,
    Record,
    Step,
    Trial,
    Verification,
)
from recipe_track.recipe.states import lifts_hold, moves_hold
from recipe_track.trail import Change as DecidedChange
from recipe_track.trail import Edit, Verdict
from recipe_track.trail.edits import Standing, is_governed
from recipe_track.trail.texts import blob_id
from recipe_track.workspace.covering import covering
from recipe_track.workspace.edits import kept_texts
from recipe_track.workspace.in_force import DecidedSettings, SettingsInForce

if TYPE_CHECKING:
    from recipe_track.history.repository import Repository
    from recipe_track.history.signatures import Signature
    from recipe_track.workspace.assembly import Parser
    from recipe_track.workspace.contents import Blobs

Voided = (
    Literal["by-another", "not-signed", "signature-invalid", "no-correction", "other-version"] | DeciderFault
)
NO_FILE = RecipeFile("", "", None)
CRLF = b"\r\n"
KEPT_KINDS = ("record", "hull")  # written once


@dataclass(frozen=True, slots=True)
class Origin:
    """How a file that is written once came to be: what first added it, and what was done to it since."""

    path: str
    blob: str
    commit: Ancestor
    later: tuple[tuple[Ancestor, Touch], ...] = ()


class Trail:
    """What main contains, every line of it; made once for a tip."""

    def __init__(
        self, repo: Repository, blobs: Blobs, parser: Parser, tip: str, releases: Iterable[str] = ()
    ) -> None:
        self._repo, self._blobs, self._parser, self.tip = repo, blobs, parser, tip
        self._releases = tuple(dict.fromkeys(releases))

    @cached_property
    def ancestors(self) -> tuple[Ancestor, ...]:
        """Every commit behind the tip, parents first."""
        return ancestry(self._repo, self.tip)

    @cached_property
    def by_id(self) -> Mapping[str, Ancestor]:
        """The same by id."""
        return {commit.id: commit for commit in self.ancestors}

    def plain(self, blob: str) -> str:
        """The same for all blobs that differ by line ends alone."""
        return self._plain.get(blob, blob)

    @cached_property
    def _plain(self) -> Mapping[str, str]:
        """Blobs with line ends of another system → the blob with plain ones."""
        blobs = {t.after for commit in self.ancestors for t in commit.touches if is_governed(t.path)}
        texts = self._blobs.read({blob: blob for blob in blobs if blob.isalnum()})
        return {b: blob_id(text.replace(CRLF, b"\n"), b) for b, text in texts.items() if CRLF in text}

    @cached_property
    def origins(self) -> Mapping[str, Origin]:
        """Where each record and hull file came from, by its path as first added."""
        found: dict[str, Origin] = {}
        for commit in self.ancestors:
            for touch in commit.touches:
                file = file_at(touch.path)
                if file is None or file.kind not in KEPT_KINDS:
                    continue
                known = found.get(touch.path)
                if known is None:
                    if touch.after:
                        found[touch.path] = Origin(touch.path, touch.after, commit)
                elif (touch.before, touch.after) != ("", known.blob):
                    later = (*known.later, (commit, touch))
                    found[touch.path] = Origin(known.path, known.blob, known.commit, later)
        return found

    @cached_property
    def origin_of(self) -> Mapping[str, Origin]:
        """The origin of every record by its id; of two files with one id the first counts."""
        found: dict[str, Origin] = {}
        for origin in self.origins.values():
            file = file_at(origin.path)
            if file is not None and file.kind == "record":
                found.setdefault(file.id, origin)
        return found

    @cached_property
    def _texts(self) -> Mapping[str, bytes]:
        """The bytes of records, hull files and their signatures as they were first added, by path."""
        wanted = {origin.path: origin.blob for origin in self.origins.values()}
        for commit in self.ancestors:
            for touch in commit.touches:
                if (
                    touch.path.endswith(f".toml{SUFFIX}")
                    and touch.path.startswith("records/")
                    and touch.after
                ):
                    wanted.setdefault(touch.path, touch.after)
        return self._blobs.read(wanted)

    @cached_property
    def first_texts(self) -> Mapping[str, bytes]:
        """Records and hull files as they were first added, by path; of two with one id the first."""
        return {
            path: self._texts[path]
            for path, origin in self.origins.items()
            if (file := file_at(path)) is not None
            and (file.kind == "hull" or self.origin_of[file.id] is origin)
        }

    @cached_property
    def written(self) -> Records:
        """Every record as it was first added, whatever became of its file, void ones among them."""
        read = {i: self._parser.read(o.path, self._texts[o.path])[0] for i, o in self.origin_of.items()}
        return Records(
            {name: record for name, record in read.items() if record is not None},
            renumbered(self.hulls), came_before=self.came_before,
        )  # fmt: skip

    def came_before(self, one: str, other: str) -> bool | None:
        """Whether a record came to main before another; None on lines of which neither holds the other.

        What is not on main yet comes after all that is.
        """
        if one not in self.origin_of or other not in self.origin_of:
            return one in self.origin_of
        first, second = self.origin_of[one].commit.id, self.origin_of[other].commit.id
        if first == second:
            return None
        if first in self.behind(second):
            return True
        return False if second in self.behind(first) else None

    @cached_property
    def hulls(self) -> Mapping[str, Hull]:
        """Every hull file as it was first added."""
        files = ((file_at(path), path) for path in self.origins)
        named = {file.id: path for file, path in files if file is not None and file.kind == "hull"}
        read = {name: self._parser.read(path, self._texts[path])[0] for name, path in named.items()}
        return {name: hull for name, hull in read.items() if isinstance(hull, Hull)}

    @cached_property
    def records(self) -> Records:
        """The records with those that have no effect marked so."""
        return self.written.without_effect(self.void)

    @cached_property
    def void(self) -> Mapping[str, Voided]:
        """Records that have no effect, and why."""
        found: dict[str, Voided] = {}
        for name, record in self.written.items():
            why = self._why_void(name, record)
            if why is not None:
                found[name] = why
        return found

    def _why_void(self, name: str, record: Record) -> Voided | None:
        """A decision, an action or a correction counts only from the one it names."""
        if not isinstance(record, Decision | Action) and not record.replaces:
            return None
        signature = self.signature_of(name)
        if self._asks_for_signature(name) and signature.verdict != "good":
            return "not-signed" if signature.verdict == "none" else "signature-invalid"
        if self.is_by_another(name):
            return "by-another"
        if not self._names_content(name):
            return "other-version"
        if isinstance(record, Decision) and (fault := self._decider_fault(name, record)):
            return fault
        return "no-correction" if self.correction_fault(name) else None

    def _decider_fault(self, name: str, decision: Decision) -> DeciderFault | None:
        subject = self.subject_of(decision)
        return decider_fault(decision, subject, self.rules_for(name)) if subject is not None else None

    def subject_of(self, decision: Decision) -> Record | None:
        """What a decision is about, as it was corrected by whoever might."""
        name, seen = decision.about, {decision.about}
        while later := [n for n in self._corrections.get(name, ()) if n not in seen and self._corrects(n)]:
            name = later[-1]
            seen.add(name)
        return self.written.get(name)

    def _corrects(self, name: str) -> bool:
        return self.correction_fault(name) is None

    @cached_property
    def _corrections(self) -> Mapping[str, Sequence[str]]:
        """Observations and deviations → what names itself their correction."""
        found: dict[str, list[str]] = {}
        for name, record in self.written.items():
            if record.replaces and isinstance(record, Trial | Deviation) and not self.is_by_another(name):
                found.setdefault(record.replaces, []).append(name)
        return found

    def _names_content(self, name: str) -> bool:
        """Whether a decision on a change names the very record that was first added; others name none."""
        decision = self.written.all_of(Decision).get(name)
        if decision is None or decision.decision == CONFIRMED or not decision.about.startswith("C-"):
            return True
        origin = self.origin_of.get(decision.about)
        return origin is not None and self._is_blob_of(decision.decides, origin)

    def _is_blob_of(self, named: str | None, origin: Origin) -> bool:
        """Whether an id names what was first added, as this repository hashes or as one before it did."""
        if named is None or len(named) == len(origin.blob):
            return named == origin.blob
        return blob_id(self._texts[origin.path], named) == named

    def correction_fault(self, name: str) -> str | None:
        """Why a record cannot take the place of the one it names; None where it can, or names none."""
        record = self.written[name]
        earlier = self.written.get(record.replaces) if record.replaces else None
        if record.replaces is None or (earlier is None and isinstance(record, Change)):
            return None  # a proposal that was replaced before anyone decided stays on its branch
        if earlier is None:
            return "which is not on record"
        if earlier.kind != record.kind:
            return f"which is a {earlier.kind}"
        if isinstance(record, Decision | Verification):
            return "which is decided again, never corrected"
        if isinstance(record, Change):
            return None
        return self._no_right(name, record, earlier)

    def _no_right(self, name: str, record: Record, earlier: Record) -> str | None:
        """Its author corrects a record, or someone entitled; a hold is not lifted by who logged it."""
        rules, own = self.rules_for(name), same_person(record.by, earlier.by)
        if not own and not all(is_entitled(one, record.by) for one in rules):
            return f"which {earlier.by} wrote"
        if self._lifts_hold(name, earlier, record):
            if own and any(one.distinct_approver for one in rules):
                return "and so its own logger would lift a hold"
            if not all(is_entitled(one, record.by) for one in rules):
                return f"which takes someone entitled to decide, and {record.by} is not"
        return None

    def _lifts_hold(self, name: str, earlier: Record, record: Record) -> bool:
        """Whether a correction lowers what is a hold, or carries one elsewhere that nothing has ended yet."""
        if isinstance(earlier, Trial) and isinstance(record, Trial) and lifts_hold(earlier, record):
            return True
        before = self.behind(self.origin_of[name].commit.id)
        ended = any(
            self.origin_of[i].commit.id in before for i in self._deciding.get(record.replaces or "", ())
        )
        return not ended and moves_hold(earlier, record)

    @cached_property
    def _deciding(self) -> Mapping[str, Sequence[str]]:
        """Record → the decisions about it, sound or not."""
        found: dict[str, list[str]] = {}
        for name, decision in self.written.all_of(Decision).items():
            if decision.decision != CONFIRMED:
                found.setdefault(decision.about, []).append(name)
        return found

    def is_by_another(self, name: str) -> bool:
        """Whether nobody whom a record names has brought, signed or confirmed it."""
        if self._is_brought_by_own(name):
            return False
        return self.signature_of(name).verdict != "good" and name not in self._confirmed

    def _is_brought_by_own(self, name: str) -> bool:
        """Whether who a record names is author or committer of the commit that first added it."""
        record, commit = self.written[name], self.origin_of[name].commit
        people = (commit.author_mail, commit.committer_mail)
        # A shallow clone does not see who brought what was there before it begins.
        return commit.edge or any(same_person(record.by, person) for person in people)

    @cached_property
    def _confirmed(self) -> frozenset[str]:
        """Records that the person named has said to be as they wrote them."""
        found: set[str] = set()
        for name, decision in self.written.all_of(Decision).items():
            subject = self.written.get(decision.about)
            if decision.decision != CONFIRMED or subject is None:
                continue
            proven = self._is_brought_by_own(name) or self.signature_of(name).verdict == "good"
            exact = self._is_blob_of(decision.decides, self.origin_of[decision.about])
            if proven and exact and same_person(decision.by, subject.by):
                found.add(decision.about)
        return frozenset(found)

    def signature_of(self, name: str) -> Signature:
        """The signature beside a record, by the keys that the state before it vouches for."""
        if name not in self._signatures:
            rules = self.rules_before(self.origin_of[name].commit)
            keys = tuple(dict.fromkeys(key for one in rules for key in one.keys))
            self._signatures[name] = self._verified(name, keys)
        return self._signatures[name]

    def _verified(self, name: str, keys: tuple[str, ...]) -> Signature:
        path = self.origin_of[name].path
        person = mail_of(self.written[name].by)
        return verify_record(self._texts[path], self._texts.get(f"{path}{SUFFIX}"), person, keys)

    @cached_property
    def _signatures(self) -> dict[str, Signature]:
        return {}

    def _asks_for_signature(self, name: str) -> bool:
        return any(rules.signed for rules in self.rules_for(name))

    def rules_for(self, name: str) -> tuple[Approval, ...]:
        """The approval settings that a record must satisfy: those at the parents of what first added it.

        Where a merge brought it, those of the other side too, unless its own side had gone on from them.
        """
        commit = self.origin_of[name].commit
        joined = (self._approvals[b] for b in self._joined.get(commit.id, ()) if b in self._approvals)
        return tuple(dict.fromkeys((*self.rules_before(commit), *joined)))

    @cached_property
    def _joined(self) -> Mapping[str, Sequence[str]]:
        """Commit → the settings that another line had by then, when a merge joined the two."""
        found: dict[str, list[str]] = {}
        for merge in self.ancestors:
            settings = {parent: self._settings_at.get(parent, "") for parent in merge.parents}
            if len(set(settings.values())) < 2:
                continue
            for side, other in permutations(settings, 2):
                for commit, blob in self._meanwhile(side, other):
                    found.setdefault(commit, []).append(blob)
        return found

    def _meanwhile(self, side: str, other: str) -> Iterator[tuple[str, str]]:
        """Commits of one line, each with what the other line had put in force before it, and it never had.

        A line that never had settings of its own began beside the recipe, whatever dates it claims.
        """
        own = {self._settings_at[commit] for commit in self.behind(side)}
        foreign = [c for c in self.ancestors if c.id in self.behind(other) - self.behind(side)]
        for commit in self.behind(side) - self.behind(other):
            when = self.by_id[commit].date
            beside = not self._settings_at[commit]
            earlier = {self._settings_at[one.id] for one in foreign if beside or one.date < when}
            yield from ((commit, blob) for blob in earlier - own)

    def rules_before(self, commit: Ancestor) -> tuple[Approval, ...]:
        """The approval settings at the parents of a commit, each once; none before the first.

        Where a shallow clone ends the parents cannot be seen: what the commit itself holds is asked for.
        """
        before = (commit.id,) if commit.edge else commit.parents
        blobs = dict.fromkeys(self._settings_at.get(one, "") for one in before)
        return tuple(self._approvals[blob] for blob in blobs if blob in self._approvals)

    @property
    def approval(self) -> Approval | None:
        """The approval settings in force at the tip."""
        return self._approvals.get(self._settings_at.get(self.tip, ""))

    def approval_at(self, commit: str) -> Approval | None:
        """The approval settings in force at a commit of main; None for one off it, or without settings."""
        return self._approvals.get(self._settings_at.get(commit, ""))

    @cached_property
    def _settings_at(self) -> Mapping[str, str]:
        """The blob of the settings in force at every commit."""
        decided = tuple(self._decided_settings())
        return SettingsInForce(decided, self._settings_texts, self._settings).walk(self.ancestors)

    def _decided_settings(self) -> Iterator[DecidedSettings]:
        """Every decision that approves an edit of the settings, sound or not."""
        edits = {
            name: [edit for edit in change.edit if edit.path == SETTINGS_PATH]
            for name, change in self.written.all_of(Change).items()
        }
        for name, decision in self.written.all_of(Decision).items():
            if decision.decision == "approved" and self._names_content(name):
                for edit in edits.get(decision.about, ()):
                    commit = self.origin_of[name].commit.id
                    before, after = map(self._settings_blob, (edit.before, edit.after))
                    yield DecidedSettings(before, after, commit, partial(self._is_sound, name))

    def _settings_blob(self, named: str) -> str:
        """A version of the settings by the id that this repository has for it, however it was named."""
        same = (
            b for b, text in self._settings_texts.items() if b and named and blob_id(text, named) == named
        )
        return named if named in self._settings_texts else next(same, named)

    def is_sound(self, decision: str) -> bool:
        """Whether a decision on a change is by someone who might make it."""
        return self._is_sound(decision, self.rules_for(decision))

    def _is_sound(self, decision: str, rules: Sequence[Approval]) -> bool:
        """Whether a decision on a change is by someone who might make it, by some rules."""
        record, change = self.written[decision], self.written[self.written.all_of(Decision)[decision].about]
        keys = tuple(dict.fromkeys(key for one in rules for key in one.keys))
        signed = self._verified(decision, keys).verdict == "good"
        proven = signed or not (any(one.signed for one in rules) or not self._is_brought_by_own(decision))
        own = same_person(record.by, change.by) and any(one.distinct_approver for one in rules)
        return proven and not own and all(is_entitled(one, record.by) for one in rules)

    @cached_property
    def _settings_texts(self) -> Mapping[str, bytes]:
        """Every version of the settings there was."""
        touches = (t for commit in self.ancestors for t in commit.touches if t.path == SETTINGS_PATH)
        blobs = {blob for touch in touches for blob in (touch.before, touch.after) if blob.isalnum()}
        return self._blobs.read({blob: blob for blob in blobs})

    @cached_property
    def _approvals(self) -> Mapping[str, Approval]:
        """Approval settings by the blob of the settings; what cannot be read asks for nothing more."""
        return {blob: settings.approval for blob, settings in self._settings.items()}

    @property
    def settings(self) -> Settings | None:
        """The settings in force at the tip; None where they cannot be read."""
        return self._settings.get(self._settings_at.get(self.tip, ""))

    @cached_property
    def _settings(self) -> Mapping[str, Settings]:
        """Every version of the settings that can be read, by blob."""
        read = {b: self._parser.read(SETTINGS_PATH, text)[0] for b, text in self._settings_texts.items()}
        return {blob: found for blob, found in read.items() if isinstance(found, Settings)}

    @cached_property
    def decided(self) -> tuple[DecidedChange, ...]:
        """Every change on record with its edits and how it stands."""
        return tuple(self._decided(name, change) for name, change in self.written.all_of(Change).items())

    def _decided(self, name: str, change: Change) -> DecidedChange:
        standing, decision = self.standing_of(name)
        edits = tuple(Edit(edit.path, edit.before, edit.after) for edit in change.edit)
        where = self.origin_of[decision].path if decision else ""
        return DecidedChange(name, standing, edits, self.origin_of[name].path, where)

    def standing_of(self, change: str) -> tuple[Standing, str | None]:
        """How a change stands by the decisions that name just its record, and the one that says so."""
        origin = self.origin_of[change]
        decisions = self.records.decisions_about(change)
        fitting = [(i, d) for i, d in decisions if self._is_blob_of(d.decides, origin)]
        for name, decision in reversed(fitting):
            if decision.decision in ("approved", "rejected"):
                return ("approved" if decision.decision == "approved" else "rejected"), name
        return "undecided", None

    @cached_property
    def verdict(self) -> Verdict:
        """What landed on main, what no decision covers, what is missing."""
        kept = kept_texts(self.written.all_of(Change).values())
        built = [step.commit for step in self.written.all_of(Step).values() if step.commit]
        asked = [commit for commit in dict.fromkeys((*self._releases, *built)) if commit in self.by_id]
        return covering(self._repo, self.tip, self.decided, texts=kept, asked=asked, commits=self.ancestors)

    def holds(self, commit: str, change: str) -> bool:
        """Whether a release, or what a part was built to, contains every edit of a change; False off main."""
        edits = {decided.id: len(decided.edits) for decided in self.decided}
        return commit in self.verdict.held and self.verdict.holds(commit, change, edits.get(change, 0))

    def behind(self, commit: str) -> frozenset[str]:
        """A commit of main and all that it contains; empty for one off main."""
        if commit not in self._behind:
            wanted = {commit} & self.by_id.keys()
            for known in reversed(self.ancestors) if wanted else ():  # children before parents
                if known.id in wanted:
                    wanted.update(known.parents)
            self._behind[commit] = frozenset(wanted & self.by_id.keys())
        return self._behind[commit]

    @cached_property
    def _behind(self) -> dict[str, frozenset[str]]:
        return {}

    def who_altered(self, origin: Origin) -> Ancestor:
        """The last commit that had a file as it was first added before it, and has it otherwise or no more.

        A merge that dropped it is one, though git tells of a merge against its first parent alone.
        """
        held: dict[str, str] = {}
        found = origin.commit
        for commit in self.ancestors:
            before = [held.get(parent, "") for parent in commit.parents]
            after = next((t.after for t in commit.touches if t.path == origin.path), (*before, "")[0])
            held[commit.id] = after
            if origin.blob in before and after != origin.blob:
                found = commit
        return found

    def touching(self, path: str) -> Iterator[tuple[Ancestor, Touch]]:
        """What was done to a file, oldest first."""
        for commit in self.ancestors:
            for touch in commit.touches:
                if touch.path == path:
                    yield commit, touch


def now_at(origins: Sequence[Origin], files: Mapping[str, str]) -> Iterator[tuple[Origin, str | None]]:
    """Files that are not as they were first added, with the blob they have now, None where they are gone."""
    for origin in origins:
        blob = files.get(origin.path)
        if blob != origin.blob:
            yield origin, blob
