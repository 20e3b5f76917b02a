"""The walk over every commit that main contains, parents first: what landed where, and what nothing covers.

What landed on a file is a set that only grows from parent to child. A change is in it once, however many
parallel lines carried a copy; what nothing covers enters it as a finding, so that merges know of it.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import reduce
from operator import or_

from recipe_track.trail.covering import Bits, Chain, Coverer, Question
from recipe_track.trail.edits import NONE, SETTINGS, Change, Commit, Edit, Standing, subject_of
from recipe_track.trail.line import Line, Stages
from recipe_track.trail.meeting import Meeting, Side, edits_against, judge
from recipe_track.trail.moves import Formerly, Kind, Names, Token, finding_move, moves_of
from recipe_track.trail.tally import Found, recorded, verdict
from recipe_track.trail.texts import Merger, Read, Texts, git_joins
from recipe_track.trail.verdict import Landing, Verdict

IsFree = Callable[[bytes, bytes], bool]  # settings before and after: whether their edit needs no decision


def walk(
    commits: Sequence[Commit],
    changes: Sequence[Change],
    read: Read,
    *,
    asked: Iterable[str] = (),
    mergers: Sequence[Merger] = (git_joins,),
    formerly: Formerly = lambda _path, _text: (),
    is_free: IsFree = lambda _before, _after: False,
) -> Verdict:
    """Judge every commit; the last one given is main's tip.

    `commits` stand parents before children; `read` gives the text of a blob, None where it is lost; `asked`
    are commits, releases say, to answer for beside the tip; the first of the `mergers` that is clean counts.
    """
    texts = Texts(read, mergers)
    names = Names(formerly, texts)
    for commit in commits:
        for gone, came in names.pairs(commit.edits):
            names.join(gone.path, came.path)
    records = {change.id: change.record for change in changes}
    coverer = Coverer(texts, moves_of(changes, names), Bits(), records)
    walker = _Walk(
        coverer, names, Stages(names), changes, is_free, frozenset(asked),
        recorded={path: change for change in changes for path in (change.record, change.decision) if path},
        standing={change.id: change.standing for change in changes},
    )  # fmt: skip
    return walker.judge(commits)


@dataclass
class _Walk:
    coverer: Coverer
    names: Names
    stages: Stages
    changes: Sequence[Change]
    is_free: IsFree
    asked: frozenset[str]
    recorded: Mapping[str, Change]
    standing: Mapping[str, Standing]
    lines: dict[str, Line] = field(default_factory=dict)
    early: dict[Token, tuple[Commit, Edit]] = field(default_factory=dict)
    waiting: Counter[str] = field(default_factory=Counter)
    found: Found = field(default_factory=Found)

    def judge(self, commits: Sequence[Commit]) -> Verdict:
        """Walk, then add up."""
        self.waiting = Counter(parent for commit in commits for parent in commit.parents)
        self.waiting.update(self.asked)  # these lines are kept
        self.waiting.update(commit.id for commit in commits[-1:])
        for commit in commits:
            self.lines[commit.id] = self._line(commit)
        kept = [*dict.fromkeys([*(c.id for c in commits[-1:]), *(a for a in self.asked if a in self.lines)])]
        lines = {commit: self.lines[commit] for commit in kept}
        return verdict(self.found, lines, self.changes, self.coverer, self.names)

    def _line(self, commit: Commit) -> Line:
        parents = [self._take(parent) for parent in commit.parents if parent in self.lines]
        records = self.coverer.bits.mask(recorded(path) for path in commit.records if path in self.recorded)
        line = parents[0] if parents else Line()
        line.records |= reduce(or_, (parent.records for parent in parents), records)
        if commit.edge:
            self._edge(commit, line)
        elif len(parents) < 2:
            self._follow(commit, line)
        else:
            line = self._meet(commit, parents)
        self._settle_first(commit, line)
        return line

    def _take(self, parent: str) -> Line:
        """A parent's state: itself for the last that asks, a copy for all before."""
        self.waiting[parent] -= 1
        return self.lines.pop(parent) if self.waiting[parent] == 0 else self.lines[parent].copy()

    def _edge(self, commit: Commit, line: Line) -> None:
        """Where a shallow clone begins, what is decided there counts as landed: nothing shows otherwise."""
        line.write(commit.edits)
        held = [change for change in self.changes if change.decision in commit.records]
        tokens: dict[str, list[Token]] = defaultdict(list)
        for change in held:
            for number, edit in enumerate(change.edits):
                tokens[edit.path].append(Token("landed", change.id, number))
        for path, _, blob in commit.edits:
            unseen = Token("unseen", "", 0, Edit(path, NONE, commit.id))
            self._land(path, line, [unseen, *tokens.pop(path, ())], blob)
        for path, rest in tokens.items():
            self._land(path, line, rest, NONE)

    def _follow(self, commit: Commit, line: Line) -> None:
        """A commit with one parent."""
        before = line.subjects
        line.write(commit.edits)
        pairs = self.names.pairs(commit.edits)
        paired = {edit for pair in pairs for edit in pair}
        for gone, came in pairs:
            self._rename(commit, line, gone, came)
        for edit in commit.edits:
            if edit not in paired:
                have = line.landed.get(edit.path, 0)
                tokens = self._tokens(commit, edit, line, have, subject_of(edit.path) not in before)
                self._land(edit.path, line, tokens, edit.after)

    def _rename(self, commit: Commit, line: Line, gone: Edit, came: Edit) -> None:
        have = line.landed.get(gone.path, 0) | line.landed.get(came.path, 0)
        done = Edit(came.path, gone.before, came.after)
        question = Question(
            *done, have, renames=(gone.path, came.path), claims=commit.claims, records=line.records
        )
        chain = self._covered(question)
        if chain is None:
            tokens = [
                *self._tokens(commit, gone, line, have, False),
                *self._tokens(commit, came, line, have, False),
            ]
        else:
            tokens = self._landed(commit, chain, done)
        line.landed[came.path] = have
        self._land(came.path, line, tokens, came.after)
        line.landed[gone.path] = line.landed[came.path]

    def _tokens(self, commit: Commit, edit: Edit, line: Line, have: int, first: bool) -> list[Token]:
        """What lands with an edit of one parent."""
        question = Question(*edit, have, claims=commit.claims, records=line.records, present=first)
        chain = self.coverer.cover(question)
        if chain is not None:
            self._note_early(commit, chain, edit, question)
            return self._landed(commit, chain, edit)
        if self._is_free(edit):
            return [self._own("free", edit, have)]
        if first and not self._is_rejected(edit):
            return [self._own("first", edit, have)]
        chain = self.coverer.cover(replace(question, decided=False, present=False))
        if chain is not None:
            return self._landed(commit, chain, edit)
        chain = self._made_before(question)
        return [self._finding(commit, edit, have)] if chain is None else self._landed(commit, chain, edit)

    def _note_early(self, commit: Commit, chain: Chain, edit: Edit, question: Question) -> None:
        """Remember what landed before its record came, which is so with `--landed` and long proposals."""
        for move in chain:
            if self.coverer.is_absent(move, question):
                self.early.update(dict.fromkeys(move.tokens, (commit, edit)))

    def _made_before(self, question: Question) -> Chain | None:
        """The change that an edit makes by its record, though an earlier undecided one was taken for it.

        Then the earlier one is found, with its own commit and person.
        """
        taken = [token for token in self.early if self.coverer.bits.has(question.have, token)]
        if not taken:
            return None
        have = question.have & ~self.coverer.bits.mask(taken)
        chain = self.coverer.cover(replace(question, have=have, decided=True, present=True))
        for move in chain or ():
            for token in move.tokens:
                if token in taken:
                    commit, edit = self.early.pop(token)
                    self.found.findings.setdefault(Token("finding", "", 0, edit), []).append(commit)
        return chain

    def _is_rejected(self, edit: Edit) -> bool:
        """A first issue needs no decision, but heeds one."""
        return any(
            self.standing.get(token.change) == "rejected" and move.after == edit.after
            for move in self.coverer.moves.starting(edit.path, edit.before)
            for token in move.tokens
        )

    def _settle_first(self, commit: Commit, line: Line) -> None:
        """A record that comes after a first issue it holds finds it landed, if nothing happened since."""
        for record in commit.records:
            change = self.recorded.get(record)
            for number, edit in enumerate(change.edits if change is not None else ()):
                landed = line.landed.get(edit.path, 0)
                self._settle_early(Token("landed", change.id if change else "", number), edit, line)
                issued = self.coverer.bits.has(landed, Token("first", "", 0, edit))
                if issued and line.blobs.get(edit.path, NONE) == edit.after:
                    token = Token("landed", change.id if change else "", number)
                    if not self.coverer.bits.has(landed, token):
                        self._landed_later(commit, line, token, edit)

    def _settle_early(self, token: Token, edit: Edit, line: Line) -> None:
        """Where a record comes and its edit is still there, it was that edit which landed."""
        here = line.blobs.get(edit.path, NONE)
        texts = self.coverer.texts
        if token in self.early and any(
            texts.same(blob, here) for blob in texts.merged(edit.path, edit.before, here, edit.after)
        ):
            del self.early[token]

    def _landed_later(self, commit: Commit, line: Line, token: Token, edit: Edit) -> None:
        self.found.landings.append(Landing(token.change, token.number, commit.id, edit))
        self._land(edit.path, line, [token], edit.after)

    def _covered(self, question: Question) -> Chain | None:
        """By what was decided, else by what was proposed."""
        chain = self.coverer.cover(question)
        return self.coverer.cover(replace(question, decided=False)) if chain is None else chain

    def _landed(self, commit: Commit, chain: Chain, done: Edit) -> list[Token]:
        tokens = [token for move in chain for token in move.tokens]
        open_ones = {token for move in chain if not move.decided for token in move.tokens}
        for token in tokens:
            if token.kind == "landed":
                self.found.landings.append(Landing(token.change, token.number, commit.id, done))
            if token in open_ones:
                self.found.findings.setdefault(token, []).append(commit)
        return tokens

    def _finding(self, commit: Commit, edit: Edit, have: int) -> Token:
        token = self._own("finding", edit, have)
        self.found.findings.setdefault(token, []).append(commit)
        return token

    def _own(self, kind: Kind, edit: Edit, have: int) -> Token:
        """A token that is the edit itself; a merge may carry it to the other side."""
        number = 0
        while self.coverer.bits.has(have, Token(kind, "", number, edit)):
            number += 1
        token = Token(kind, "", number, edit)
        if token not in self.found.findings:
            self.coverer.moves.add(edit.path, finding_move(edit, token))
        return token

    def _land(self, path: str, line: Line, tokens: Iterable[Token], blob: str) -> None:
        line.landed[path] = line.landed.get(path, 0) | self.coverer.bits.mask(tokens)
        self.stages.note(path, line.landed[path], blob)

    def _is_free(self, edit: Edit) -> bool:
        if edit.path != SETTINGS or NONE in (edit.before, edit.after):
            return False
        before, after = self.coverer.texts.text(edit.before), self.coverer.texts.text(edit.after)
        return before is not None and after is not None and self.is_free(before, after)

    def _meet(self, commit: Commit, parents: Sequence[Line]) -> Line:
        """A merge: every file in which the parents, or the result, differ."""
        first, *others = parents
        touched = set().union(*(first.differing(other) for other in others))
        touched |= {edit.path for edit in commit.edits}
        line = first.copy()
        line.subjects = frozenset().union(*(parent.subjects for parent in parents))
        line.write(commit.edits)
        known = frozenset().union(*(parent.subjects for parent in parents))
        brought: dict[str, None] = {}
        for meeting, old in self._meetings(commit, parents, line, touched):
            landed = self._settle(commit, meeting, subject_of(meeting.path) not in known)
            for path in (meeting.path, *([old] if old else [])):
                brought.update(self._changes_in(landed & ~first.landed.get(path, 0)))
                line.landed[path] = landed
            self.stages.note(meeting.path, landed, meeting.result)
        self.found.joined[commit.id] = tuple(brought)
        return line

    def _changes_in(self, mask: int) -> dict[str, None]:
        return dict.fromkeys(
            token.change for token in self.coverer.bits.within(mask) if token.kind == "landed"
        )

    def _meetings(
        self, commit: Commit, parents: Sequence[Line], line: Line, touched: set[str]
    ) -> Iterator[tuple[Meeting, str | None]]:
        renamed = self._renamed(parents, line, touched)
        done = set(renamed.values())
        for path in sorted(touched - done):
            old = renamed.get(path)
            sides = tuple(_side(parent, path, old) for parent in parents)
            yield Meeting(path, sides, line.blobs.get(path, NONE), commit.claims, line.records), old

    def _renamed(self, parents: Sequence[Line], line: Line, touched: set[str]) -> dict[str, str]:
        """New and old path of files that one side has under its new name, and another under its old one."""
        found: dict[str, str] = {}
        for path in sorted(touched):
            blob = line.blobs.get(path)
            if blob is None or all(path in parent.blobs for parent in parents):
                continue
            if len({self.names.of(other) for other in touched if other != path} & {self.names.of(path)}) == 0:
                continue
            old = next((name for name in sorted(self.names.former(path, blob)) if name in touched), None)
            if old is not None and old not in line.blobs and old not in found.values():
                found[path] = old
        return found

    def _settle(self, commit: Commit, meeting: Meeting, first: bool) -> int:
        """What has landed on one file after a merge."""
        bits, union = self.coverer.bits, meeting.union
        outcome = judge(meeting, self.coverer, self.stages)
        if not outcome.chains and not outcome.wronged:
            return union
        if outcome.wronged and self._is_unseen(meeting):
            self.found.unseen.append(commit.id)
            return union
        tokens: list[Token] = []
        for chain in outcome.chains:
            new = tuple(move for move in chain if bits.mask(move.tokens) & ~union)
            tokens += self._landed(commit, new, Edit(meeting.path, meeting.sides[0].blob, meeting.result))
        edits = [edit for side in outcome.wronged for edit in edits_against(meeting, side)]
        if edits and all(self._is_free(edit) for edit in edits):
            tokens += [self._own("free", edit, union) for edit in edits]
        elif edits and first:
            tokens += [self._own("first", edit, union) for edit in edits]
        else:
            tokens += [self._finding(commit, edit, union) for edit in dict.fromkeys(edits)]
        return union | bits.mask(tokens)

    def _is_unseen(self, meeting: Meeting) -> bool:
        """Whether a side comes from beyond the edge of a shallow clone by another way than the others."""
        sets = [
            frozenset(token for token in self.coverer.bits.within(side.landed) if token.kind == "unseen")
            for side in meeting.sides
        ]
        return len(set(sets)) > 1


def _side(parent: Line, path: str, old: str | None) -> Side:
    landed = parent.landed.get(path, 0) | (parent.landed.get(old, 0) if old else 0)
    if old is not None and path not in parent.blobs and old in parent.blobs:
        return Side(old, parent.blobs[old], landed)
    return Side(path, parent.blobs.get(path, NONE), landed)
