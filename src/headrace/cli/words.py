"""The words of a command line: read, or refused in the form of every other fault.

Answers   what was typed, with every word that is unknown, missing or empty as a fault with a way out
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterable, Sequence
from typing import NoReturn

from headrace.errors import BadInput, Fault, Place


def _nearest(word: str, allowed: Iterable[str]) -> str:
    from headrace.parts.faults import nearest  # slow to import, and rarely wanted

    return nearest(word, allowed)


class Parser(argparse.ArgumentParser):
    """A parser that raises BadInput, where the standard one prints its usage and leaves."""

    def error(self, message: str) -> NoReturn:
        """Raise BadInput with the fault `message` tells of."""
        raise BadInput(_fault_of(self, message))

    @property
    def commands(self) -> dict[str, Parser]:
        """The parsers of its commands, by name."""
        found: dict[str, Parser] = {}
        for action in self._actions:
            if isinstance(action, argparse._SubParsersAction):
                found |= action.choices
        return found

    def words(self) -> dict[str, str]:
        """What each value is called on the command line, by the name it is read under."""
        return {action.dest: max(action.option_strings, key=len, default=action.dest) for action in self._actions}


def read_words(parser: Parser, argv: Sequence[str]) -> argparse.Namespace:
    """The words of `argv`. Raises BadInput with what is unknown, missing or empty."""
    words, rest = parser.parse_known_args(argv)
    command = parser.commands[words.command]
    if rest:
        raise BadInput(_too_many(command, words.command, rest[0]))
    names = command.words()
    empty = [name for name, value in vars(words).items() if isinstance(value, str) and not value.strip()]
    if empty:
        fix = "Write what is meant, or leave it out."
        raise BadInput(*(Fault(Place(), names.get(name, name), "is empty", "", fix) for name in empty))
    return words


def wants_json(argv: Sequence[str]) -> bool:
    """True when `--json` is among the words, also where they cannot be read."""
    return any(len(word) > len("--") and "--json".startswith(word) for word in argv)


def _too_many(command: Parser, name: str, word: str) -> Fault:
    if word.startswith("-"):
        known = [option for option in command.words().values() if option.startswith("--")]
        return Fault(Place(), name, f'unknown option "{word}"', "", _nearest(word.partition("=")[0], known))
    fix = f'Put words with blanks in quotes: --room "24 °C". What else goes there: headrace {name} --help'
    return Fault(Place(), name, f'"{word}" is one word too many', "", fix)


def _fault_of(parser: Parser, message: str) -> Fault:
    """The fault a message of the standard parser tells of."""
    subject = parser.prog.removeprefix("headrace").strip()
    see = f"See: {parser.prog} --help"
    option, _, why = message.removeprefix("argument ").partition(": ")
    option = option.split("/")[-1]
    if choice := re.match(r"invalid choice: '(.*?)' \(", why):
        return Fault(Place(), subject, f'there is no command "{choice[1]}"', "", _nearest(choice[1], parser.commands))
    if message.startswith("the following arguments are required"):
        return _missing(parser, subject, why)
    if why.startswith("expected"):
        fix = f'Write it after the option; one that starts with "-" is written {option}="-...".'
        return Fault(Place(), option, "has no value", "", fix)
    if why.startswith("ignored explicit argument"):
        return Fault(Place(), option, "takes no value", "", f"Write {option} alone.")
    if number := re.match(r"invalid int value: '(.*)'", why):
        return Fault(Place(), option, f'"{number[1]}" is no whole number', "", f"Write for example {option} 3.")
    if many := re.match(r"ambiguous option: (\S+) could match (.*)", message):
        return Fault(Place(), many[1], f"may be {many[2].replace(', ', ' or ')}", "", "Write it out.")
    return Fault(Place(), subject, message, "", see)


def _missing(parser: Parser, subject: str, names: str) -> Fault:
    if parser.commands:
        fix = f"Write: headrace COMMAND FOLDER. {_nearest('', parser.commands)}"
        return Fault(Place(), subject, "no command is named", "", fix)
    return Fault(Place(), subject, f"no {names} folder is named", "", f"Write: {parser.prog} FOLDER")
