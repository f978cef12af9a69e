"""On what the figures were measured."""

from __future__ import annotations

import os
import platform
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

_LIBRARIES = ("numpy", "scipy", "wntr", "pandapipes")


def show_machine() -> str:
    """Date, processor, cores, versions, and how busy the machine was before."""
    today = datetime.now(tz=UTC).date().isoformat()
    libraries = ", ".join(f"{name} {version(name)}" for name in _LIBRARIES)
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    busy = f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "not known"
    return (
        f"{today}, {_processor()}, {cores} cores (load {busy} before), CPython {platform.python_version()}, {libraries}"
    )


def _processor() -> str:
    info = Path("/proc/cpuinfo")
    lines = info.read_text(encoding="utf-8").splitlines() if info.exists() else []
    names = [line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.machine()
