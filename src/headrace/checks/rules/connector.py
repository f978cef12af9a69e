"""POWER-05: no connector carries more than its kind bears, whatever its card says or leaves out.

Contacts have limits of their own: a card that states more than them, or nothing, gives no leave to pass them. Where a
card states a lower limit, POWER-01 judges by that. An outlet of unknown plug is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.current import Feed, feeds
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.wiring import Plugged, plugged_by_id
from headrace.parts.tables import connectors

CHECK = Check(
    "POWER-05",
    "Connector overloaded",
    Severity.BEFORE_POWER,
    Group.ELECTRICITY,
    what="current",
    unit="a",
)
_ROUNDING_A = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every outlet that feeds something."""
    outlets = plugged_by_id(build.loop)
    for feed in feeds(build.loop):
        yield from _judge(feed, outlets[feed.id])


def _judge(feed: Feed, plugged: Plugged) -> Iterator[Finding | Skipped]:
    plug = plugged.outlet.plug
    subject = f'outlet "{feed.id}" with {" and ".join(draw.label for draw in feed.draws)}'
    if plug is None:
        yield CHECK.skipped(feed.place, subject, plugged.lack)
        return
    connector = connectors()[plug]
    if feed.limit_a is not None and feed.limit_a <= connector.most_a:
        return
    limit_a = connector.bears_a if feed.limit_a is None else connector.most_a
    if feed.steady_a > limit_a + _ROUNDING_A:
        fix = (
            f"Divide what hangs on it over several plugs, or feed it from one that bears more: {_why(feed, plug)}. "
            "Power off at the wall while you rewire, and never mix modular cables of two power supplies."
        )
        yield CHECK.finding(feed.place, subject, found=feed.steady_a, limit=limit_a, fix=fix)
    elif feed.lacks:
        yield CHECK.skipped(feed.place, subject, "; ".join(feed.lacks))


def _why(feed: Feed, plug: str) -> str:
    if feed.limit_a is None:
        return f"a {plug} whose maker states no limit is not trusted with more"
    return f"the contacts of a {plug} bear no more, whatever its card says"
