"""`knockon new`: a vehicle by questions, and parts, links, mounting spaces and jobs added to one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from planner.cli.completing import kinds, link_kinds, parts
from planner.cli.ending import Exit, Stop
from planner.cli.helping import WholeSentences
from planner.cli.typed import TypedCommand

if TYPE_CHECKING:
    from planner.cli.new_asking import Talk
    from planner.cli.new_sheet import Reading, Sheet
    from planner.knockon import Fault
    from planner.shelf.fresh import Called

VEHICLE_VERB = "vehicle"


class FolderOrVerb(WholeSentences):
    """`knockon new car` is `knockon new vehicle car`: only a word that is a verb here is taken for one."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:  # noqa: ANN401  # its type differs between typers
        """Put the verb in where it is left out."""
        if args and args[0] not in {*self.commands, "-h", "--help"}:
            args = [VEHICLE_VERB, *args]
        taken: list[str] = super().parse_args(ctx, args)
        return taken


new = typer.Typer(
    cls=FolderOrVerb,
    help="Describe a vehicle by questions: `knockon new FOLDER`; or add to one: `knockon new part PROJECT`.\n\n"
    "A folder that is itself called part, link, space, job or vehicle is written ./part.",
    no_args_is_help=True,
    rich_markup_mode=None,
)
FromOption = Annotated[
    Path | None,
    typer.Option(
        "--from",
        help="Answers, one a line: an empty one takes the default, # begins a comment; to what overlaps or is too near "
        "a line may say `leave` or `allow`, else it is left and told of.",
    ),
]
DryOption = Annotated[bool, typer.Option("-n", "--dry-run", help="Print what would be written, write nothing.")]
ProjectArgument = Annotated[Path | None, typer.Argument(help="Folder with vehicle.yaml and jobs/.")]
NameOption = Annotated[str | None, typer.Option("--name", help="What you call it.")]
OnOption = Annotated[str | None, typer.Option("--on", help="The part it is mounted on; `nothing` for none.")]
SizeOption = Annotated[
    str | None, typer.Option("--size", help="'620 x 180 x 240' along x, y, z, or 'round 95 x 121 along z'.")
]
PlaceOption = Annotated[
    str | None, typer.Option("--at", help="'620 -40 80' for its middle, 'front left bottom 620 -40 80' for a corner.")
]
SystemOption = Annotated[
    str | None, typer.Option("--system", help="The circuit it belongs to, where there are several of its kind.")
]
KindOption = Annotated[str | None, typer.Option("--kind", autocompletion=kinds, help="In plain words.")]


@new.command(VEHICLE_VERB, cls=TypedCommand)
def vehicle(
    folder: Annotated[Path, typer.Argument(help="Where to put it; made when it is not there.")],
    answers: FromOption = None,
    dry: DryOption = False,
) -> None:
    """Describe a first vehicle by questions (the word `vehicle` may be left out)."""
    from planner.cli.loading import catalog_read
    from planner.cli.new_asking import talk_from
    from planner.cli.new_talked import talked
    from planner.cli.new_vehicle import see_folder, vehicle_told, write_told

    see_folder(folder)
    talk = talk_from(answers)
    catalog = catalog_read()
    readings: dict[tuple[str, frozenset[str]], Reading] = {}
    told = talked(talk, lambda t: vehicle_told(t, folder, catalog, readings))
    if dry:
        typer.echo("\n" + told.sheet.render(told.sheet.entries) + ("\n" + told.job_text if told.job else ""))
        return
    write_told(told)
    typer.echo(f"\nwritten: {folder}/vehicle.yaml" + (f" and {folder}/jobs/{told.job}.yaml" if told.job else ""))
    _checked(folder)
    typer.echo("\nNext:")
    if told.job:
        typer.echo(f"  knockon moves {folder} {told.job}      what else must move")
    else:
        typer.echo(f"  knockon new job {folder} 'what I have in mind'")
    if not told.sheet.vehicle or not told.sheet.vehicle.links:
        typer.echo(f"  knockon new link {folder}      hoses, pipes, cables: a plan knows only those that are described")


def _checked(folder: Path) -> None:
    """Read the files again and say what `check` says; its errors are the owner's to look at, not a failure to write."""
    from planner.cli.check import check

    try:
        check(folder)
    except Stop as stop:
        if stop.code is not Exit.FAULTS:
            raise
        typer.echo("what is told above is written all the same: measure there again, then change the file")


def _project(project: Path | None, verb: str) -> Path:
    if project is None:
        hint = f"a new vehicle in a folder called `{verb}`: knockon new ./{verb}"
        raise Stop(Exit.USAGE, f"name the project that gets the {verb}: knockon new {verb} PROJECT", hint)
    return project


def _added(project: Path, answers: Path | None, dry: bool, add: Callable[[Talk, Sheet], str]) -> None:
    """Add one entry to a project's vehicle."""
    from planner.cli.new_asking import talk_from
    from planner.cli.new_sheet import added_text, project_sheet
    from planner.cli.new_talked import talked

    there = project_sheet(project)
    before = there.faults

    def asked(talk: Talk) -> tuple[Sheet, str]:
        sheet = there.afresh()
        return sheet, add(talk, sheet)

    sheet, name = talked(talk_from(answers), asked)
    if dry:
        typer.echo(added_text(sheet.entries))
        return
    sheet.write()
    also = [e.id for e in sheet.entries if e.put.path == ("systems",)]
    typer.echo(f"{sheet.path}: {name} is added" + (f", and the circuit {', '.join(also)} for it" if also else ""))
    for finding in sheet.warnings:
        typer.echo(f"  {finding.message} [{finding.code}]: {finding.hint}")
    _tell_faults(sheet, before)


def _tell_faults(sheet: Sheet, before: tuple[Fault, ...]) -> None:
    from planner.cli.new_sheet import pair_of

    told = {pair_of(f) for f in before}
    components = sheet.vehicle.components if sheet.vehicle is not None else {}
    fresh = [f for f in sheet.faults if pair_of(f) not in told]
    for fault in fresh:
        name = f"{components[fault.part].name}: " if fault.part in components else ""
        typer.echo(f"  ! {name}{fault.text}")
    if fresh:
        typer.echo(f"  `knockon check {sheet.project}` says what to do about it")


@new.command("part", cls=TypedCommand)
def part(
    project: ProjectArgument = None,
    kind: KindOption = None,
    name: NameOption = None,
    on: OnOption = None,
    size: SizeOption = None,
    at: PlaceOption = None,
    system: SystemOption = None,
    answers: FromOption = None,
    dry: DryOption = False,
) -> None:
    """Add a part to a vehicle; what the options do not say is asked for."""
    from planner.cli.new_part import PartGiven, add_part

    given = PartGiven(kind=kind, name=name, size=size, at=at, on=on, system=system)
    _added(_project(project, "part"), answers, dry, lambda t, s: add_part(t, s, given))


@new.command("link", cls=TypedCommand)
def link(
    project: ProjectArgument = None,
    kind: Annotated[
        str | None, typer.Option("--kind", autocompletion=link_kinds, help="In plain words: coolant hose.")
    ] = None,
    start: Annotated[
        str | None, typer.Option("--from-part", help="One end: 'header-tank.out', or 'radiator top right'.")
    ] = None,
    end: Annotated[str | None, typer.Option("--to-part", help="The other end.")] = None,
    name: NameOption = None,
    across: Annotated[str | None, typer.Option("--across", help="Outside diameter.")] = None,
    via: Annotated[str | None, typer.Option("--via", help="Points of its run: '480 306 74; 560 306 74'.")] = None,
    passes: Annotated[str | None, typer.Option("--passes", help="Parts it goes through, commas between.")] = None,
    system: SystemOption = None,
    answers: FromOption = None,
    dry: DryOption = False,
) -> None:
    """Add a hose, pipe, cable, wire or rod between two parts; what the options do not say is asked for."""
    from planner.cli.new_link import LinkGiven, add_link

    ends = {"start": start, "end": end}
    given = LinkGiven(kind=kind, name=name, via=via, across=across, passes=passes, system=system, **ends)
    _added(_project(project, "link"), answers, dry, lambda t, s: add_link(t, s, given)[0])


@new.command("space", cls=TypedCommand)
def space(
    project: ProjectArgument = None,
    on: OnOption = None,
    size: SizeOption = None,
    at: PlaceOption = None,
    against: Annotated[
        str | None, typer.Option("--against", help="down for a shelf, forwards or rearwards for a wall, none.")
    ] = None,
    takes: Annotated[str | None, typer.Option("--takes", help="Parts or kinds, commas between; any.")] = None,
    name: NameOption = None,
    answers: FromOption = None,
    dry: DryOption = False,
) -> None:
    """Add a box in which parts may find a new home; what the options do not say is asked for."""
    from planner.cli.new_space import SpaceGiven, add_space

    given = SpaceGiven(name=name, on=on, size=size, at=at, against=against, takes=takes)
    _added(_project(project, "space"), answers, dry, lambda t, s: add_space(t, s, given))


@new.command("job", cls=TypedCommand)
def job(
    project: ProjectArgument = None,
    title: Annotated[str, typer.Argument(metavar="NAME", help="What you have in mind, in a few words.")] = "",
    do: Annotated[str | None, typer.Option("--do", help="move, grow, take-off, replace, remove or add.")] = None,
    part: Annotated[str | None, typer.Option("--part", autocompletion=parts, help="The part it is about.")] = None,
    by: Annotated[str | None, typer.Option("--by", help="How far it moves or grows: '0 100 0'.")] = None,
    to: Annotated[str | None, typer.Option("--to", help="Where it moves to: '620 -40 80'.")] = None,
    when: Annotated[list[str] | None, typer.Option("--when", help="'saturday 09:00-13:00'; more than once.")] = None,
    kind: KindOption = None,
    name: Annotated[str | None, typer.Option("--name", help="What you call the new part.")] = None,
    on: OnOption = None,
    size: SizeOption = None,
    at: PlaceOption = None,
    system: SystemOption = None,
    answers: FromOption = None,
    dry: DryOption = False,
) -> None:
    """Write down a job: what is to change, and when there is time; what the options do not say is asked for."""
    from planner.cli.new_asking import talk_from
    from planner.cli.new_job import JobGiven, job_named, job_text
    from planner.cli.new_part import PartGiven
    from planner.cli.new_sheet import project_sheet, write_or_tell
    from planner.cli.new_talked import talked

    folder = _project(project, "job")
    there = project_sheet(folder)
    new_part = PartGiven(kind=kind, name=name, size=size, at=at, on=on, system=system)
    given = JobGiven(do=do, part=part, by=by, to=to, when=tuple(when or ()), new=new_part)

    def asked(talk: Talk) -> tuple[Sheet, str, Called]:
        sheet = there.afresh()
        named = job_named(talk, folder, title)
        return sheet, job_text(talk, sheet, named, given), named

    sheet, text, named = talked(talk_from(answers), asked)
    if dry:
        typer.echo(text)
        return
    if sheet.entries:
        sheet.write()
        typer.echo(f"{sheet.path}: the circuit {', '.join(e.id for e in sheet.entries)} is added")
    path = folder / "jobs" / f"{named.id}.yaml"
    write_or_tell(path, text, text)
    typer.echo(f"written: {path}")
    typer.echo(f"Next: knockon moves {folder} {named.id}")
