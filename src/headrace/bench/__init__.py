"""Read logs, judge, diagnose, calibrate. Empty until the bench is built."""
