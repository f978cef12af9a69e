"""The command line: words in, one call, one report out.

Exit 0 clean, 1 findings or a limit exceeded, 2 bad input, 3 a fault of Headrace itself. JSON goes alone to stdout,
also with exit 1.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from headrace.cli.words import Parser, read_words, wants_json
from headrace.errors import BadInput, Fault, NoSolution, Place

TRACE = "HEADRACE_TRACE"  # set to 1, it shows where an unforeseen fault arose


def build_parser() -> Parser:
    """All commands and their words."""
    parser = Parser(
        prog="headrace", description="Plan, solve and check a custom liquid-cooled computer from one readable folder."
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def command(name: str, text: str) -> Parser:
        sub: Parser = commands.add_parser(name, help=text, description=text)
        sub.add_argument("--json", action="store_true", help="print JSON (SI units) instead of a report")
        return sub

    new = command("new", "start a build folder from an example")
    new.add_argument("folder", nargs="?", help="the folder to make; without it the examples are listed")
    new.add_argument("--example", default="compact-cured", help="which example to start from")
    new.add_argument("--name", help="what the build is called")

    check = command("check", "find what does not fit or is not safe")
    check.add_argument("build", nargs="?", help="a build folder")
    check.add_argument("--all", action="store_true", help="list everything that could not be judged, one by one")
    check.add_argument("--explain", metavar="ID", help='what one check looks at and why, such as "PORT-01"')
    check.add_argument("--schema", action="store_true", help="print the JSON Schema of build.toml and stop")

    solve = command("solve", "balance flow, heat, air and sound, with bands")
    solve.add_argument("build", help="a build folder")
    solve.add_argument("--band", action=argparse.BooleanOptionalAction, default=None,
                       help="90 %% bands on every output (default: in a report yes, in JSON no)")  # fmt: skip
    solve.add_argument("--cases", action="store_true",
                       help="what a pump or fan out, dust, a summer room and the like do to it")  # fmt: skip
    _state_words(solve, every=True)

    simulate = command("simulate", "follow a warm-up, a load step or a stop in time")
    simulate.add_argument("build", help="a build folder")
    simulate.add_argument("--event", help='what happens, such as "warm-up"; without it all standard events')
    simulate.add_argument("--to", help="the state a load step ends in")
    simulate.add_argument("--for", dest="for_", help='how long to follow it, such as "30 min"')
    simulate.add_argument("--every", help='time between two rows, such as "10 s"')
    simulate.add_argument("--csv", help="write the course into this new file as well")
    _state_words(simulate)

    order = command("order", "compare the orders of the parts, and series with parallel")
    order.add_argument("build", help="a build folder")
    order.add_argument("--all", action="store_true", help="show every order, not only the best")
    _state_words(order)

    parts = command("parts", "list cards, or show one")
    parts.add_argument("card", nargs="?", help="a card id, or a word to look for")
    parts.add_argument("--build", help="include the cards of this build folder")
    parts.add_argument("--schema", action="store_true", help="print the JSON Schema of card files and stop")

    explain = command("explain", "open a number: formula, inputs, source")
    explain.add_argument("build", help="a build folder")
    explain.add_argument("name", nargs="?", help="the number, such as flow.pump; without it all names are listed")
    explain.add_argument("--depth", type=int, default=4, help="how many levels to open (default 4)")
    _state_words(explain)
    return parser


def _state_words(parser: Parser, *, every: bool = False) -> None:
    parser.add_argument(
        "--state", help=f"a state of the build{', or all of them: all' if every else ''} (default: the first)"
    )
    parser.add_argument("--room", help='room temperature, such as "30 °C"')
    parser.add_argument("--set", dest="settings", action="append", default=[], metavar="NAME=VALUE",
                        help="change a value for this run: pump.speed=60%%, cpu.heat=200 W")  # fmt: skip


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is the answer to a script."""
    typed = sys.argv[1:] if argv is None else argv
    try:
        words = read_words(build_parser(), typed)
        code: int = import_module(f"headrace.cli.run_{words.command}").run(words)
    except (BadInput, NoSolution) as error:
        return _told(error.faults, typed, 2)
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except Exception as error:  # the last handler: what nobody foresaw is still said in one sentence
        return _told([_unforeseen(error)], typed, 3)
    return code


def _told(faults: Sequence[Fault], argv: Sequence[str], code: int) -> int:
    from headrace.cli.shown import print_faults

    print_faults(faults, as_json=wants_json(argv))
    return code


def _unforeseen(error: Exception) -> Fault:
    """The fault for an error that is a mistake of this program, not of what was typed."""
    if os.environ.get(TRACE) == "1":
        import traceback

        traceback.print_exception(error)
    found = " ".join(f"a fault of Headrace itself: {type(error).__name__} {error}".split())
    return Fault(Place(), "", found, "", f"With {TRACE}=1 before the command it shows where; please report that.")


if __name__ == "__main__":
    sys.exit(main())
