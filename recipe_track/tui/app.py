"""The terminal screens: colours, the five screens and the keys that lead to them."""

from functools import partial
from typing import Any, ClassVar

from textual import on
from textual.app import App
from textual.binding import Binding, BindingType
from textual.command import Provider
from textual.theme import Theme

from recipe_track.tui.content.revisions import ComparisonRequested
from recipe_track.tui.dialogs import ReadingDialog
from recipe_track.tui.help import ScreenCommands, help_page
from recipe_track.tui.screens.changes import ChangesScreen
from recipe_track.tui.screens.compare import CompareScreen
from recipe_track.tui.screens.history import HistoryScreen
from recipe_track.tui.screens.hulls import HullsScreen
from recipe_track.tui.screens.trials import TrialsScreen
from recipe_track.tui.session import Session

# Blue for what comes, orange for what goes: told apart in red-green blindness too.
NIGHT = Theme(
    name="slipway-night",
    dark=True,
    primary="#6CB4EE",
    secondary="#9CC9F0",
    accent="#F0A04B",
    foreground="#E4E8EC",
    background="#12171D",
    surface="#161D25",
    panel="#202A35",
    success="#6CB4EE",
    warning="#F0A04B",
    error="#FF8A3D",
    variables={"footer-key-foreground": "#F0A04B", "block-cursor-text-style": "bold"},
)
DAY = Theme(
    name="slipway-day",
    dark=False,
    primary="#0B5FA5",
    secondary="#2B79BD",
    accent="#A34700",
    foreground="#15202B",
    background="#F4F6F8",
    surface="#FFFFFF",
    panel="#DFE6EC",
    success="#0B5FA5",
    warning="#A34700",
    error="#A33A00",
    variables={"footer-key-foreground": "#A34700", "block-cursor-text-style": "bold"},
)


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
        for theme in (NIGHT, DAY):
            self.register_theme(theme)
        self.theme = NIGHT.name
        self.switch_mode("compare")

    def action_screen(self, name: str) -> None:
        """Another of the five screens; it keeps what it showed."""
        self.switch_mode(name)

    @on(ComparisonRequested)
    async def show_comparison(self, request: ComparisonRequested) -> None:
        """Go to Compare with two revisions."""
        await self.switch_mode("compare")
        if isinstance(self.screen, CompareScreen):
            self.screen.zone_name = request.zone
            self.screen.compare(request.pair)

    def action_brightness(self) -> None:
        """Light colours instead of dark ones, or back."""
        self.theme = DAY.name if self.theme == NIGHT.name else NIGHT.name

    def action_help(self) -> None:
        """What the signs and keys mean."""
        self.push_screen(ReadingDialog("Help", help_page()))
