"""
Turn comparisons of the rules over, one at a time, and see whether the files of the rule notice.

python tests/checkers/mutate.py [ID ...]   lists every comparison nothing notices; exit 1 when there is one

A comparison is noticed when a rule with it turned over (< to >=, == to !=, in to not in, is to is not), or taken as
always true or always false, says something else of at least one of its fail-, pass- or skip- files than is pinned in
tests/pinned/checks.json.
"""

import ast
import sys
from pathlib import Path
from types import ModuleType

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))

from checkers.rule_files import FILES, said

from headrace.checks.every import RULES

_TURNED = {
    ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip


class _Turn(ast.NodeTransformer):
    """Turns the comparison with one number over; counts them on the way."""

    def __init__(self, which):
        self.which, self.seen, self.text = which, -1, ""

    def visit_Compare(self, node):
        self.generic_visit(node)
        self.seen += 1
        if self.seen == self.which and len(node.ops) == 1:
            self.text = f"line {node.lineno}: {ast.unparse(node)}"
            node.ops = [_TURNED[type(node.ops[0])]()]
        elif self.seen == self.which:
            self.text = f"line {node.lineno}: {ast.unparse(node)}"
            return ast.copy_location(ast.UnaryOp(ast.Not(), node), node)
        return node


def comparisons(rule):
    """How many comparisons a rule holds."""
    return sum(isinstance(node, ast.Compare) for node in ast.walk(ast.parse(Path(rule.__file__).read_text())))


def turned(rule, which):
    """The rule as a module with one comparison turned over, and what that was."""
    turn = _Turn(which)
    tree = ast.fix_missing_locations(turn.visit(ast.parse(Path(rule.__file__).read_text())))
    module = ModuleType(rule.__name__ + "_turned")
    module.__file__ = rule.__file__
    sys.modules[module.__name__] = module  # dataclasses look their module up
    exec(compile(tree, rule.__file__, "exec"), module.__dict__)
    return module, turn.text


def survivors(rule):
    """The comparisons that can be turned over unnoticed."""
    files = [file for file in FILES if file.parent.name == rule.CHECK.id]
    before = {file: said(rule, file) for file in files}
    found = []
    for which in range(comparisons(rule)):
        module, text = turned(rule, which)
        if not any(_differs(module, file, before[file]) for file in files):
            found.append(text)
    return found


def _differs(module, file, before):
    try:
        return said(module, file) != before
    except Exception:  # a rule that falls over is noticed
        return True


def main(ids):
    worst = 0
    for rule in RULES:
        if not ids or rule.CHECK.id in ids:
            for text in survivors(rule):
                print(f"{rule.CHECK.id}: nothing notices {text} turned over")
                worst = 1
    return worst


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
