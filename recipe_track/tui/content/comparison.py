"""What the Compare screen shows: a comparison, which zones each reason touched, and lookups."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.figures.results import ZoneFigures
from recipe_track.impact.effects import ZoneImpact
from recipe_track.present.words.comparison import by_effect
from recipe_track.recipe.layup import Zone
from recipe_track.review.change.comparison import Comparison, compare
from recipe_track.review.change.reasons import Reason
from recipe_track.review.past.course import zones_touched
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class ComparisonView:
    """A comparison and, by commit, the zones whose files that commit changed."""

    comparison: Comparison
    touched: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def zones(self) -> tuple[ZoneImpact, ...]:
        """Changed zones by the size of the effect, then the others by name."""
        zones = self.comparison.impact.zones
        changed = by_effect([z for z in zones if z.status != "unchanged"])
        return (*changed, *(z for z in zones if z.status == "unchanged"))

    @property
    def currency(self) -> str | None:
        """The currency of the costs shown."""
        return self.comparison.currency

    def reasons_for(self, zone: ZoneImpact) -> tuple[tuple[Reason, ...], tuple[Reason, ...]]:
        """Reasons whose commit touched a zone or an observation names it, and the other ones."""
        names = {zone.zone, zone.before_zone}
        near = tuple(r for r in self.comparison.reasons if names & self._zones_of(r))
        return near, tuple(r for r in self.comparison.reasons if r not in near)

    def _zones_of(self, reason: Reason) -> set[str | None]:
        return {*self.touched.get(reason.commit or "", ()), *(seen.zone for seen in reason.observations)}

    def figures(self, zone: ZoneImpact) -> tuple[ZoneFigures | None, ZoneFigures | None]:
        """The figures of a zone on either side."""
        before, after = self.comparison.before.zones(), self.comparison.after.zones()
        return before.get(zone.before_zone or ""), after.get(name_after(zone) or "")

    def case(self, zone: ZoneImpact, after: bool) -> ZoneCase | None:
        """A zone of one side with the materials and prices in force there."""
        side = self.comparison.after if after else self.comparison.before
        tree = side.snapshot.models.get(self.comparison.model)
        name = name_after(zone) if after else zone.before_zone
        return next((c for c in zone_cases(side.snapshot, tree) if c.name == name), None) if tree else None

    def written(self, zone: ZoneImpact) -> Zone | None:
        """A zone as it is written, on the after side if it exists there."""
        case = self.case(zone, True) or self.case(zone, False)
        return case.zone if case else None


def name_after(zone: ZoneImpact) -> str | None:
    """The name on the after side; None for a zone that is gone."""
    return None if zone.status == "removed" else zone.zone


def view_comparison(ws: Workspace, before: str | None, after: str | None, model: str) -> ComparisonView:
    """Compare two revisions and note which zones every reason's commit touched."""
    comparison = compare(ws, before, after, model)
    wanted = {reason.commit for reason in comparison.reasons}
    touched = {commit.id: zones_touched(commit, model) for commit in ws.commits if commit.id in wanted}
    return ComparisonView(comparison, touched)
