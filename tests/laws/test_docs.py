"""The manual is true: its commands print what it shows, its files load, and nothing is left undocumented."""

import re
from pathlib import Path

import pytest
from checkers.manual import BLOCK, commands, fits, output

from headrace.cli.main import build_parser
from headrace.loop.buildfile import BuildFile
from headrace.loop.loader import parse_build
from headrace.loop.route import stated_route
from headrace.loop.thresholds import load_thresholds
from headrace.parts.fields import Record
from headrace.parts.kinds import KINDS
from headrace.parts.spread import default_spreads
from headrace.parts.tomltext import parse_toml
from headrace.solve.steady import solve

ROOT = Path(__file__).resolve().parents[2]
PAGES = [ROOT / "README.md", ROOT / "CHANGELOG.md", *sorted((ROOT / "docs").rglob("*.md"))]
SHOWN = [
    pytest.param(command, lines, id=f"{page.name}: {command}")
    for page in PAGES
    for block in BLOCK.findall(page.read_text(encoding="utf-8"))
    for command, lines in commands(block)
]


@pytest.mark.parametrize(("command", "shown"), SHOWN)
def test_a_command_prints_what_the_manual_shows(command, shown, monkeypatch):
    monkeypatch.chdir(ROOT)
    real = output(command)
    assert fits(shown, real), "\n".join(real)


def test_the_manual_shows_commands():
    assert len(SHOWN) >= 5


def page(name):
    return (ROOT / "docs" / name).read_text(encoding="utf-8")


def test_every_command_and_option_is_documented():
    parser = build_parser()
    subs = next(action for action in parser._actions if action.dest == "command").choices
    for name, sub in subs.items():
        assert f"## `headrace {name}" in page("commands.md")
        for action in sub._actions:
            for option in action.option_strings:
                if option != "-h":
                    assert f"`{option}" in page("commands.md"), (name, option)


def keys(model, seen):
    """Every file key below a record."""
    if model in seen:
        return
    seen.add(model)
    for name, field in model.model_fields.items():
        yield model.__name__, field.alias or name
        for inner in records(field.annotation):
            yield from keys(inner, seen)


def records(annotation):
    if isinstance(annotation, type) and issubclass(annotation, Record):
        yield annotation
    for inner in getattr(annotation, "__args__", ()):
        yield from records(inner)


def test_every_key_and_kind_of_a_file_is_documented():
    text = page("files.md")
    seen = set()
    wanted = [pair for model in (BuildFile, *KINDS.values()) for pair in keys(model, seen)]
    words = set(re.findall(r"[A-Za-z_]+[A-Za-z0-9_]*", " ".join(re.findall(r"`([^`]+)`", text))))
    assert not {pair for pair in wanted if pair[1] not in words}
    assert not {kind for kind in KINDS if f"`{kind}`" not in text}


def test_every_threshold_and_spread_is_documented():
    table, _ = load_thresholds({}, parse_toml("", "t"))
    assert not {name for name in table if f"`{name}`" not in page("thresholds.md")}
    assert not {kind for kind in default_spreads() if kind not in page("thresholds.md")}


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_links_lead_somewhere_and_name_no_address(path):
    text = path.read_text(encoding="utf-8")
    for link in re.findall(r"\]\(([^)#]+)", text):
        assert not re.match(r"[a-z]+:", link), link
        assert (path.parent / link).exists(), link


def test_whole_builds_in_the_manual_solve():
    whole = [
        block
        for path in PAGES
        for block in re.findall(r"^```toml\n(.*?)^```$", path.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
        if block.startswith("# build.toml")
    ]
    assert whole
    for text in whole:
        loop = parse_build(text, "manual")
        assert solve(loop, stated_route(loop), loop.state()).closure.energy_rel <= 1e-6
