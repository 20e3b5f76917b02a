"""What each layer of a zone gives: its weight, its cost, and the zone without it."""

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer, Static

from recipe_track.figures.layers import ZoneLayers, layer_figures
from recipe_track.impact.effects import ZoneImpact
from recipe_track.tui.content.layers import COLUMNS, layer_page, layer_rows
from recipe_track.tui.content.sight import Sight
from recipe_track.tui.plaintext import line, lines
from recipe_track.tui.widgets.rows import RowList


class LayersScreen(Screen[None]):
    """One side of a zone; the other side is a key away."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "app.pop_screen", "back"),
        Binding("s", "side", "other side"),
    ]

    def __init__(self, sight: Sight, zone: ZoneImpact) -> None:
        super().__init__()
        self._sight, self._zone = sight, zone
        self._after = zone.status != "removed"
        self._layers: ZoneLayers | None = None

    def compose(self) -> ComposeResult:
        """Heading, one row per line, the line under the cursor in full."""
        yield Static(id="heading", markup=False)
        yield RowList(COLUMNS, id="layers", empty="no layers here")
        yield Static(id="layer", markup=False)
        yield Footer(compact=True, show_command_palette=False)

    def on_mount(self) -> None:
        """Show the side after the change, if the zone is there."""
        self.query_one("#layers").focus()
        self._show()

    def _show(self) -> None:
        comparison = self._sight.comparison
        side = comparison.after if self._after else comparison.before
        case = self._sight.case(self._zone, self._after)
        self._layers = layer_figures([case])[0] if case is not None else None
        heading = lines(
            [
                line((f"What each layer gives · {self._zone.zone} at {side.revision.shown}", "bold")),
                line(("EI and deflection: how they change when the line is left out", "$text-muted")),
            ]
        )
        self.query_one("#heading", Static).update(heading)
        self.query_one("#layers", RowList).show(layer_rows(self._layers) if self._layers else ())
        if self._layers is None or not self._layers.layers:
            self.query_one("#layer", Static).update(line(""))

    @on(RowList.Highlighted)
    def detail(self, event: RowList.Highlighted) -> None:
        """The line under the cursor in full."""
        case = self._sight.case(self._zone, self._after)
        if self._layers is not None and case is not None:
            layer = self._layers.layers[int(event.key) - 1]
            written = case.zone.layup[layer.line - 1]
            page = layer_page(self._layers, layer, written, self._sight.currency)
            self.query_one("#layer", Static).update(page)

    def action_side(self) -> None:
        """Before instead of after, or back."""
        self._after = not self._after
        self._show()
