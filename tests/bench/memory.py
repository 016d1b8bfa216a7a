"""Memory of a running process, as the system tells it."""

from pathlib import Path


def memory_mb(pid: int, which: str = "VmRSS") -> float:
    """What a process holds now (``VmRSS``), or the most it has held (``VmHWM``); 0 when it is gone."""
    try:
        lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    except OSError:
        return 0.0
    return next((int(row.split()[1]) / 1024 for row in lines if row.startswith(f"{which}:")), 0.0)
