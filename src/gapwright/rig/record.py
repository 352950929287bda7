"""What every record of a user's file has in common: it is frozen, complete and takes no unknown key."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Self

from pydantic import BaseModel, ConfigDict, PrivateAttr


def _label(key: str, field: object) -> str:  # noqa: ARG001 - the shape pydantic asks for
    """Label of a field in forms: its key in words."""
    return key.replace("_", " ")


class FileRecord(BaseModel):
    """A table of a user's file; checked once, never changed."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, field_title_generator=_label)


class WholeFile(FileRecord):
    """A whole file: a record that remembers how its values were written."""

    _text: dict[str, str] = PrivateAttr(default_factory=dict)

    @property
    def text(self) -> Mapping[str, str]:
        """The user's own text of each value, by key path such as ``generator.coil.inductance``."""
        return MappingProxyType(self._text)

    def with_text(self, text: Mapping[str, str]) -> Self:
        """The same record, remembering how its values were written."""
        copy = self.model_copy()
        copy._text = dict(text)
        return copy

    def __eq__(self, other: object) -> bool:
        """Two files are equal if their values are, however these were written."""
        return type(self) is type(other) and self.__dict__ == other.__dict__

    __hash__ = None  # type: ignore[assignment]
