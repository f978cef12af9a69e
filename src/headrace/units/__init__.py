"""Suffixes, conversions, ranges and display: the only room that knows millimetres, L/h and degrees Celsius."""

from headrace.units.figure import ORIGINS, Figure, Origin, Shape
from headrace.units.kinds import SUFFIXES, Kind, Unit, convert_in, convert_out, kind_of
from headrace.units.number import Array, Indices, Range, Real
from headrace.units.parse import read_either, read_figure, read_unit
from headrace.units.refuse import UnitFault
from headrace.units.rows import read_rows
from headrace.units.show import System, show, show_difference, show_span, show_with_sigma, unit_text

__all__ = [
    "ORIGINS",
    "SUFFIXES",
    "Array",
    "Figure",
    "Indices",
    "Kind",
    "Origin",
    "Range",
    "Real",
    "Shape",
    "System",
    "Unit",
    "UnitFault",
    "convert_in",
    "convert_out",
    "kind_of",
    "read_either",
    "read_figure",
    "read_rows",
    "read_unit",
    "show",
    "show_difference",
    "show_span",
    "show_with_sigma",
    "unit_text",
]
