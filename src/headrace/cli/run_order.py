"""`headrace order`: every order of the parts of a loop, and what it moves."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from headrace.cli.chosen import chosen_states
from headrace.cli.shown import print_json, print_report_here
from headrace.loop.loader import load_build
from headrace.loop.route import stated_route

_LONG_WORK = 200  # orders from which on it is said how far the work is
_EVERY = 50


def run(words: argparse.Namespace) -> int:
    """Compare the orders of one state."""
    from headrace.plan.order import compare_orders
    from headrace.report.order import orders_json, report_orders
    from headrace.report.solution import limits_exceeded

    loop = load_build(Path(words.build))
    state = chosen_states(loop, words)[0]
    orders = compare_orders(loop, stated_route(loop), state, tell=_tell)
    if words.json:
        print_json(orders_json(orders))
    else:
        print_report_here(report_orders(orders, every=words.all))
    return 1 if limits_exceeded(loop, orders.nominal) else 0


def _tell(done: int, count: int) -> None:
    """How far long work is, on stderr; Ctrl-C ends it with what was found by then."""
    if count < _LONG_WORK or done % _EVERY:
        return
    sys.stderr.write(f"{done} of {count} orders solved, Ctrl-C stops here\n")
    sys.stderr.flush()
