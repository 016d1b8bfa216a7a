"""A verified copy of everything the studio owns, written while the studio is in use."""

from .archive import BackupError, Report
from .write import write_backup

__all__ = ["BackupError", "Report", "write_backup"]
