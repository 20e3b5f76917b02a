"""The help page: what the signs mean, which key does what, and what the figures are not."""

from textual.content import Content

from recipe_track.present.terminal.stacks import LEGEND
from recipe_track.present.words.figures import CAUTION
from recipe_track.tui.plaintext import line, lines

SIGNS = (
    ("+ added", "a layer that only the revision after has"),
    ("- removed", "a layer that only the revision before has"),
    ("~ altered", "the same material, another angle, thickness or fraction"),
    ("≠ replaced", "another material of the same kind"),
    ("> moved", "the same layer at another place of the stack"),
)
KEYS = (
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


def help_page() -> Content:
    """Signs, keys, cautions."""
    signs = [line((f"  {sign:<14}", "bold"), text) for sign, text in SIGNS]
    keys = [line((f"  {key:<14}", "bold"), text) for key, text in KEYS]
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
