"""Every way the folders of a project can hold less than they seem to: told before anything in them is checked.

The place is a file that was not read, or a folder as the author would type it.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault
from generator.faults.wording import listing

NAMED = {"procedures": "the procedures", "shop": "the shop"}
"""What each of the two folders of a project holds, by its option."""

_MISSING = {
    "procedure": ("there is no procedure here: nothing can be checked.", "my-job.yml", "procedure: my-job"),
    "engine": ("there is no engine sheet here: no job can be checked.", "engines/my-engine.yml", "engine: my-engine"),
    "shop": ("no file here says who the shop is and what tools it has.", "shop.yml", "shop: my-shop"),
}


@dataclass(frozen=True)
class NoFolder(Fault):
    """A folder that the command reads is not there, or is a file. Nothing else is told until it is."""

    option: str
    is_file: bool
    found: tuple[str, ...]
    here: str

    @property
    def said(self) -> str:
        name = f'"{self.place.file}"'
        if self.is_file:
            return f"{name} is a file, where the folder of {NAMED[self.option]} is expected."
        return f"there is no folder {name} to read {NAMED[self.option]} from."

    @property
    def write(self) -> str:
        if self.here:
            return f"This folder looks like the shop's own: go one folder up and say  --shop {self.here}"
        name = self.found[0] if self.found else "NAME"
        more = f", or one of: {listing(self.found[1:])}" if self.found[1:] else ""
        return f"Name the folder with  --{self.option} {name}  or in mkdocs.yml with  {self.option}: {name}{more}"


@dataclass(frozen=True)
class NothingToRead(Fault):
    """A folder without any source in it. Nothing else is told until there is one."""

    option: str

    @property
    def said(self) -> str:
        return f'this folder of {NAMED[self.option]} has no file that ends in ".yml" or ".yaml".'

    write = "Put the sources there, or name another folder with  --{option}"


@dataclass(frozen=True)
class CannotBeOpened(Fault):
    """A file or folder that the system does not let this command read, or a thing that is no file. Anything may stand
    in it, so of a folder nothing else is told until it can be read."""

    what: str
    why: str

    said = "this {what} cannot be opened: {why}."
    write = "Get the right to read it, or move it out of this folder."


@dataclass(frozen=True)
class FoldersTooDeep(Fault):
    """Folders inside one another have a limit, and below it nothing is read."""

    limit: int

    said = "this folder is more than {limit} folders deep, and nothing in it is read."
    write = "Move what is in it further up."


@dataclass(frozen=True)
class NotReadForName(Fault):
    """A file with a source in it, or with a name like a source's, that no command reads because of how its name ends.
    What an editor leaves beside a source (`pump.yml~`) is not told while the source itself is there."""

    name: str
    taken: bool

    said = 'this file looks like a source and is not read: its name does not end in ".yml" or ".yaml".'

    @property
    def write(self) -> str:
        if self.taken:
            return f'"{self.name}" is here as well: delete the one of the two that is wrong, or move it away.'
        return f'Rename it to "{self.name}", or move it out of this folder.'


@dataclass(frozen=True)
class NoneOfKind(Fault):
    """The sources are sound and still no job can be checked: one of the three kinds that it takes is missing."""

    kind: str

    @property
    def said(self) -> str:
        return _MISSING[self.kind][0]

    @property
    def write(self) -> str:
        _, file, begins = _MISSING[self.kind]
        return f"Write {self.place.file}/{file}, beginning with  {begins}"
