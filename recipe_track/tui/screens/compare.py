"""Compare: two revisions side by side, zone by zone: what changed, what it does, and why."""

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, Static

from recipe_track.errors import CallError, TrackError
from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.working import working_of
from recipe_track.impact.effects import ZoneImpact
from recipe_track.present.terminal.working import working_text
from recipe_track.review.change.comparison import Comparison
from recipe_track.review.past.choices import RevisionChoice, revision_choices
from recipe_track.tui.background import Background, Resting
from recipe_track.tui.content import craft, revisions, zone
from recipe_track.tui.content.comparison import ComparisonView, view_comparison
from recipe_track.tui.content.revisions import RevisionPair
from recipe_track.tui.content.stack import stacks_of
from recipe_track.tui.dialogs import ChoosingDialog, ReadingDialog
from recipe_track.tui.screens.layers import LayersScreen
from recipe_track.tui.session import Session
from recipe_track.tui.text import error_page, text_page
from recipe_track.tui.widgets.listing import NavLine
from recipe_track.tui.widgets.rows import ListColumn, RowList
from recipe_track.tui.widgets.stacks import SectionView, StackView

_PAGE_WIDTH = 100
_ZONE_COLUMNS = (ListColumn("  zone", 0), ListColumn("mass", 8, right=True))


class CompareScreen(Resting, Screen[None]):
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
        Binding("escape", "back", "back", show=False),
    ]

    def __init__(self, session: Session, before: str | None, after: str | None) -> None:
        super().__init__()
        self.background, self._model = Background(self, session), session.model
        self.pair = RevisionPair(before, after)
        self.view: ComparisonView | None = None
        self.zone_name: str | None = None
        self._every_figure = False

    def compose(self) -> ComposeResult:
        """Totals on top, zones at the side, the zone with its stacks, figures and reasons."""
        yield NavLine("compare")
        yield Static(id="craft", markup=False)
        with VerticalScroll(id="error"):
            yield Static(id="error-text", markup=False)
        with Horizontal(id="body"):
            yield RowList(_ZONE_COLUMNS, id="zones", empty="no zones")
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
        self.background.watch(self.compare)

    # asking

    def compare(self, pair: RevisionPair | None = None) -> None:
        """Compare again, or two other revisions."""
        self.pair = pair or self.pair
        question = partial(view_comparison, before=self.pair.before, after=self.pair.after, model=self._model)
        self.query_one(NavLine).note("reading …")
        self.background.ask("comparison", question, self._show, self._show_error)

    def _show_error(self, error: TrackError) -> None:
        """A wrong name leaves what is shown; files that are not valid take its place."""
        if isinstance(error, CallError) and self.view is not None:
            self._refuse(self.view, error)
        else:
            self.add_class("-failed")
            self.query_one("#error-text", Static).update(error_page(error))
            self.query_one(NavLine).note("not valid" if self.view else "nothing to show")

    def _refuse(self, view: ComparisonView, error: TrackError) -> None:
        self.pair = revisions.shown_pair(view.comparison)
        self.query_one(NavLine).note(zone.zones_summary(view))
        self.notify(f"{error.message}\n{error.hint}".strip(), severity="error", markup=False)

    # showing

    def _show(self, view: ComparisonView) -> None:
        self.view = view
        self.remove_class("-failed")
        missed = craft.missed_targets(view)
        out = f" · {missed} target{'s' if missed > 1 else ''} out" if missed else ""
        self.query_one(NavLine).note(zone.zones_summary(view) + out)
        self.query_one("#craft", Static).update(craft.craft_grid(view, self.size.width - 2))
        names = [z.zone for z in view.zones]
        if self.zone_name not in names:
            self.zone_name = names[0] if names else None
        self.query_one("#zones", RowList).show(zone.zone_rows(view), self.zone_name)
        self._show_zone()

    def _show_zone(self) -> None:
        shown = self._zone()
        if self.view is None or shown is None:
            return
        stacks = stacks_of(self.view, shown, self.pair.heads(self.view.comparison))
        self.query_one("#heading", Static).update(zone.heading(self.view, shown))
        self.query_one("#stack", StackView).show(stacks)
        self.query_one("#section", SectionView).show(stacks)
        self.query_one("#section").display = any(stacks.sections)
        self.query_one("#figures", Static).update(zone.numbers(self.view, shown, self._every_figure))
        self.query_one("#why", Static).update(zone.zone_reasons(self.view, shown))

    def _zone(self) -> ZoneImpact | None:
        zones = self.view.zones if self.view else ()
        return next((z for z in zones if z.zone == self.zone_name), None)

    def on_resize(self, event: events.Resize) -> None:
        """The totals use the width there is."""
        if self.view is not None:
            self.query_one("#craft", Static).update(craft.craft_grid(self.view, event.size.width - 2))

    # keys

    @on(RowList.Highlighted, "#zones")
    def show_zone(self, event: RowList.Highlighted) -> None:
        """The zone under the cursor."""
        if event.key != self.zone_name:
            self.zone_name = event.key
            self._show_zone()

    def action_zone(self, step: int) -> None:
        """To the zone before or after, round and round."""
        names = [z.zone for z in self.view.zones] if self.view else []
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
        if self.view is not None:
            rows = zone.zone_rows(self.view)
            self.app.push_screen(ChoosingDialog("Zone", _ZONE_COLUMNS, rows, self.zone_name), self._go)

    def action_back(self) -> None:
        """Back to what was shown before; what is being read is waited for no longer."""
        self.background.drop("comparison")
        self.remove_class("-failed")
        if self.view is None:
            self.query_one(NavLine).note("nothing to show")
        else:
            self.pair = revisions.shown_pair(self.view.comparison)
            self.query_one(NavLine).note(zone.zones_summary(self.view))

    def action_revision(self, side: str) -> None:
        """Choose a revision for one side."""
        question, offer = partial(revision_choices, model=self._model), partial(self._offer, side)
        self.background.ask(f"revision {side}", question, offer, self._show_error)

    def _offer(self, side: str, choices: Sequence[RevisionChoice]) -> None:
        rows, current = revisions.choice_rows(choices), revisions.chosen_now(choices, side, self._comparison)
        title = f"Revision {side} the change"
        dialog = ChoosingDialog(title, revisions.CHOICE_COLUMNS, rows, current, "any git revision")
        self.app.push_screen(dialog, partial(self._choose, side))

    @property
    def _comparison(self) -> Comparison | None:
        return self.view.comparison if self.view else None

    def _choose(self, side: str, chosen: str | None) -> None:
        if chosen is not None:
            self.compare(self.pair.with_side(side, chosen, self._comparison))

    def action_exchange(self) -> None:
        """After becomes before, and before after."""
        self.compare(self.pair.exchanged(self._comparison))

    def action_figures(self) -> None:
        """Every figure, or those that people act on."""
        self._every_figure = not self._every_figure
        self._show_zone()

    def action_why(self) -> None:
        """All reasons between the two revisions in full."""
        if self.view is not None:
            self.app.push_screen(ReadingDialog("Why", zone.why_page(self.view)))

    def action_totals(self) -> None:
        """The craft, its parts and conditions in full."""
        if self.view is not None:
            self.app.push_screen(ReadingDialog("Craft, parts and hulls", craft.craft_page(self.view)))

    def action_working(self) -> None:
        """How the figures of the zone come about, after the change if it is there."""
        shown = self._zone()
        if self.view is not None and shown is not None:
            case = self.view.case(shown, True) or self.view.case(shown, False)
            width = min(self.size.width - 8, _PAGE_WIDTH)
            self.background.ask("working", lambda _: _working(case, width), self._read, self._show_error)

    def _read(self, text: str) -> None:
        self.app.push_screen(ReadingDialog("The working", text_page(text)))

    def action_layers(self) -> None:
        """What each layer of the zone gives."""
        shown = self._zone()
        if self.view is not None and shown is not None:
            self.app.push_screen(LayersScreen(self.background.session, self.view, shown))


def _working(case: ZoneCase | None, width: int) -> str:
    return working_text(working_of(case), width) if case is not None else ""
