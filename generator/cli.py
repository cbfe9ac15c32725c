"""`handturn`: check the sources, build the site, try its arithmetic, show the demo."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import click

from generator.check import check_all
from generator.compile.calculators import group_of
from generator.faults import counted, did_you_mean
from generator.history import about, exports
from generator.history import text as history
from generator.inputs import door
from generator.quantities.fasteners.one_bolt import look_at
from generator.quantities.fasteners.preload import HEADS, Thread, class_of, known_classes, named, thread_of
from generator.quantities.fasteners.standards import CONDITIONS
from generator.quantities.fasteners.torque_band import Joint
from generator.quantities.fasteners.wrench import Adapted, adapted, already_set
from generator.quantities.possible_ranges import FIELD_RANGES, LIMITS, PossibleRange, is_possible, said_range
from generator.quantities.quantity import Quantity
from generator.quantities.spellings import typed_as
from generator.quantities.typed_numbers import chosen, meanings
from generator.site import build as builder
from generator.site import bundle, demo_server, disk, earlier, places, swap
from generator.site.making import LOOK
from generator.terminal import bolt_report, report, vehicle
from generator.terminal import trial as desk

_SAID = click.core.ParameterSource.COMMANDLINE
NOT_SURE = 3  # exit code: a reading is not what was expected
MOST_PORT = 65_535
PROJECT = click.Path(exists=True, file_okay=False, path_type=Path)


class NumberOption(click.ParamType[float]):
    """An option that takes a number, typed as on a phone: what it can be is a row of `FIELD_RANGES`."""

    name = "number"

    def __init__(self, field: str) -> None:
        self.limit = FIELD_RANGES[field]

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        if isinstance(value, float):
            return value
        left = chosen(meanings(value), lambda number: is_possible(float(number), self.limit))
        if len(left) != 1 or not is_possible(float(left[0]), self.limit):
            self.fail(f"{value!r} can't be right. {self.limit.why}: {said_range(self.limit)}.", param, ctx)
        return float(left[0])


class PortOption(click.ParamType[int]):
    """A port of this machine, in plain figures: `int` takes those of every script."""

    name = "integer"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        text = str(value)
        if not (text.isascii() and text.isdigit() and int(text) <= MOST_PORT):
            self.fail(f"{text!r} is no port; say one from 0 to {MOST_PORT}, for example --port 8790.", param, ctx)
        return int(text)


class QuantityOption(click.ParamType[Quantity]):
    """An option that takes a number with its unit. Of two meanings it is the one that can be."""

    name = "quantity"

    def __init__(self, kind: str, limit: PossibleRange, example: str) -> None:
        self.kind, self.limit, self.example = kind, limit, example

    def wanted(self, option: str) -> str:
        article = "an" if self.kind[0] in "aeiou" else "a"
        return f"{option} is {article} {self.kind} with its unit, for example {option} '{self.example}'"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Quantity:
        option = param.opts[0] if param else ""
        found = typed_as(value, self.kind)
        if not found:
            raise click.UsageError(f"{self.wanted(option)}, not {value!r}.")
        left = chosen(found, lambda one: is_possible(one.base, self.limit))
        if len(left) > 1:
            raise click.UsageError(f"{option} {value!r} can mean {' or '.join(map(str, left))}; write one of the two.")
        if not is_possible(left[0].base, self.limit):
            raise click.UsageError(f"{option} {value!r} can't be right. {self.limit.why}: {said_range(self.limit)}.")
        return left[0]


TORQUE = QuantityOption("torque", LIMITS["torque"], "25 N.m")
LEVER = QuantityOption("length", FIELD_RANGES["lever"], "300 mm")
OF_A_BOLT = QuantityOption("length", FIELD_RANGES["bolt-length"], "12 mm")
ANGLE = QuantityOption("angle", LIMITS["angle"], "90 deg")
ADAPTER = QuantityOption("length", FIELD_RANGES["adapter"], "60 mm")


def _sources(command: Any) -> Any:
    """The options that say where the sources are."""
    for option in (
        click.option(
            "--shop", default="demo_jobs", show_default=True, help="Folder of the shop: shop.yml, engines, jobs."
        ),
        click.option("--procedures", default="procedures", show_default=True, help="Folder of the procedures."),
        click.argument("root", metavar="[DIR]", default=".", type=PROJECT),
    ):
        command = option(command)
    return command


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="handturn")
def main() -> None:
    """Shop procedures written as YAML, compiled into pages that work on a phone with no network."""


@main.command()
@_sources
@click.option("--format", "dress", type=click.Choice(["text", "json", "github"]), default="text", show_default=True)
@click.option("--site", default="site", show_default=True, type=click.Path(path_type=Path), help="The last built site.")
def check(root: Path, procedures: str, shop: str, dress: str, site: Path) -> None:
    """Report every fault of the sources in DIR; without any, what each worksheet asks, what gave none, and what changed
    since the site was built.

    Exit 0: no faults, 1: faults, 2: nothing there to check, or the command's words are off.
    """
    texts = disk.read_sources(root, (procedures, shop))
    checked = builder.check_texts(texts, disk.read_pictures(root, procedures))
    since = earlier.Compared()
    if checked.sheets:
        before = swap.earlier(root / site, builder.shop_of(checked.library), str(site))
        since = earlier.compare(before, checked)
    faults = checked.faults or since.faults
    told = report.Told(
        texts, faults, () if faults else checked.sheets, () if faults else [*checked.notes, *since.notes]
    )
    click.echo(report.dress(dress, told, source_lines=sys.stdout.isatty()))
    if faults or not checked.sheets:
        raise SystemExit(_code(texts))


@main.command()
@_sources
@click.option("--out", default="site", show_default=True, type=click.Path(path_type=Path), help="Where the site goes.")
def build(root: Path, procedures: str, shop: str, out: Path) -> None:
    """Build the worksheets of DIR (without the guide's pages, which come with MkDocs)."""
    texts, overrides = disk.read_sources(root, (procedures, shop)), disk.read_overrides()
    with _refusals():
        fresh = swap.Fresh(root / out, places.sources_of(root, procedures, shop, *_guide(root)))
        built = builder.build(texts, disk.read_pictures(root, procedures), overrides)
        if built.checked.faults or not built.checked.sheets:
            click.echo(report.text(built.checked.faults, texts))
            raise SystemExit(_code(texts))
        since = earlier.compare(fresh.earlier(built.scope_id), built.checked)
        if since.faults:
            click.echo(report.text(since.faults, texts))
            raise SystemExit(1)
        worker = builder.add_worker(built, built.files, overrides["sw.js"])
        fresh.make({**built.files, **worker}, built.scope_id)
    click.echo("\n".join(fresh.notes), err=True, nl=bool(fresh.notes))
    click.echo(report.noted(since.notes), err=True, nl=bool(since.notes))
    click.echo(f"{counted(len(built.checked.sheets), 'worksheet')} built in {root / out}.")


@main.command()
@click.argument("site", metavar="SITE", type=click.Path(path_type=Path))
def withdraw(site: Path) -> None:
    """Give up the built site in SITE: phones that still ask there drop their copy of it, and keep their jobs."""
    with _refusals():
        notes = swap.put_back(site)
        if not (site / "sw.js").is_file():
            raise click.UsageError(f"there is no sw.js in {site}; name the folder that is served.")
        template = disk.read_overrides()["sw.js"].decode()
        swap.withdraw(site, bundle.removing_worker(template, "withdrawn").encode())
    click.echo("\n".join(notes), err=True, nl=bool(notes))
    click.echo(f"{site / 'sw.js'} written: serve it at the old address for as long as phones may still come by.")


@contextlib.contextmanager
def _refusals() -> Iterator[None]:
    """What is refused outside of the sources, told as a fault is; exit 1."""
    try:
        yield
    except places.PlaceRefused as refused:
        click.echo(str(refused), err=True)
        raise SystemExit(1) from None


@main.command("try")
@click.argument("procedure")
@click.argument("typed", metavar="[NAME=VALUE]...", nargs=-1)
@click.option("--engine", help="Takes the values of this sheet.")
@click.option("--sure", is_flag=True, help="Takes readings that are not what was expected.")
@click.option("--json", "as_json", is_flag=True, help="Results as JSON: value, unit, verdict, needs.")
@click.option("--dir", "root", default=".", type=PROJECT, help="Folder of the project.")
@click.option("--procedures", default="procedures", show_default=True, help="Folder of the procedures.")
@click.option("--shop", default="demo_jobs", show_default=True, help="Folder of the shop.")
def try_(
    procedure: str,
    typed: tuple[str, ...],
    engine: str | None,
    sure: bool,
    as_json: bool,
    root: Path,
    procedures: str,
    shop: str,
) -> None:
    """Work out the results of PROCEDURE from readings, as on the phone: handturn try drain-coolant drained=5.5L.

    Of a reading that is not what was expected a terminal asks "Sure?"; without one it takes --sure.

    Exit 0: worked out as far as it is known, 1: faults in the sources, 2: no sources, or the command's words are off,
    3: a reading is not what was expected, and nobody is sure of it.
    """
    texts = disk.read_sources(root, (procedures, shop))
    library, found = check_all(texts)
    if found:
        click.echo(report.text(found, texts))
        raise SystemExit(_code(texts))
    group = group_of(
        library,
        _named("procedure", procedure, library.procedures),
        _named("engine", engine, library.engines) if engine is not None else None,
    )
    pairs, today = _pairs(typed), builder.today_of(library)
    try:
        worked = desk.answers(group, pairs, today, sure)
    except desk.Mistyped as error:
        raise click.UsageError(str(error)) from None
    except desk.Odd as odd:
        _be_sure(str(odd))
        worked = desk.answers(group, pairs, today, sure=True)
    click.echo(report.answers_json(worked) if as_json else report.answers(worked))


def _be_sure(odd: str) -> None:
    """Ask a person at a terminal; anybody else is told. Exit 3 without a yes."""
    click.echo(odd, err=True)
    if not sys.stdin.isatty():
        click.echo("Look again. If it is right, say --sure.", err=True)
    elif click.confirm("Sure?", err=True):
        return
    raise SystemExit(NOT_SURE)


def _named(what: str, name: str, known: Mapping[str, Any]) -> Any:
    if name not in known:
        near = did_you_mean(name, tuple(known))
        raise click.UsageError(f"there is no {what} {name!r}. {near}There are: {', '.join(sorted(known))}.")
    return known[name]


def _pairs(typed: tuple[str, ...]) -> dict[str, str]:
    pairs = [word.partition("=") for word in typed]
    for name, equals, value in pairs:
        if not equals or not value:
            raise click.UsageError(f"{name!r} says no value; write {name}=5.5L, without a space round the equals sign.")
    names = [name for name, _, _ in pairs]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise click.UsageError(f"{twice} is said twice; leave one of them out.")
    return {name: value for name, _, value in pairs}


@main.command()
@click.option("--thread", help="The bolt: M8x1.25, M8 for the coarse pitch, '1/4-20 UNC', '5/16 UNF'.")
@click.option("--class", "cls", help="Its class or grade: 8.8, A2-70, 'grade 5'.")
@click.option("--head", type=click.Choice(HEADS), help="Its head; a hexagon where nothing is said.")
@click.option("--condition", type=click.Choice(CONDITIONS), help="How its thread goes in.")
@click.option("--friction", type=NumberOption("friction"), help="One friction for thread and head, instead.")
@click.option("--into", help="What it goes into, for example aluminium.")
@click.option("--engaged", type=OF_A_BOLT, help="How much thread is in one another: '12 mm'.")
@click.option("--value", type=TORQUE, help="A torque to judge: '25 N.m', '18 lbf.ft'.")
@click.option("--then", type=ANGLE, help="Angle stages after that torque, all together: '90 deg'.")
@click.option("--grip", type=OF_A_BOLT, help="What is clamped between head and thread: '40 mm'.")
@click.option("--details", is_flag=True, help="Thread diameters, tensile load and nut factor, too.")
@click.option("--target", type=TORQUE, help="What the bolt is to get with an adapter on the wrench: '25 N.m'.")
@click.option("--set", "set_to", type=TORQUE, help="What a wrench with an adapter on is set to already: '25 N.m'.")
@click.option("--lever", type=LEVER, help="Hand to drive of the wrench: '300 mm'.")
@click.option("--adapter", type=ADAPTER, help="Drive to bolt of the adapter: '60 mm'.")
@click.option(
    "--angle",
    default=0.0,
    show_default=True,
    type=NumberOption("adapter-angle"),
    help="Degrees: 0 straight on, 90 square, 180 folded back.",
)
@click.option("--json", "as_json", is_flag=True, help="As JSON; each number has its unit in its key.")
def torque(thread: str | None, target: Quantity | None, set_to: Quantity | None, as_json: bool, **more: Any) -> None:
    """What a bolt takes and whether a torque for it is sane (--thread), what to set with an adapter on (--target), or
    what the bolt gets from a wrench that is set already (--set).

    Exit 0: worked out, 1: the adapter can't be used so, 2: the command's words are off.
    """
    asked = [name for name, said in (("--thread", thread), ("--target", target), ("--set", set_to)) if said is not None]
    if len(asked) != 1:
        raise click.UsageError(
            "say either --thread, for a bolt, or --target, for a wrench with an adapter on, or --set, for a wrench "
            "that is set already."
        )
    _nothing_unheard(asked[0])
    if thread is not None:
        _torque_of_bolt(thread, as_json, more)
    elif target is not None:
        _through_adapter(adapted, target, as_json, more)
    elif set_to is not None:
        _through_adapter(already_set, set_to, as_json, more)


_OF_BOLT = {
    "cls": "--class", "head": "--head", "condition": "--condition", "friction": "--friction", "into": "--into",
    "engaged": "--engaged", "value": "--value", "then": "--then", "grip": "--grip", "details": "--details",
}  # fmt: skip
_OF_ADAPTER = {"lever": "--lever", "adapter": "--adapter", "angle": "--angle"}
_GOES_WITH = {"--thread": _OF_BOLT, "--target": _OF_ADAPTER, "--set": _OF_ADAPTER}


def _nothing_unheard(chosen: str) -> None:
    """What was said and bears on nothing is refused: somebody would take it for judged."""
    context = click.get_current_context()
    for asked, options in _GOES_WITH.items():
        said = [option for name, option in options.items() if context.get_parameter_source(name) is _SAID]
        unheard = [option for option in said if option not in _GOES_WITH[chosen].values()]
        if unheard:
            raise click.UsageError(f"{unheard[0]} goes with {asked} and says nothing with {chosen}; leave it out.")


def _torque_of_bolt(text: str, as_json: bool, more: Mapping[str, Any]) -> None:
    thread = thread_of(text)
    if thread is None:
        raise click.UsageError(
            f"{text!r} is no thread that is known here; write --thread M8x1.25, M8 for the coarse pitch, or "
            "'1/4-20 UNC', '5/16 UNF'."
        )
    known = ", ".join(known_classes(thread))
    if more["cls"] is None:
        raise click.UsageError(f"say the class or grade on the bolt's head: --class {known}.")
    cls = class_of(more["cls"])
    if cls not in known_classes(None):
        raise click.UsageError(f"there is no class or grade {more['cls']!r}; there are: {known}.")
    if more["friction"] is not None and more["condition"] is not None:
        raise click.UsageError("--friction counts instead of --condition; leave one of them out.")
    turned = more["then"].to("deg") if more["then"] is not None else None
    check = look_at(_joint(thread, cls, more), more["value"], turned)
    if check is None:
        raise click.UsageError(f"there is no {named(cls)} bolt of {thread}.")
    click.echo(bolt_report.bolt_json(check) if as_json else bolt_report.bolt(check, more["details"]))


def _joint(thread: Thread, cls: str, more: Mapping[str, Any]) -> Joint:
    friction = more["friction"]
    if more["into"] is not None and not more["into"].strip():
        raise click.UsageError("--into says nothing; write what the bolt goes into, for example --into aluminium.")
    if more["engaged"] is not None and more["into"] is None:
        raise click.UsageError("--engaged says nothing without --into: what does the bolt go into?")
    if more["grip"] is not None and more["then"] is None:
        raise click.UsageError("--grip says nothing without --then: by what angle is the bolt turned?")
    return Joint(
        thread,
        cls,
        into=more["into"],
        engaged=_mm(more["engaged"]),
        condition=more["condition"],
        friction=None if friction is None else (friction, friction),
        head=more["head"] or HEADS[0],
        grip=_mm(more["grip"]),
    )


def _mm(length: Quantity | None) -> float | None:
    return None if length is None else length.to("mm")


def _through_adapter(
    work: Callable[[Quantity, float, float, float], Adapted], given: Quantity, as_json: bool, more: Mapping[str, Any]
) -> None:
    for name, wanted in (("lever", LEVER), ("adapter", ADAPTER)):
        if more[name] is None:
            raise click.UsageError(f"{wanted.wanted(f'--{name}')}.")
    found = work(given, more["lever"].base, more["adapter"].base, more["angle"])
    click.echo(bolt_report.adapted_json(found) if as_json else bolt_report.adapted(found))
    if found.setting is None or found.target is None:
        raise SystemExit(1)


@main.command()
@click.argument("number", metavar="VIN...", nargs=-1)
@click.option("--json", "as_json", is_flag=True, help="As JSON: what is odd, check digit, model year.")
def vin(number: tuple[str, ...], as_json: bool) -> None:
    """Tell what is odd about the vehicle identification number VIN; - reads it from standard input.

    It may be written in groups. Model year and check digit are law where it begins with 1 to 5; elsewhere makers
    fill those places as they like, and what is odd there is told and is no error.

    Exit 0: nothing is surely wrong, 1: something is, 2: the command's words are off.
    """
    said = sys.stdin.buffer.read(_LONGEST_VIN).decode(errors="replace") if number == ("-",) else " ".join(number)
    read = vehicle.read_vin(said)
    if not read.vin:
        raise click.UsageError("say the number, for example: handturn vin 11111111111111111.")
    click.echo(vehicle.vin_json(read) if as_json else vehicle.vin_lines(read))
    if read.is_odd:
        raise SystemExit(1)


_LONGEST_VIN = 4096  # bytes read of standard input; a number has 17


@main.command()
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=click.Path(path_type=Path, allow_dash=True))
@click.option("--damaged", is_flag=True, help="Reads what is left of a file that was damaged or cut short.")
@click.option(
    "--site", default="site", show_default=True, type=click.Path(path_type=Path), help="The shop's built site."
)
def record(files: tuple[Path, ...], damaged: bool, site: Path) -> None:
    """Tell what was done on a job, in plain text, from the FILEs that phones exported of it; - reads standard input.

    Several files of one job are united, as a phone unites them. The worksheets in them are compared with those of SITE.

    Exit 0: read, 1: a file holds no job or is not whole, 2: there is no such file, or the command's words are off.
    """
    if files.count(_STDIN) > 1:
        raise click.UsageError("standard input can be read once; write - only once.")
    read = exports.read_exports([(_name(file), _export(file)) for file in files], damaged)
    if isinstance(read, exports.Rejected):
        click.echo(report.refusal(read.place, read.said, read.write), err=True)
        raise SystemExit(1)
    sheets = disk.served_sheets(site)
    if sheets is None and click.get_current_context().get_parameter_source("site") is _SAID:
        raise click.UsageError(f"there is no built site in {site}; name the folder that handturn build wrote.")
    told = history.history(read, about.site_of(str(site), sheets))
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    click.echo(told.encode(encoding, "backslashreplace").decode(encoding))


_STDIN = Path("-")


def _name(file: Path) -> str:
    return "standard input" if file == _STDIN else str(file)


def _export(file: Path) -> bytes:
    if file == _STDIN:
        return sys.stdin.buffer.read(exports.UNREAD)
    content = disk.read_file(file, exports.UNREAD)
    if isinstance(content, str):
        click.echo(report.refusal(str(file), f"{content}.", "Name the file that a phone exported."), err=True)
        raise SystemExit(2)
    return content


@main.command()
@click.option("--port", default=8765, show_default=True, type=PortOption())
@click.option("--site", default="site", show_default=True, type=click.Path(path_type=Path))
def demo(port: int, site: Path) -> None:
    """Build the demo with MkDocs and serve it on this machine."""
    environment = {**os.environ, "NO_MKDOCS_2_WARNING": "1", LOOK: "1"}
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--site-dir", str(Path.cwd() / site)]
    made = subprocess.run(command, env=environment, check=False, capture_output=True, text=True)
    if made.returncode:
        click.echo(made.stdout + made.stderr, err=True)
        raise SystemExit(1)
    try:
        server = demo_server.serving(site, port)
    except (OSError, OverflowError):
        raise click.UsageError(f"port {port} cannot be had; say another one, for example --port 8790.") from None
    with server:
        click.echo(f"The demo answers at http://localhost:{port}/   (Ctrl+C stops it)")
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            click.echo("Stopped.")


def _guide(root: Path) -> tuple[str, ...]:
    """The folder of the guide's pages, where MkDocs makes them and its settings name no other."""
    return ("docs",) if (root / "mkdocs.yml").is_file() else ()


def _code(texts: door.Files) -> int:
    """The exit code of a command that stops at its sources: 2 where none of them was found, as for a slip in the
    command's words, because that is what it mostly is."""
    return 1 if texts or texts.refused else 2


if __name__ == "__main__":
    main(prog_name="handturn")
