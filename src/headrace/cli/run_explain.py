"""`headrace explain`: open a number down to formula, inputs and source."""

from __future__ import annotations

import argparse
from pathlib import Path

from headrace.cli.chosen import chosen_states
from headrace.cli.shown import print_json, print_report_here
from headrace.errors import BadInput, Fault, Place
from headrace.loop.loader import load_build
from headrace.loop.route import stated_route
from headrace.parts.faults import nearest


def run(words: argparse.Namespace) -> int:
    """Open one number, or list the names there are."""
    from headrace.report.explain import report_explained, report_names
    from headrace.report.plain import explained_json
    from headrace.solve.explain.explainer import Explainer
    from headrace.solve.steady import solve

    if words.depth < 1:
        raise BadInput(
            Fault(Place(), "--depth", f"{words.depth} opens nothing", "limit 1", "Write for example --depth 3.")
        )
    loop = load_build(Path(words.build))
    state = chosen_states(loop, words)[0]
    explainer = Explainer(loop, state, solve(loop, stated_route(loop), state), words.depth)
    names = list(explainer.names())
    if words.name is None:
        if words.json:
            print_json(names)
        else:
            print_report_here(report_names(explainer))
        return 0
    if words.name not in names:
        raise BadInput(Fault(Place(), "explain", f'there is no number "{words.name}"', "", nearest(words.name, names)))
    opened = explainer.open(words.name)
    if words.json:
        print_json(explained_json(opened))
    else:
        print_report_here(report_explained(opened))
    return 0
