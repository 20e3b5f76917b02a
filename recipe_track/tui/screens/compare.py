"""Compare: two revisions side by side, zone by zone: what changed, what it does, and why."""

from functools import partial
from typing import Any, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, Static

from recipe_track.errors import CallError, TrackError
from recipe_track.figures.working import working_of
from recipe_track.impact.effects import ZoneImpact
from recipe_track.present.terminal.working import working_text
from recipe_track.review.change.comparison import Comparison
from recipe_track.review.past.course import revision_choices
from recipe_track.tui.content import craft, revisions, zone
from recipe_track.tui.content.sight import Sight, sight_of
from recipe_track.tui.content.stack import stacks_of
from recipe_track.tui.content.trouble import trouble_page
from recipe_track.tui.desk import Answered, Desk, Looked, Troubled
from recipe_track.tui.dialogs.choosing import ChoosingDialog
from recipe_track.tui.dialogs.reading import ReadingDialog
from recipe_track.tui.plaintext import page
from recipe_track.tui.screens.layers import LayersScreen
from recipe_track.tui.session import Session
from recipe_track.tui.sides import Sides, commit_of, shown_sides
from recipe_track.tui.widgets.nav import NavLine
from recipe_track.tui.widgets.rows import Column, RowList
from recipe_track.tui.widgets.section import SectionView
from recipe_track.tui.widgets.stack import StackView

PAGE_WIDTH = 100
ZONE_COLUMNS = (Column("  zone", 0), Column("mass", 8, right=True))


class CompareScreen(Screen[None]):
    """Asks for a comparison, shows one zone of it at a time, follows the working files."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "zone(-1)", "zone", key_display="← →", priority=True),
        Binding("right", "zone(1)", "next zone", show=False, priority=True),
        Binding("z", "zones", "list"),
        Binding("b", "revision('before')", "before"),
        Binding("a", "revision('after')", "after"),
        Binding("x", "exchange", "exchange", show=False),
        Binding("l", "layers", "layers"),
        Binding("w", "working", "working"),
        Binding("f", "figures", "more"),
        Binding("y", "why", "why"),
        Binding("t", "totals", "totals", show=False),
    ]

    def __init__(self, session: Session, before: str | None, after: str | None) -> None:
        super().__init__()
        self.desk = Desk(self, session)
        self.sides = Sides(before, after)
        self.sight: Sight | None = None
        self.zone_name: str | None = None
        self._every_figure = False

    def compose(self) -> ComposeResult:
        """Totals on top, zones at the side, the zone with its stacks, figures and reasons."""
        yield NavLine("compare")
        yield Static(id="craft", markup=False)
        with VerticalScroll(id="trouble"):
            yield Static(id="trouble-text", markup=False)
        with Horizontal(id="body"):
            yield RowList(ZONE_COLUMNS, id="zones", empty="no zones")
            with Vertical(id="zone"):
                yield Static(id="heading", markup=False)
                with Horizontal(id="stacks"):
                    yield StackView(id="stack")
                    yield SectionView(id="section")
                with VerticalScroll(id="numbers"):
                    yield Static(id="figures", markup=False)
                yield Static(id="why", markup=False)
        yield Footer(compact=True, show_command_palette=False)

    def on_mount(self) -> None:
        """Ask, and keep looking at the files."""
        self.query_one("#stack").focus()
        self.compare()
        self.desk.watch()

    # asking

    def compare(self, sides: Sides | None = None) -> None:
        """Compare again, or two other revisions."""
        self.sides = sides or self.sides
        old, new, model = self.sides.before, self.sides.after, self.desk.session.model
        self.query_one(NavLine).note("reading …")
        self.desk.ask("sight", partial(sight_of, before=old, after=new, model=model))

    @on(Looked)
    def look(self, message: Looked) -> None:
        """Files were saved or branches moved: compare again."""
        if self.desk.is_news(message):
            self.compare()

    @on(Answered)
    def answer(self, message: Answered) -> None:
        """What the repository said, if it still counts."""
        if not self.desk.counts(message):
            return
        if isinstance(message.value, Sight):
            self._show(message.value)
        elif isinstance(message.value, str):
            self.app.push_screen(ReadingDialog("The working", page(message.value)))
        else:
            self._offer(message.topic, message.value)

    @on(Troubled)
    def trouble(self, message: Troubled) -> None:
        """A wrong name leaves what is shown; files that are not valid take its place."""
        if not self.desk.counts(message):
            return
        if isinstance(message.error, CallError) and self.sight is not None:
            self._refuse(message.error)
        else:
            self.add_class("-troubled")
            self.query_one("#trouble-text", Static).update(trouble_page(message.error))
            self.query_one(NavLine).note("not valid" if self.sight else "nothing to show")

    def _refuse(self, error: TrackError) -> None:
        assert self.sight is not None
        self.sides = shown_sides(self.sight.comparison)
        self.query_one(NavLine).note(zone.summary(self.sight))
        self.notify(f"{error.message}\n{error.hint}".strip(), severity="error", markup=False)

    # showing

    def _show(self, sight: Sight) -> None:
        self.sight = sight
        self.remove_class("-troubled")
        missed = craft.missed_targets(sight)
        out = f" · {missed} target{'s' if missed > 1 else ''} out" if missed else ""
        self.query_one(NavLine).note(zone.summary(sight) + out)
        self.query_one("#craft", Static).update(craft.craft_grid(sight, self.size.width - 2))
        names = [z.zone for z in sight.zones]
        if self.zone_name not in names:
            self.zone_name = names[0] if names else None
        self.query_one("#zones", RowList).show(zone.zone_rows(sight), self.zone_name)
        self._show_zone()

    def _show_zone(self) -> None:
        shown = self._zone()
        if self.sight is None or shown is None:
            return
        stacks = stacks_of(self.sight, shown, self.sides.heads(self.sight.comparison))
        self.query_one("#heading", Static).update(zone.heading(self.sight, shown))
        self.query_one("#stack", StackView).show(stacks)
        self.query_one("#section", SectionView).show(stacks)
        self.query_one("#section").display = any(stacks.sections)
        self.query_one("#figures", Static).update(zone.numbers(self.sight, shown, self._every_figure))
        self.query_one("#why", Static).update(zone.why(self.sight, shown))

    def _zone(self) -> ZoneImpact | None:
        zones = self.sight.zones if self.sight else ()
        return next((z for z in zones if z.zone == self.zone_name), None)

    def on_resize(self, event: events.Resize) -> None:
        """The totals use the width there is."""
        if self.sight is not None:
            self.query_one("#craft", Static).update(craft.craft_grid(self.sight, event.size.width - 2))

    # keys

    @on(RowList.Highlighted, "#zones")
    def show_zone(self, event: RowList.Highlighted) -> None:
        """The zone under the cursor."""
        if event.key != self.zone_name:
            self.zone_name = event.key
            self._show_zone()

    def action_zone(self, step: int) -> None:
        """To the zone before or after, round and round."""
        names = [z.zone for z in self.sight.zones] if self.sight else []
        if self.zone_name in names:
            self._go(names[(names.index(self.zone_name) + step) % len(names)])

    def _go(self, name: str | None) -> None:
        rows = self.query_one("#zones", RowList)
        if name is not None:
            self.zone_name = name
            rows.show(rows.rows, name)
            self._show_zone()

    def action_zones(self) -> None:
        """Choose a zone out of the list."""
        if self.sight is not None:
            rows = zone.zone_rows(self.sight)
            self.app.push_screen(ChoosingDialog("Zone", ZONE_COLUMNS, rows, self.zone_name), self._go)

    def action_revision(self, side: str) -> None:
        """Choose a revision for one side."""
        self.desk.ask(side, partial(revision_choices, model=self.desk.session.model))

    def _offer(self, side: str, choices: Any) -> None:
        rows, current = revisions.revision_rows(choices), commit_of(side, self._comparison)
        title = f"Revision {side} the change"
        dialog = ChoosingDialog(title, revisions.COLUMNS, rows, current, "any git revision")
        self.app.push_screen(dialog, partial(self._choose, side))

    @property
    def _comparison(self) -> Comparison | None:
        return self.sight.comparison if self.sight else None

    def _choose(self, side: str, chosen: str | None) -> None:
        if chosen is not None:
            self.compare(self.sides.choosing(side, chosen, self._comparison))

    def action_exchange(self) -> None:
        """After becomes before, and before after."""
        self.compare(self.sides.exchanged(self._comparison))

    def action_figures(self) -> None:
        """Every figure, or those that people act on."""
        self._every_figure = not self._every_figure
        self._show_zone()

    def action_why(self) -> None:
        """All reasons between the two revisions in full."""
        if self.sight is not None:
            self.app.push_screen(ReadingDialog("Why", zone.why_page(self.sight)))

    def action_totals(self) -> None:
        """The craft, its parts and conditions in full."""
        if self.sight is not None:
            self.app.push_screen(ReadingDialog("Craft, parts and hulls", craft.craft_page(self.sight)))

    def action_working(self) -> None:
        """How the figures of the zone come about, after the change if it is there."""
        shown = self._zone()
        if self.sight is not None and shown is not None:
            case = self.sight.case(shown, True) or self.sight.case(shown, False)
            width = min(self.size.width - 8, PAGE_WIDTH)
            self.desk.ask("working", lambda _: working_text(working_of(case), width) if case else "")

    def action_layers(self) -> None:
        """What each layer of the zone gives."""
        shown = self._zone()
        if self.sight is not None and shown is not None:
            self.app.push_screen(LayersScreen(self.sight, shown))
