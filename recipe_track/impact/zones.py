"""Which zone of the one revision is which of the other."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from recipe_track.recipe.layup import Zone

Zones = Mapping[str, Zone]


@dataclass(frozen=True, slots=True)
class ZonePair:
    """The names of one zone before and after; None where it does not exist."""

    before: str | None
    after: str | None

    @property
    def name(self) -> str:
        """The name people know it by now, or last knew it by."""
        return self.after or self.before or ""


def pair_zones(before: Zones, after: Zones, renames: Mapping[str, str]) -> tuple[ZonePair, ...]:
    """Pairs by name, else by `formerly`, else by `renames` (after's name: before's name); by name.

    An earlier name counts whichever side writes it, so that looking backwards pairs the same zones.
    """
    partner = {name: name for name in after if name in before}
    claims = (
        *((name, old) for name in sorted(after) for old in after[name].formerly),
        *((new, name) for name in sorted(before) for new in before[name].formerly),
        *sorted(renames.items()),
    )
    _claim(partner, claims, before, after)
    gone = set(before) - set(partner.values())
    pairs = [ZonePair(partner.get(name), name) for name in after] + [ZonePair(name, None) for name in gone]
    return tuple(sorted(pairs, key=lambda pair: (pair.name, pair.after is None)))


def _claim(partner: dict[str, str], claims: Iterable[tuple[str, str]], before: Zones, after: Zones) -> None:
    """Takes each claim whose zones exist on one side only and have no partner yet."""
    claimed = set(partner.values())
    for new, old in claims:
        only_after = new in after and new not in before and new not in partner
        only_before = old in before and old not in after and old not in claimed
        if only_after and only_before:
            partner[new] = old
            claimed.add(old)
