"""Open every number of a solution: its formulas, the numbers it was made from, and where those were stated."""
