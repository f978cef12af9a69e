"""Every source a formula names is listed in docs/sources.md, and every listed source is used."""

import ast
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
KEY = re.compile(r"\[([a-z][a-z0-9]*(?:-[a-z0-9]+)*-\d{2,4}[a-z]?)\]")
DOCUMENTED = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)


def docstring_keys(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    texts = [ast.get_docstring(node) or "" for node in ast.walk(tree) if isinstance(node, DOCUMENTED)]
    return set(KEY.findall("\n".join(texts)))


def table_keys(path):
    with path.open(encoding="utf-8") as file:
        return set(KEY.findall(file.readline()))


def used_keys():
    package = ROOT / "src" / "headrace"
    keys = {str(p): docstring_keys(p) for p in package.rglob("*.py")}
    keys |= {str(p): table_keys(p) for p in package.rglob("*.csv")}
    return keys


def listed_keys():
    rows = (ROOT / "docs" / "sources.md").read_text(encoding="utf-8").splitlines()
    return [KEY.match(row[2:]).group(1) for row in rows if row.startswith("| [")]


def test_every_key_has_an_entry():
    listed = set(listed_keys())
    missing = {path: keys - listed for path, keys in used_keys().items() if keys - listed}
    assert not missing


def test_every_entry_has_a_use():
    used = set().union(*used_keys().values())
    assert set(listed_keys()) - used == set()


def test_no_entry_stands_twice():
    assert len(listed_keys()) == len(set(listed_keys()))


def test_a_key_is_seen_in_a_docstring(tmp_path):
    file = tmp_path / "formula.py"
    file.write_text('"""Sum.\n\nSource  [nobody-1900]\n"""\nx = [1]\ny = x[a-10]\n', encoding="utf-8")
    assert docstring_keys(file) == {"nobody-1900"}
