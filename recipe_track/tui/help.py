"""What the signs mean and the keys do: as a page, and as commands by name in the command palette."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from textual.binding import Binding
from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.content import Content

from recipe_track.present.terminal.stacks import LEGEND
from recipe_track.present.words.figures import CAUTION
from recipe_track.tui.text import line, lines, literal

_SIGNS = (
    ("+ added", "a layer that only the revision after has"),
    ("- removed", "a layer that only the revision before has"),
    ("~ altered", "the same material, another angle, thickness or fraction"),
    ("≠ replaced", "another material of the same kind"),
    ("> moved", "the same layer at another place of the stack"),
)
_KEYS = (
    ("1 2 3 4 5", "Compare, History, Trials, Hulls, Changes"),
    ("← →", "zone before, next zone; changed ones first, by effect"),
    ("z", "choose a zone from the list"),
    ("b  a", "choose the revision before, or after, the change"),
    ("x", "exchange before and after"),
    ("l", "what each layer gives: the zone without it"),
    ("w", "the working: inputs, formulas and numbers, to redo by hand"),
    ("f", "every figure, or the main ones"),
    ("y", "all reasons in full, with the observations they answer"),
    ("t", "craft, parts, conditions and hulls in full"),
    ("tab", "from the stacks to the figures and back; arrows scroll"),
    ("f4", "light colours instead of dark ones, or back"),
    ("ctrl+p", "every command by its name"),
    ("? q", "this page, quit"),
)
_COMMANDS = {
    "zone(1)": "Next zone",
    "zone(-1)": "Zone before",
    "zones": "Choose a zone",
    "revision('before')": "Choose the revision before the change",
    "revision('after')": "Choose the revision after the change",
    "exchange": "Exchange before and after",
    "layers": "What each layer gives",
    "working": "Show the working",
    "figures": "Every figure, or the main ones",
    "why": "All reasons in full",
    "totals": "Craft, parts, conditions and hulls in full",
    "screen('compare')": "Compare two revisions",
    "screen('history')": "History of the model",
    "screen('trials')": "Trial observations",
    "screen('hulls')": "Hulls",
    "screen('changes')": "Changes waiting for a decision",
    "log": "Log a trial observation",
    "decide": "Decide on it",
    "decide('approve')": "Approve this change",
    "decide('reject')": "Reject this change",
    "compare": "Open in Compare",
    "open_only": "Only what is open, or all",
    "brightness": "Light or dark colours",
    "help": "Help: signs and keys",
    "quit": "Quit",
}


def help_page() -> Content:
    """Signs, keys, cautions."""
    signs = [line((f"  {sign:<14}", "bold"), text) for sign, text in _SIGNS]
    keys = [line((f"  {key:<14}", "bold"), text) for key, text in _KEYS]
    return lines(
        [
            line(("Signs in front of a layer", "bold $primary")),
            *signs,
            line("  Stacks run from mould side to bag side; sections are drawn to scale:"),
            line(f"  {LEGEND}"),
            line(""),
            line(("Keys", "bold $primary")),
            *keys,
            line(""),
            line(("What the figures say", "bold $primary")),
            line("  along, across: the zone's own directions, 0° and 90° of its layers"),
            line("  better, worse: only where a required minimum or a target says so"),
            line("  under foot load: under the zone's patch load; a measured foot load is"),
            line("  compared with that figure alone, never with the one under pressure"),
            line(""),
            line(CAUTION),
        ]
    )


class ScreenCommands(Provider):
    """One command per key binding that a person would look for."""

    def _commands(self) -> Iterator[tuple[str, str, Any]]:
        seen = set()
        for active in self.screen.active_bindings.values():
            binding: Binding = active.binding
            words = _COMMANDS.get(binding.action)
            if words and binding.action not in seen:
                seen.add(binding.action)
                run = partial(self.app.run_action, binding.action, active.node)
                yield words, self.app.get_key_display(binding), run

    async def discover(self) -> Hits:
        """All of them, before anything is typed."""
        for words, key, run in self._commands():
            yield DiscoveryHit(literal(f"{words}  ({key})"), run, text=words)

    async def search(self, query: str) -> Hits:
        """Those that match."""
        matcher = self.matcher(query)
        for words, _, run in self._commands():
            if (score := matcher.match(words)) > 0:
                yield Hit(score, matcher.highlight(words), run, text=words)
