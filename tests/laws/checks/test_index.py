"""docs/checks.md lists every check under its group, as the checks say of themselves; HEADRACE_PIN=1 writes the lists anew."""

import os
import re
from pathlib import Path

from headrace.checks.every import checks
from headrace.checks.finding import Group

PAGE = Path(__file__).resolve().parents[3] / "docs" / "checks.md"
MARK = "<!-- lists: written by tests/laws/checks/test_index.py -->\n"


def lists():
    parts = []
    for group in Group:
        here = [check for check in checks() if check.group is group]
        rows = [f"| [{c.id}](checks/{c.id}.md) | {c.title} | {c.severity.value} | {c.waits.value} |" for c in here]
        head = "| check | what it finds | severity | what waits |\n|---|---|---|---|\n"
        parts.append(f"## {group.value.capitalize()}\n\n{head}" + "\n".join(rows) + "\n")
    return "\n".join(parts)


def test_the_index_lists_every_check_as_it_is():
    said, mark, _ = PAGE.read_text(encoding="utf-8").partition(MARK)
    assert mark
    if os.environ.get("HEADRACE_PIN"):
        PAGE.write_text(said + MARK + "\n" + lists(), encoding="utf-8")
    assert PAGE.read_text(encoding="utf-8") == said + MARK + "\n" + lists()


def test_the_index_counts_them():
    said = PAGE.read_text(encoding="utf-8")
    assert int(re.search(r"There are (\d+) checks", said)[1]) == len(checks())


def test_every_group_has_checks():
    assert {check.group for check in checks()} == set(Group)
