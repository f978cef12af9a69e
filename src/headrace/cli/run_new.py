"""`headrace new`: start a build folder from an example."""

from __future__ import annotations

import argparse
import shutil
import sys
from pathlib import Path

from headrace.cli.shown import print_json, print_report_here
from headrace.errors import BadInput, Fault, Place
from headrace.parts.faults import nearest
from headrace.parts.shipped import shipped


def run(words: argparse.Namespace) -> int:
    """Copy an example into a new folder."""
    examples = {path.name: path for path in sorted(shipped("examples").iterdir()) if (path / "build.toml").exists()}
    if words.folder is None:
        if words.json:
            print_json({"examples": list(examples)})
        else:
            from headrace.report.examples import report_examples

            print_report_here(report_examples(examples))
        return 0
    source, target = examples.get(words.example), Path(words.folder)
    if source is None:
        raise BadInput(Fault(Place(), words.example, "there is no such example", "", nearest(words.example, examples)))
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise BadInput(Fault(Place(words.folder), "", "is there already and not empty", "", "Name a new folder."))
    _copy_example(source, target, words.name)
    if words.json:
        print_json({"folder": str(target), "example": words.example})
    else:
        sys.stdout.write(
            f"{target}/build.toml is yours to edit. Next: headrace check {target}   headrace solve {target}\n"
        )
    return 0


def _copy_example(source: Path, target: Path, name: str | None) -> None:
    from headrace.loop.edit import save_text, set_value

    try:
        shutil.copytree(source, target, dirs_exist_ok=True)
        if name is not None:
            path = target / "build.toml"
            save_text(path, set_value(path.read_text(encoding="utf-8"), ("name",), name))
    except OSError as error:
        raise BadInput(
            Fault(Place(str(target)), "", f"cannot be written: {error.strerror}", "", "Name another folder.")
        ) from error
