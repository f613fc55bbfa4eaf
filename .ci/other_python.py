"""Print the newest Python at hand that is not of this one's version and that plaidcut runs on."""

import shutil
import subprocess
import sys
from pathlib import Path

LEAST = (3, 11)


def version_of(python: str) -> tuple[int, int] | None:
    """Major and minor version of an interpreter that starts; `None` of one that doesn't."""
    try:
        done = subprocess.run(
            [python, "-c", "import sys, venv; print(*sys.version_info[:2])"],
            capture_output=True,
            text=True,
            check=True,
        )
    except (OSError, subprocess.CalledProcessError):
        return None
    major, minor = done.stdout.split()
    return int(major), int(minor)


def main() -> None:
    """Look on the path, and where version managers keep theirs."""
    named = [shutil.which(f"python3.{minor}") for minor in range(LEAST[1], 30)]
    kept = Path.home().glob(".pyenv/versions/3.*/bin/python")
    found = {str(python): version_of(str(python)) for python in [*named, *kept] if python}
    other = {
        python: version
        for python, version in found.items()
        if version is not None and version >= LEAST and version != sys.version_info[:2]
    }
    if other:
        print(max(other, key=lambda python: other[python]))


main()
