"""Which keys a table of a recipe file may have."""

from typing import Any, get_args, get_origin

from pydantic import BaseModel

from recipe_track.errors import Key


def fields_at(model: type[BaseModel], path: Key) -> list[str]:
    """The keys of the table at a path of a file; empty where keys are free or no table is known."""
    current: type[BaseModel] | None = model
    free = False
    for part in path:
        if isinstance(part, int) or free:
            free = False
        elif current is None or part not in current.model_fields:
            return []
        else:
            annotation = current.model_fields[part].annotation
            current, free = table_of(annotation), _has_free_keys(annotation)
    return [] if current is None or free else list(current.model_fields)


def table_of(annotation: Any) -> type[BaseModel] | None:
    """The model inside an annotation: of a table, of the rows of a list, of the values of a mapping."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for one in get_args(annotation) if (found := table_of(one)) is not None), None)


def _has_free_keys(annotation: Any) -> bool:
    return get_origin(annotation) is dict or any(_has_free_keys(one) for one in get_args(annotation))
