"""What all sections of a language pack have in common."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Entries = tuple[str, ...]
AtLeastOne = Annotated[Entries, Field(min_length=1)]


class Section(BaseModel):
    """A table of a pack's file: nothing in it may be unknown, and nothing changes once it is read."""

    model_config = ConfigDict(extra="forbid", frozen=True)
