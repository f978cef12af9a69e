"""POWER-01: no header or plug feeds more current than it may carry, running or starting.

Rated currents of everything on one outlet add up. A little is kept in hand; motors take more while they start, which
an outlet bears for a second up to a factor. A pump or stack without a lead, or an unknown current, is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from headrace.checks.build import Build
from headrace.checks.current import Feed, feeds, find_room, lead_of, needs_a, unfed
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import Loop
from headrace.units import show

CHECK = Check(
    "POWER-01",
    "Outlet overloaded",
    Severity.BEFORE_POWER,
    Group.ELECTRICITY,
    what="current",
    unit="a",
    limits=(
        "start_current_factor",
        "start_allowance",
        "outlet_share",
    ),
)
_ROUNDING_A = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every outlet in use, then everything nothing feeds."""
    for feed in feeds(build.loop):
        yield from _judge(build.loop, feed)
    for place, subject in unfed(build.loop):
        yield CHECK.skipped(place, subject, "no [[lead]] says what feeds it")


def _judge(loop: Loop, feed: Feed) -> Iterator[Finding | Skipped]:
    subject = f'outlet "{feed.id}" with {" and ".join(draw.label for draw in feed.draws)}'
    if feed.limit_a is None:
        yield CHECK.skipped(feed.place, subject, f'card "{feed.card}" states no max_current of "{feed.outlet}"')
        return
    steady = feed.steady_a
    start = sum(draw.start_a or 0.0 for draw in feed.draws)
    peak = feed.limit_a * loop.thresholds("start_allowance")
    usable = feed.limit_a * loop.thresholds("outlet_share")
    cure = _cure(loop, feed)
    if steady > feed.limit_a + _ROUNDING_A:
        yield CHECK.finding(feed.place, subject, found=steady, limit=feed.limit_a, fix=cure)
    elif start > peak + _ROUNDING_A:
        fix = f"Running it takes {show(steady, 'steady_a')}, but all starting at once they take more. {cure}"
        yield CHECK.finding(feed.place, f"{subject}, starting", found=start, limit=peak, fix=fix)
    elif feed.lacks:
        yield CHECK.skipped(feed.place, subject, "; ".join(feed.lacks))
    elif steady > usable + _ROUNDING_A:
        fix = f"It holds, with less in hand than is usual: starting takes about {show(start, 'start_a')}. {cure}"
        yield CHECK.graded(Severity.NOTE).finding(feed.place, subject, found=steady, limit=usable, fix=fix)


def _cure(loop: Loop, feed: Feed) -> str:
    """Move the largest consumer to an outlet that has room for it."""
    largest = max(feed.draws, key=lambda draw: draw.current_a or 0.0)
    room = find_room(loop, feed, largest)
    where = f'"{room}"' if room else f"an outlet that bears {_rated(needs_a(loop, (largest,)))} or more"
    signal = " and leave only its signal wires on a header" if lead_of(loop, largest) != "header" else ""
    takes = show(largest.current_a, "current_a")
    return f"Feed {largest.label} ({takes}) from {where}{signal}; power off at the wall while you rewire."


def _rated(current_a: float) -> str:
    """A rating, rounded up."""
    return show(ceil(current_a * 100.0 - _ROUNDING_A) / 100.0, "current_a", digits=2)
