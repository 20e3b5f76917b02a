"""What each layer of a zone gives: its weight, its cost, and the zone without it."""

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer, Static

from recipe_track.figures.layers import layer_figures
from recipe_track.figures.results import LayerFigures, ZoneLayers
from recipe_track.impact.effects import ZoneImpact
from recipe_track.present.words.figures import exceeded_lines
from recipe_track.tui.content.comparison import ComparisonView
from recipe_track.tui.content.layers import layer_columns, layer_listing, layer_page
from recipe_track.tui.text import line, lines
from recipe_track.tui.widgets.listing import Browser
from recipe_track.tui.widgets.rows import RowList


class LayersScreen(Screen[None]):
    """One side of a zone; the other side is a key away."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "app.pop_screen", "back"),
        Binding("s", "side", "other side"),
    ]

    def __init__(self, view: ComparisonView, zone: ZoneImpact) -> None:
        super().__init__()
        self._view, self._zone = view, zone
        self._after = zone.status != "removed"
        self._layers: ZoneLayers | None = None
        case = view.case(zone, self._after)
        self._browser = Browser[LayerFigures](
            layer_columns(case.zone.form if case is not None else "plate"), "no layers here"
        )

    def compose(self) -> ComposeResult:
        """Heading, one row per line, the line under the cursor in full."""
        yield Static(id="heading", markup=False)
        yield self._browser
        yield Footer(compact=True, show_command_palette=False)

    def on_mount(self) -> None:
        """Show the side after the change, if the zone is there."""
        self._browser.rows.focus()
        self._show()

    def _show(self) -> None:
        comparison = self._view.comparison
        side = comparison.after if self._after else comparison.before
        case = self._view.case(self._zone, self._after)
        self._layers = layer_figures([case])[0] if case is not None else None
        over = exceeded_lines(self._layers.figures) if self._layers else ()
        heading = lines(
            [
                line((f"What each layer gives · {self._zone.zone} at {side.revision.shown}", "bold")),
                *(line((text, "bold $accent")) for text in over),
                line(("EI and deflection: how they change when the line is left out", "$text-muted")),
            ]
        )
        self.query_one("#heading", Static).update(heading)
        self._browser.show(layer_listing(self._layers))

    @on(RowList.Highlighted)
    def detail(self) -> None:
        """The line under the cursor in full."""
        case, layer = self._view.case(self._zone, self._after), self._browser.item
        if self._layers is not None and case is not None and layer is not None:
            written = case.zone.layup[layer.line - 1]
            self._browser.show_text(layer_page(self._layers, layer, written, self._view.currency))

    def action_side(self) -> None:
        """Before instead of after, or back."""
        self._after = not self._after
        self._show()
