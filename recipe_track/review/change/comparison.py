"""Two revisions of a model, the figures of both, what the change does and why it was made."""

from collections.abc import Mapping
from dataclasses import dataclass

from recipe_track.figures.craft import figures_of
from recipe_track.figures.results import CraftFigures, ModelFigures, ZoneFigures
from recipe_track.history.log import renamed
from recipe_track.impact.comparing import compare_models
from recipe_track.impact.effects import Impact
from recipe_track.recipe.paths import zone_at
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.change.minima import Checked, checked_states, with_holds_and_notes
from recipe_track.review.change.reach import BuiltSide, ChangeReach, reach_of, sides_of_parts
from recipe_track.review.change.reasons import Reason, reasons_between
from recipe_track.review.change.uncertainty import Uncertainties, uncertainties_of
from recipe_track.workspace import Revision, Workspace


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a comparison; no figures where the model does not exist at this revision."""

    revision: Revision
    snapshot: Snapshot
    figures: ModelFigures | None
    hulls: tuple[str, ...]

    def zones(self) -> dict[str, ZoneFigures]:
        """Figures of the zones by name."""
        return {z.zone: z for z in self.figures.zones} if self.figures else {}


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything that `compare` shows."""

    model: str
    before: Side
    after: Side
    reasons: tuple[Reason, ...]
    impact: Impact
    reach: ChangeReach
    uncertainties: Uncertainties

    @property
    def currency(self) -> str | None:
        """The currency of the costs shown."""
        figures = self.after.figures or self.before.figures
        return figures.currency if figures else None

    @property
    def craft(self) -> CraftFigures | None:
        """The craft after the change."""
        return self.after.figures.craft if self.after.figures else None


def compare(
    ws: Workspace, before: str | None, after: str | None, model: str | None, with_causes: bool = True
) -> Comparison:
    """Compare two revisions as a person names them; by default the last release with the working files.

    Raises CallError for unknown revisions or models, InvalidRecipe where one side does not validate.
    """
    old, new = ws.pair(before, after, ws.only_model(model))
    return compare_revisions(ws, old, new, model, with_causes)


def compare_revisions(
    ws: Workspace, old: Revision, new: Revision, model: str | None, with_causes: bool = True
) -> Comparison:
    """Compare two revisions: all that is needed is fetched first, then computed; raises as `compare` does."""
    return joined(fetch(ws, old, new, model), with_causes)


@dataclass(frozen=True, slots=True)
class Fetched:
    """All that a comparison is made of, as values: after this nobody asks git anything."""

    model: str
    revisions: tuple[Revision, Revision]
    snapshots: tuple[Snapshot, Snapshot]
    checked: tuple[Checked, Checked]
    current: Snapshot
    as_of: Revision | None
    renames: Mapping[str, str]
    reasons: tuple[Reason, ...]
    built: Mapping[tuple[str, str], BuiltSide]


def fetch(ws: Workspace, old: Revision, new: Revision, model: str | None) -> Fetched:
    """Both revisions, what git takes for renamed, the changes between, and the hulls and records of today."""
    ws.gather(old, new)
    snapshots = ws.snapshot(old), ws.snapshot(new)
    chosen = ws.model_of(model, *snapshots)
    current = ws.current()
    return Fetched(
        chosen,
        (old, new),
        snapshots,
        (checked_states(ws, snapshots[0], chosen), checked_states(ws, snapshots[1], chosen)),
        current,
        ws.revision_of(ws.tip(), chosen) if ws.refs.main else None,
        _renames(ws, old, new, snapshots, chosen),
        reasons_between(ws, old, new, chosen),
        sides_of_parts(ws, current, chosen, (old, new)),
    )


def joined(fetched: Fetched, with_causes: bool = True) -> Comparison:
    """Figures and impact, computed from values alone, and the answer put together."""
    before, after = fetched.snapshots
    sides = _side(fetched, 0), _side(fetched, 1)
    impact = compare_models(
        before, after, fetched.model, sides[0].figures, sides[1].figures, fetched.renames, with_causes
    )
    reach = reach_of(fetched.model, fetched.current, fetched.as_of, fetched.built, fetched.snapshots, impact)
    return Comparison(
        fetched.model, *sides, fetched.reasons, impact, reach, uncertainties_of(before, after, impact)
    )


def _side(fetched: Fetched, which: int) -> Side:
    revision, snapshot = fetched.revisions[which], fetched.snapshots[which]
    figures = None
    if fetched.model in snapshot.models:
        plain = figures_of(snapshot, fetched.model)
        figures = with_holds_and_notes(plain, snapshot, fetched.current, fetched.checked[which])
    return Side(revision, snapshot, figures, hulls_at(fetched.current, revision, fetched.model))


def hulls_at(records: Snapshot, revision: Revision, model: str) -> tuple[str, ...]:
    """Hulls with a part built to a revision, by its label or the commit it stood for."""
    if revision.commit is None:
        return ()
    return tuple(
        number
        for number, hull in sorted(records.hulls.items())
        if hull.model == model
        and any(
            p.revision == revision.label or p.commit == revision.commit for p in records.hull_parts(number)
        )
    )


def _renames(
    ws: Workspace, before: Revision, after: Revision, snapshots: tuple[Snapshot, Snapshot], model: str
) -> dict[str, str]:
    """Zones that git takes for renamed, new name → old name; asked only where names differ on both sides."""
    old, new = (snapshot.zones_of(model).keys() for snapshot in snapshots)
    if not old - new or not new - old or before.commit is None or after.commit is None:
        return {}
    paths = renamed(ws.repo, before.commit, after.commit, f"models/{model}")
    names = {zone_at(n, model): zone_at(o, model) for n, o in paths.items()}
    return {n: o for n, o in names.items() if n in new and o in old}
