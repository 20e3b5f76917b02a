"""How much of a limit is used, and what governs."""

from dataclasses import dataclass

from recipe_track.figures.plies import ResolvedLayer


@dataclass(frozen=True, slots=True)
class Use:
    """A strain [-] or stress [Pa] over its limit; `governs` says where it is greatest, in words."""

    value: float
    limit: float
    governs: str

    @property
    def use(self) -> float:
        """How much of the limit is used; above 1 it is exceeded."""
        return self.value / self.limit


def layer_words(layer: ResolvedLayer) -> str:
    """`layer 3 biax-800`, the line counted from the mould side."""
    return f"layer {layer.line} {layer.layer.material}"
