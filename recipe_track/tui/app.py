"""The terminal screens: theme, the five screens and the keys that lead to them."""

from functools import partial
from typing import Any, ClassVar

from textual import on
from textual.app import App
from textual.binding import Binding, BindingType
from textual.command import Provider

from recipe_track.tui.commands import ScreenCommands
from recipe_track.tui.content.help import help_page
from recipe_track.tui.dialogs.reading import ReadingDialog
from recipe_track.tui.requests import CompareWanted
from recipe_track.tui.screens.changes import ChangesScreen
from recipe_track.tui.screens.compare import CompareScreen
from recipe_track.tui.screens.history import HistoryScreen
from recipe_track.tui.screens.hulls import HullsScreen
from recipe_track.tui.screens.trials import TrialsScreen
from recipe_track.tui.session import Session
from recipe_track.tui.sides import Sides
from recipe_track.tui.theme import DAY, NIGHT, THEMES


class TrackApp(App[None]):
    """One repository, one model."""

    TITLE = "recipe_track"
    CSS_PATH = "screens.tcss"
    COMMANDS: ClassVar[set[type[Provider] | Any]] = {ScreenCommands}
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("1", "screen('compare')", "Compare", show=False),
        Binding("2", "screen('history')", "History", show=False),
        Binding("3", "screen('trials')", "Trials", show=False),
        Binding("4", "screen('hulls')", "Hulls", show=False),
        Binding("5", "screen('changes')", "Changes", show=False),
        Binding("f4", "brightness", "light or dark", show=False),
        Binding("question_mark", "help", "help", key_display="?"),
        Binding("q", "quit", "quit"),
    ]

    def __init__(self, session: Session, before: str | None = None, after: str | None = None) -> None:
        super().__init__()
        self.HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
        self.session = session
        self.add_mode("compare", partial(CompareScreen, session, before, after))
        self.add_mode("history", partial(HistoryScreen, session))
        self.add_mode("trials", partial(TrialsScreen, session))
        self.add_mode("hulls", partial(HullsScreen, session))
        self.add_mode("changes", partial(ChangesScreen, session))

    def on_mount(self) -> None:
        """Our colours, and the main job first."""
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = NIGHT.name
        self.switch_mode("compare")

    def action_screen(self, name: str) -> None:
        """Another of the five screens; it keeps what it showed."""
        self.switch_mode(name)

    @on(CompareWanted)
    async def show_comparison(self, request: CompareWanted) -> None:
        """Go to Compare with two revisions."""
        await self.switch_mode("compare")
        if isinstance(self.screen, CompareScreen):
            self.screen.zone_name = request.zone
            self.screen.compare(Sides(request.before, request.after))

    def action_brightness(self) -> None:
        """Light colours instead of dark ones, or back."""
        self.theme = DAY.name if self.theme == NIGHT.name else NIGHT.name

    def action_help(self) -> None:
        """What the signs and keys mean."""
        self.push_screen(ReadingDialog("Help", help_page()))
