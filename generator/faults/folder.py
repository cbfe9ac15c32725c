"""Every way the folders of a project can hold less than they seem to. These come before all other faults.

The place is a file that was not read, or a folder as the author would type it.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault
from generator.faults.wording import listing

NAMED = {"procedures": "the procedures", "shop": "the shop"}
"""What each of the two folders of a project holds, by its option."""

_MISSING = {
    "procedure": ("there is no procedure here, so nothing can be checked.", "my-job.yml", "procedure: my-job"),
    "engine": (
        "there is no sheet here, so no job can be checked.",
        "engines/my-engine.yml",
        "engine: my-engine",
    ),
    "shop": ("no file here says who the shop is and what tools it has.", "shop.yml", "shop: my-shop"),
}


@dataclass(frozen=True)
class NoFolder(Fault):
    """A folder that the command reads is missing, or is a file. Until that is put right, this is the only fault."""

    option: str
    is_file: bool
    found: tuple[str, ...]
    here: str

    @property
    def said(self) -> str:
        name = f'"{self.place.file}"'
        if self.is_file:
            return f"{name} is a file, not the folder of {NAMED[self.option]}."
        return f"there is no folder {name} to read {NAMED[self.option]} from."

    @property
    def write(self) -> str:
        if self.here:
            return f"This folder looks like the shop's own. Go up one folder and add  --shop {self.here}"
        name = self.found[0] if self.found else "NAME"
        more = f", or one of: {listing(self.found[1:])}" if self.found[1:] else ""
        return f"Name the folder with  --{self.option} {name}  or in mkdocs.yml with  {self.option}: {name}{more}"


@dataclass(frozen=True)
class NothingToRead(Fault):
    """A folder without any source in it. Until there is one, this is the only fault."""

    option: str

    @property
    def said(self) -> str:
        return f'this folder of {NAMED[self.option]} has no file that ends in ".yml" or ".yaml".'

    write = "Put the sources there, or name another folder with  --{option}"


@dataclass(frozen=True)
class CannotBeOpened(Fault):
    """A file or folder that the system does not let this command read, or something that is not a file. There could be
    anything in it, so a folder has no other fault until it can be read."""

    what: str
    why: str

    said = "this {what} cannot be opened: {why}."
    write = "Give yourself permission to read it, or move it out of this folder."


@dataclass(frozen=True)
class FoldersTooDeep(Fault):
    """Folders can only be nested so deep. Nothing below the limit is read."""

    limit: int

    said = "this folder is more than {limit} folders deep, so nothing in it is read."
    write = "Move its contents further up."


@dataclass(frozen=True)
class NotReadForName(Fault):
    """A file with a source in it, or with a name like a source's, that no command reads because of how its name ends.
    What an editor leaves beside a source (`pump.yml~`) is no fault while the source itself is there."""

    name: str
    taken: bool

    said = 'this file looks like a source but is not read, because its name does not end in ".yml" or ".yaml".'

    @property
    def write(self) -> str:
        if self.taken:
            return f'"{self.name}" is here too. Delete the wrong one, or move it away.'
        return f'Rename it to "{self.name}", or move it out of this folder.'


@dataclass(frozen=True)
class NoneOfKind(Fault):
    """The sources are sound, but no job can be checked: one of the three kinds that it takes is missing."""

    kind: str

    @property
    def said(self) -> str:
        return _MISSING[self.kind][0]

    @property
    def write(self) -> str:
        _, file, begins = _MISSING[self.kind]
        return f"Write {self.place.file}/{file}, starting with  {begins}"
