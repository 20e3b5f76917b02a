"""Everything by name: the commands of the screen in sight and of the app, in the command palette."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from textual.binding import Binding
from textual.command import DiscoveryHit, Hit, Hits, Provider

from recipe_track.tui.plaintext import plain


class ScreenCommands(Provider):
    """One command per key binding that a person would look for."""

    def _commands(self) -> Iterator[tuple[str, str, Any]]:
        seen = set()
        for active in self.screen.active_bindings.values():
            binding: Binding = active.binding
            words = WORDS.get(binding.action)
            if words and binding.action not in seen:
                seen.add(binding.action)
                run = partial(self.app.run_action, binding.action, active.node)
                yield words, self.app.get_key_display(binding), run

    async def discover(self) -> Hits:
        """All of them, before anything is typed."""
        for words, key, run in self._commands():
            yield DiscoveryHit(plain(f"{words}  ({key})"), run, text=words)

    async def search(self, query: str) -> Hits:
        """Those that match."""
        matcher = self.matcher(query)
        for words, _, run in self._commands():
            if (score := matcher.match(words)) > 0:
                yield Hit(score, matcher.highlight(words), run, text=words)


WORDS = {
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
