"""Which zone was which: by name, else by an earlier name (`formerly`), else by a rename that git saw.

An earlier name counts whichever revision writes it, so that looking backwards finds the same zones.
Nobody else asks for `formerly`: one zone has one partner (`pair_zones`), though several may have grown out
of it (`origins`, `names_now`).
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from recipe_track.recipe.layup import Zone

Zones = Mapping[str, Zone | None]  # by name; None where the file cannot be read
NO_RENAMES: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class ZonePair:
    """The names of one zone before and after; None where it does not exist."""

    before: str | None
    after: str | None

    @property
    def name(self) -> str:
        """The name people know it by now, or last knew it by."""
        return self.after or self.before or ""


def pair_zones(before: Zones, after: Zones, renames: Mapping[str, str] = NO_RENAMES) -> tuple[ZonePair, ...]:
    """Every zone of two revisions by name, each with one partner or none.

    `renames` are git's, name after → name before; a zone that exists on both sides under its name is itself.
    """
    partners = _partners(before, after, renames)
    gone = set(before) - set(partners.values())
    pairs = [ZonePair(partners.get(name), name) for name in after] + [ZonePair(name, None) for name in gone]
    return tuple(sorted(pairs, key=lambda pair: (pair.name, pair.after is None)))


def _partners(before: Zones, after: Zones, renames: Mapping[str, str]) -> dict[str, str]:
    """Zone after → zone before; of several that claim one, the first by name has it."""
    partners = {name: name for name in after if name in before}
    claimed = set(partners.values())
    for new, old in _claims(before, after, renames):
        if new in after and new not in partners and old in before and old not in claimed:
            partners[new] = old
            claimed.add(old)
    return partners


def _claims(before: Zones, after: Zones, renames: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    yield from ((name, old) for name in sorted(after) for old in _earlier(after[name]))
    yield from ((new, name) for name in sorted(before) for new in _earlier(before[name]))
    yield from sorted(renames.items())


def _earlier(zone: Zone | None) -> tuple[str, ...]:
    return zone.formerly if zone else ()


def origins(before: Zones, after: Zones) -> dict[str, str]:
    """Zone after → the zone before that it was, or was split from; a zone without is new."""
    partners = _partners(before, after, NO_RENAMES)
    split = {name: old for name in after if name not in partners and (old := name_in(name, after, before))}
    return partners | split


def name_in(name: str, here: Zones, there: Zones) -> str | None:
    """What a zone of one revision is called in an earlier or later one; None where it is not there."""
    if name in there:
        return name
    earlier = next((old for old in _earlier(here.get(name)) if old in there), None)
    return earlier or next(iter(_grown_from(name, there)), None)


def names_now(name: str, zones: Zones) -> tuple[str, ...]:
    """What a zone of the past is called in a later revision: itself, or every zone that it was split into."""
    return (name,) if name in zones else tuple(_grown_from(name, zones))


def _grown_from(name: str, zones: Zones) -> Iterator[str]:
    return (new for new in sorted(zones) if name in _earlier(zones[new]))


def names_of(name: str, zone: Zone) -> tuple[str, ...]:
    """The name of a zone and its earlier ones."""
    return name, *zone.formerly


def names_ever(name: str, zone: Zone, now: Zones) -> frozenset[str]:
    """Every name that a zone of some revision has, had, or has got since."""
    return frozenset((*names_of(name, zone), *_grown_from(name, now)))


def names_through(name: str, revisions: Iterable[Zones]) -> frozenset[str]:
    """The name of a zone and all it had before; newest first, for an earlier name may have an earlier one."""
    names = {name}
    for zones in revisions:
        names |= {old for one in names for old in _earlier(zones.get(one))}
    return frozenset(names)


def predecessors(name: str, before: Zones, after: Zones, renamed_from: Iterable[str]) -> Iterator[str]:
    """The zones of a parent commit that a zone grew out of: itself, and those that end by joining it.

    A zone that is new is what it names as earlier, what named it so, else what git saw renamed.
    """
    if name in before:
        known = _earlier(before[name])
        yield name
        yield from (o for o in _earlier(after[name]) if o in before and o not in known and o not in after)
        return
    named = [old for old in _earlier(after[name]) if old in before]
    named = named or [old for old in _grown_from(name, before) if old not in after]
    yield from named or (old for old in renamed_from if old in before)
