"""Hulls: built to what, weighed against computed, deviations, what stands open."""

from textual.app import ComposeResult
from textual.screen import Screen
from textual.widgets import Footer

from recipe_track.tui.background import Background, Resting
from recipe_track.tui.content.hulls import hull_subject
from recipe_track.tui.session import Session
from recipe_track.tui.widgets.listing import ListPane


class HullsScreen(Resting, Screen[None]):
    """The hulls of the model at a glance; the one under the cursor as it was built."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.pane = ListPane("hulls", hull_subject(session.model), Background(self, session))

    def compose(self) -> ComposeResult:
        """Hulls above, one in full below."""
        yield self.pane
        yield Footer(compact=True, show_command_palette=False)
