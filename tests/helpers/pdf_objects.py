"""Ways into the objects of pypdf, whose types say only that something is an object."""

from __future__ import annotations

from pypdf.generic import ArrayObject, DictionaryObject


def dictionary(owner: DictionaryObject, *keys: str) -> DictionaryObject:
    """The dictionary to which the keys lead; it must be there."""
    for key in keys:
        found = owner[key].get_object()
        assert isinstance(found, DictionaryObject), key
        owner = found
    return owner


def array(owner: DictionaryObject, key: str) -> ArrayObject:
    """The array under a key; it must be there."""
    found = owner[key].get_object()
    assert isinstance(found, ArrayObject), key
    return found
