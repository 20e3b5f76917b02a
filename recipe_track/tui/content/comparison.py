"""What the Compare screen shows: a comparison, which zones each reason touched, and lookups."""

from dataclasses import dataclass

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.figures.results import ZoneFigures
from recipe_track.impact.effects import ZoneImpact
from recipe_track.impact.materials import files_behind
from recipe_track.present.words.comparison import by_effect
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.paths import zone_path
from recipe_track.review.change.comparison import Comparison, compare
from recipe_track.review.change.reasons import Reason
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class ComparisonView:
    """A comparison with what its zones are looked up for."""

    comparison: Comparison

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
        """Reasons that edited a zone, its part or material, or answer an observation there; the others."""
        names = {zone.zone, zone.before_zone}
        files = self._files_of(zone)
        near = tuple(
            reason
            for reason in self.comparison.reasons
            if files.intersection(reason.paths) or any(seen.zone in names for seen in reason.observations)
        )
        return near, tuple(r for r in self.comparison.reasons if r not in near)

    def _files_of(self, zone: ZoneImpact) -> frozenset[str]:
        """The files that make a zone what it is on either side."""
        model, sides = self.comparison.model, (self.comparison.before, self.comparison.after)
        names = [name for name in (zone.zone, zone.before_zone) if name is not None]
        behind = (files_behind(side.snapshot, model, name) for side in sides for name in names)
        return frozenset(zone_path(model, name) for name in names).union(*behind)

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
    """Compare two revisions for the Compare screen."""
    return ComparisonView(compare(ws, before, after, model))
