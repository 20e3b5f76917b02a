"""Two revisions of a model, the figures of both, what the change does and why it was made."""

from dataclasses import dataclass

from recipe_track.figures.craft import figures_of
from recipe_track.figures.results import CraftFigures, ModelFigures, ZoneFigures
from recipe_track.history.log import renamed
from recipe_track.impact.comparing import compare_models
from recipe_track.impact.effects import Impact
from recipe_track.recipe.paths import zone_at
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.change.minima import with_holds_and_notes
from recipe_track.review.change.reach import ChangeReach, reach_of
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
    """Compare two revisions; raises as `compare` does."""
    ws.gather(old, new)
    snapshots = ws.snapshot(old), ws.snapshot(new)
    chosen = ws.model_of(model, *snapshots)
    sides = tuple(
        _side(ws, revision, snapshot, chosen)
        for revision, snapshot in zip((old, new), snapshots, strict=True)
    )
    impact = compare_models(
        snapshots[0], snapshots[1], chosen, sides[0].figures, sides[1].figures,
        _renames(ws, sides[0], sides[1], chosen), with_causes,
    )  # fmt: skip
    reasons = reasons_between(ws, old, new, chosen)
    reach = reach_of(ws, chosen, (old, new), snapshots, impact)
    uncertainties = uncertainties_of(snapshots[0], snapshots[1], impact)
    return Comparison(chosen, sides[0], sides[1], reasons, impact, reach, uncertainties)


def _side(ws: Workspace, revision: Revision, snapshot: Snapshot, model: str) -> Side:
    figures = None
    if model in snapshot.models:
        figures = with_holds_and_notes(ws, figures_of(snapshot, model), snapshot)
    return Side(revision, snapshot, figures, hulls_at(ws.current(), revision, model))


def hulls_at(records: Snapshot, revision: Revision, model: str) -> tuple[str, ...]:
    """Hulls with a part built to a revision, by its label or the commit it stood for."""
    if revision.commit is None:
        return ()
    return tuple(
        number
        for number, hull in sorted(records.hulls.items())
        if hull.model == model
        and any(p.revision == revision.label or p.commit == revision.commit for p in hull.part)
    )


def _renames(ws: Workspace, before: Side, after: Side, model: str) -> dict[str, str]:
    """Zones that git takes for renamed, new name → old name; asked only where names differ on both sides."""
    old, new = before.zones().keys(), after.zones().keys()
    if not old - new or not new - old or before.revision.commit is None or after.revision.commit is None:
        return {}
    paths = renamed(ws.repo, before.revision.commit, after.revision.commit, f"models/{model}")
    names = {zone_at(n, model): zone_at(o, model) for n, o in paths.items()}
    return {n: o for n, o in names.items() if n in new and o in old}
