"""The manual holds every command, option, file key, threshold, unit and kind; what it shows is what happens."""

import argparse
import csv
import re
import tomllib
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Annotated, get_args

import pytest
from checkers import manual
from pydantic import TypeAdapter

from headrace.checks.build import solve_build
from headrace.checks.every import run_checks
from headrace.cli.main import build_parser
from headrace.loop.airfile import InletEntry, StackEntry, VentEntry
from headrace.loop.buildfile import (
    BuildFile,
    CaseEntry,
    CoolantEntry,
    DefaultsEntry,
    JointEntry,
    LeadEntry,
    LimitsEntry,
    OrderEntry,
    PartEntry,
    PortEntry,
    RunEntry,
    StateEntry,
)
from headrace.loop.handling import HandlingEntry, PostureEntry, TurnEntry, WaiverEntry
from headrace.loop.loader import load_build
from headrace.loop.route import stated_route
from headrace.loop.thresholds import load_thresholds
from headrace.parts import coolant
from headrace.parts.air import Fan, FanTable, Screen
from headrace.parts.block import Block, BlockResistance
from headrace.parts.card import Card, Channel, Port
from headrace.parts.casing import Case, Feeder, Obstacle, Outlet
from headrace.parts.core import AirLoss, CoreGeometry
from headrace.parts.fields import Record
from headrace.parts.kinds import KINDS
from headrace.parts.loader import load_catalogue, read_cards
from headrace.parts.loss import Loss
from headrace.parts.pump import PowerTable, Pump, PumpReservoir, PumpTable
from headrace.parts.radiator import Radiator, StrengthTable, UaLaw
from headrace.parts.sound import PumpSound, SoundLevel
from headrace.parts.tables import materials, threads
from headrace.parts.tomltext import parse_toml
from headrace.parts.tube import Fitting, Tube, TubeEnd
from headrace.parts.vessel import Inline, Reservoir, Splitter
from headrace.physics.minor import fittings
from headrace.solve.steady import solve
from headrace.units import ORIGINS, Figure, Kind, UnitFault, read_either, read_figure, read_unit
from headrace.units.table import ROWS, usual_text

DOCS = manual.ROOT / "docs"
TOP = [manual.ROOT / "README.md", *sorted(DOCS.glob("*.md"))]
PAGES = [*TOP, manual.ROOT / "CHANGELOG.md", *sorted((DOCS / "checks").glob("*.md"))]
EVERY_CARD = "Every card"
HEADINGS = {
    BuildFile: "The whole file",
    CaseEntry: "`[case]`",
    CoolantEntry: "`[coolant]`",
    DefaultsEntry: "`[defaults]`",
    PartEntry: "`[[part]]`",
    RunEntry: "`[[run]]`",
    OrderEntry: "`[[order]]`",
    JointEntry: "`[[joint]]`",
    PortEntry: "`[[port]]`",
    StackEntry: "`[[stack]]`",
    InletEntry: "`inlet` of a stack",
    VentEntry: "`[[vent]]`",
    LeadEntry: "`[[lead]]`",
    StateEntry: "`[[state]]`",
    TurnEntry: "`turned` of a part",
    HandlingEntry: "`[handling]`",
    PostureEntry: "`posture`",
    WaiverEntry: "`[[waiver]]`",
    LimitsEntry: "`[limits]`",
    Port: "Ports",
    Channel: "Channels",
    Loss: "`loss`",
    coolant.TestFluid: "`with`: the fluid of a measurement",
    Pump: "`pump`",
    PumpTable: "`curve` of a pump",
    PowerTable: "`power_points` of a pump",
    PumpSound: "`sound` of a pump",
    PumpReservoir: "`pump-reservoir`",
    Reservoir: "`reservoir`",
    Block: "`block`",
    BlockResistance: "`resistance`",
    Radiator: "`radiator`",
    StrengthTable: "`strength`",
    UaLaw: "`ua`",
    CoreGeometry: "`geometry`",
    AirLoss: "`air_loss`",
    Fan: "`fan`",
    FanTable: "`curve` of a fan",
    SoundLevel: "`sound` of a fan",
    Screen: "`air-filter`, `grille`",
    Tube: "`tube`",
    Fitting: "`fitting`",
    TubeEnd: "`tube` of a fitting",
    Inline: "Small parts in line",
    Splitter: "Splitters and bridges",
    Case: "`case`",
    Feeder: "`board`, `power-supply`, `fan-hub`",
    Outlet: "`outlet`",
    Obstacle: "`obstacle`",
}
LOADER_KEYS = {"like": str}  # the loader reads it before a card becomes a record


@cache
def page(name):
    return (DOCS / name).read_text(encoding="utf-8")


@cache
def files_sections():
    return manual.sections(page("files.md"))


def key_rows(heading):
    """The rows of a table of keys: {key: (meaning, example, left out)}."""
    found = manual.rows(files_sections()[heading], "key")
    keys = [manual.ticked(row[0])[0] for row in found]
    assert len(keys) == len(set(keys)), f"a key stands twice under {heading}"
    return dict(zip(keys, (tuple(row[1:]) for row in found), strict=True))


# --- file keys ----------------------------------------------------------------------------------------------------


def records_in(annotation):
    if isinstance(annotation, type) and issubclass(annotation, Record):
        yield annotation
    for inner in get_args(annotation):
        yield from records_in(inner)


def reachable(*roots):
    """Every record a file may hold, in the order it is met."""
    found, waiting = [], list(roots)
    while waiting:
        record = waiting.pop(0)
        if record not in found:
            found.append(record)
            waiting += [r for field in record.model_fields.values() for r in records_in(field.annotation)]
    return found


RECORDS = reachable(BuildFile, *dict.fromkeys(KINDS.values()))


def fields_of(record):
    """{file key: field} of what belongs under the record's own heading."""
    whole = {field.alias or name: field for name, field in record.model_fields.items()}
    if not issubclass(record, Card) or record is Card:
        return whole
    base = Pump if record is PumpReservoir else Card
    inherited = {field.alias or name for name, field in base.model_fields.items()} | {"kind"}
    return {key: field for key, field in whole.items() if key not in inherited}


def test_every_record_has_its_heading_and_every_heading_is_there():
    assert set(RECORDS) == set(HEADINGS)
    assert not [heading for heading in HEADINGS.values() if heading not in files_sections()]


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: record.__name__)
def test_every_key_is_documented_and_no_other(record):
    assert set(key_rows(HEADINGS[record])) == set(fields_of(record))


def test_keys_of_every_card_are_documented():
    assert set(key_rows(EVERY_CARD)) == {*fields_of(Card), *LOADER_KEYS, "kind"}


DOCUMENTED = [
    (heading, key, field)
    for record, heading in [*HEADINGS.items(), (Card, EVERY_CARD)]
    for key, field in fields_of(record).items()
]


@pytest.mark.parametrize(("heading", "key", "field"), DOCUMENTED, ids=[f"{h}-{k}" for h, k, _ in DOCUMENTED])
def test_what_is_said_of_a_key_is_so(heading, key, field):
    _, example, left_out = key_rows(heading)[key]
    assert left_out.startswith("**required**") == field.is_required(), left_out
    if isinstance(field.default, Figure):
        assert f"`{field.default.text}`" in left_out
    elif isinstance(field.default, bool | float) or (isinstance(field.default, str) and field.default):
        assert f"`{field.default:g}`" if isinstance(field.default, float) else str(field.default).lower() in left_out
    if example:
        (text,) = manual.ticked(example)
        ((written, value),) = tomllib.loads(text).items()
        assert written == key
        annotation = Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
        TypeAdapter(annotation).validate_python(value)
    else:
        assert heading == HEADINGS[BuildFile], "only a whole list of tables goes without an example"


def test_kinds_are_documented():
    for kind, record in KINDS.items():
        heading = HEADINGS[record]
        assert kind in manual.ticked(heading + files_sections()[heading]), kind


def test_names_a_card_may_use_are_documented():
    listed = files_sections()
    assert set(manual.ticked(listed["Threads"].split("\n\n")[1])) == set(threads())
    assert set(manual.ticked(listed["Wetted materials"])) >= set(materials())
    assert set(manual.ticked(listed["Origins"])) >= set(ORIGINS)
    assert set(manual.ticked(listed["Loss"])) >= set(fittings())


def test_words_of_a_choice_are_documented():
    for record in [*RECORDS, Card]:
        rows = key_rows(HEADINGS.get(record, EVERY_CARD))
        for key, field in fields_of(record).items():
            if key in ("kind", "origin", "origins", "format"):
                continue
            missing = set(literals(field.annotation)) - set(manual.ticked(" ".join(rows[key]).replace('"', "`")))
            assert not missing, (record, key)


def literals(annotation):
    if getattr(annotation, "__origin__", None) is not None and annotation.__class__.__name__ == "_LiteralGenericAlias":
        return [word for word in get_args(annotation) if isinstance(word, str)]
    return [word for inner in get_args(annotation) if not records_in_it(inner) for word in literals(inner)]


def records_in_it(annotation):
    return any(True for _ in records_in(annotation))


def test_spreads_are_documented():
    text = resources.files("headrace.parts").joinpath("spreads.csv").read_text(encoding="utf-8")
    stated = {row["kind"]: row["spread"] for row in csv.DictReader(text.splitlines()[1:])}
    told = {what.split(" (")[0]: spread for what, spread in manual.rows(files_sections()["Spreads"], "what")}
    assert told == stated


# --- thresholds ---------------------------------------------------------------------------------------------------


def test_thresholds_are_documented_as_they_are():
    text = resources.files("headrace.loop").joinpath("thresholds.csv").read_text(encoding="utf-8")
    stated = [[f"`{r['name']}`", r["value"], r["mark"], r["meaning"]] for r in csv.DictReader(text.splitlines()[1:])]
    assert manual.rows(page("thresholds.md"), "threshold") == stated


# --- commands -----------------------------------------------------------------------------------------------------


def commands():
    (sub,) = [action for action in build_parser()._actions if isinstance(action, argparse._SubParsersAction)]
    return sub.choices


def words_of(parser):
    return {
        max(action.option_strings, key=len) if action.option_strings else action.dest
        for action in parser._actions
        if not isinstance(action, argparse._HelpAction)
    }


@pytest.mark.parametrize("name", commands())
def test_every_word_of_a_command_is_documented_and_no_other(name):
    body = manual.sections(page("commands.md"))[f"`headrace {name}`"]
    told = [manual.ticked(row[0])[0] for row in manual.rows(body, "word")]
    assert sorted(told) == sorted(words_of(commands()[name]))


def test_no_command_is_documented_that_is_not_there():
    headings = [h for h in manual.sections(page("commands.md")) if h.startswith("`headrace ")]
    assert {heading.strip("`").split()[1] for heading in headings} == set(commands())


def test_exit_codes_are_documented():
    assert [row[0] for row in manual.rows(page("commands.md"), "exit code")] == ["0", "1", "2"]


# --- units --------------------------------------------------------------------------------------------------------


@cache
def unit_rows():
    """{kind: (spellings told, unit suggested)}."""
    found = {}
    for kinds, units, suggested in manual.rows(manual.sections(page("units.md"))["Units read"], "kind"):
        for name in kinds.split(", "):
            found[Kind(name)] = (manual.ticked(units), manual.ticked(suggested))
    return found


@pytest.mark.parametrize("kind", Kind)
def test_every_spelling_is_documented_and_read(kind):
    told, suggested = unit_rows()[kind]
    spellings = [spelling for row in ROWS[kind] for spelling in row.spellings.split("|")]
    assert set(told) == set(spellings) or kind is Kind.MONEY
    assert usual_text(kind) in suggested
    for spelling in told:
        assert read_unit(spelling, kind)
        number = "1" if kind is not Kind.TEMPERATURE else "300"
        assert read_figure(f"{number} {spelling}", kind).kind is kind


REFUSED = manual.rows(manual.sections(page("units.md"))["What is refused, and what to write"], "kind")


@pytest.mark.parametrize(("kind", "written", "answer"), REFUSED, ids=[row[1] for row in REFUSED])
def test_what_is_refused_is_answered_as_told(kind, written, answer):
    with pytest.raises(UnitFault) as caught:
        read_figure(manual.ticked(written)[0], Kind(kind))
    assert str(caught.value) == answer


WIDTHS = manual.rows(page("units.md"), "written")


@pytest.mark.parametrize("written", [manual.ticked(row[0])[0] for row in WIDTHS])
def test_forms_of_uncertainty_are_read(written):
    assert read_either(written, *Kind).sigma > 0


# --- links and blocks ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_every_link_leads_somewhere(path):
    text = path.read_text(encoding="utf-8")
    lost = []
    for target in manual.links(text):
        name, _, anchor = target.partition("#")
        there = path.parent / name if name else path
        if not there.exists() or (anchor and anchor not in manual.anchors(there.read_text(encoding="utf-8"))):
            lost.append(target)
    assert not lost


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_no_page_names_an_address(path):
    assert not re.search(r"\b(https?|www|mailto)[:.]", path.read_text(encoding="utf-8"))


def toml_blocks():
    for path in TOP:
        for block in manual.blocks(path.read_text(encoding="utf-8"), "toml"):
            yield pytest.param(block.text, id=f"{path.name}:{block.line}")


@pytest.mark.parametrize("text", list(toml_blocks()))
def test_every_toml_block_is_true(text, tmp_path):
    head = text.splitlines()[0]
    if head == "# build.toml":
        (tmp_path / "build.toml").write_text(text, encoding="utf-8")
        loop = load_build(tmp_path)
        assert loop.states
        for state in loop.states:
            assert solve(loop, stated_route(loop), state).pump_flow_m3_s > 0
    elif head.startswith("# parts/"):
        toml = parse_toml(text, head[2:])
        assert read_cards([toml], load_catalogue())
    else:  # some tables of a build file
        piece = tomllib.loads(text)
        BuildFile.model_validate({"format": 1, **piece})
        assert not load_thresholds(piece.get("thresholds", {}), parse_toml(text, "piece.toml"))[1]


def test_the_first_build_of_the_manual_has_no_finding(tmp_path):
    text = next(b.text for b in manual.blocks(page("files.md"), "toml") if b.text.startswith("# build.toml\n"))
    (tmp_path / "build.toml").write_text(text, encoding="utf-8")
    assert run_checks(solve_build(load_build(tmp_path))).findings == ()


def console_steps():
    for path in PAGES:
        for block in manual.blocks(path.read_text(encoding="utf-8"), "console"):
            for step in manual.steps(block.text):
                if step.runs:
                    yield pytest.param(step, id=f"{path.name}:{step.command}")


SHOWN = list(console_steps())


def test_the_manual_shows_every_command():
    assert {param.values[0].command.split()[1] for param in SHOWN} == set(commands())


@pytest.mark.parametrize("step", SHOWN)
def test_what_a_console_block_shows_is_what_is_printed(step):
    printed = manual.run(step.command)
    fix = "If it is right, write it anew: .venv/bin/python tests/checkers/manual.py README.md docs/*.md"
    assert manual.agrees(step.shown, printed), "\n".join([fix, *printed])


# --- the checker itself -------------------------------------------------------------------------------------------


def test_a_gap_stands_for_any_lines_and_nothing_else_does():
    printed = ["one", "two", "three"]
    assert manual.agrees(["one", "...", "three"], printed)
    assert manual.agrees(["...", "one", "two", "three", "..."], printed)
    assert manual.agrees(["..."], [])
    assert not manual.agrees(["one", "...", "two"], printed)
    assert not manual.agrees(["one", "two"], printed)
    assert not manual.agrees([], printed)
    assert not manual.agrees(["o.e", "two", "three"], printed)


def test_a_block_keeps_its_ends_when_it_is_written_anew():
    printed = [str(number) for number in range(9)]
    assert manual.shortened(["a", "b", "...", "c"], printed) == ["0", "1", "...", "8"]
    assert manual.shortened(["..."], printed) == ["..."]
    assert manual.shortened(["a"], printed) == printed
    assert manual.shortened(["a", "...", "b"], ["x", "y"]) == ["x", "y"]


def test_only_headrace_commands_are_written_anew(tmp_path):
    path = Path(tmp_path) / "page.md"
    path.write_text("```console\n$ make run\nas it was\n\n$ headrace new  # list\nold\n```\n", encoding="utf-8")
    assert manual.refresh(path)
    text = path.read_text(encoding="utf-8")
    assert text.startswith("```console\n$ make run\nas it was\n\n$ headrace new  # list\nExamples\n")
    assert text.endswith("\n```\n")
    assert "old" not in text
    assert not manual.refresh(path)


def test_lines_before_the_first_command_are_refused():
    with pytest.raises(ValueError, match="not with a command"):
        manual.steps("output\n$ headrace new\n")
