"""Ids of new records: drawn at random, so that two people offline never take the same one."""

import secrets
from collections.abc import Collection

from recipe_track.recipe.fields import RECORD_ALPHABET
from recipe_track.recipe.records import LETTERS

LENGTH = 6


def new_id(kind: str, taken: Collection[str]) -> str:
    """An id for a new record of a kind that none of those taken has."""
    while True:
        drawn = "".join(secrets.choice(RECORD_ALPHABET) for _ in range(LENGTH))
        record_id = f"{LETTERS[kind]}-{drawn}"
        if record_id not in taken:
            return record_id
