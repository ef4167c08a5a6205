# SPDX-License-Identifier: Apache-2.0
"""The project's own files, for the checks beside this module."""
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
NOT_OURS = {".git", "build", "node_modules", "dist", "demo-out"}


def project_files():
    """Every file that is in the repository or about to be; without git, every file but built ones."""
    asked = subprocess.run(
        ["git", "-C", str(ROOT), "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        capture_output=True, check=False) if (ROOT / ".git").exists() else None
    if asked and asked.returncode == 0:
        names = [n for n in asked.stdout.decode().split("\0") if n]
        paths = [ROOT / n for n in names]
    else:
        paths = [p for p in ROOT.rglob("*") if not NOT_OURS & set(p.relative_to(ROOT).parts)]
    return sorted(p for p in paths if p.is_file())
