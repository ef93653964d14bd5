"""Ask what is known of the installed libraries' vulnerabilities, by pip-audit; leaves with 1 where one is known.

Where the data cannot be had, or not for a library, it says NOT RUN and leaves with 0: nobody then knows.
"""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

OWN = "engine-limits"


def told(report: dict[str, Any]) -> tuple[int, str]:
    """The exit code and what is to be said of pip-audit's report."""
    asked = [library for library in report["dependencies"] if library["name"] != OWN]
    unknown = [library["name"] for library in asked if "skip_reason" in library]
    lines = [
        f"{library['name']} {library['version']}: {found['id']}, mended in {', '.join(found['fix_versions']) or 'none'}"
        for library in asked
        for found in library.get("vulns", ())
    ]
    if len(unknown) == len(asked):
        return 0, "audit: NOT RUN, no data on any library"
    if unknown:
        lines.append(f"audit: NOT RUN for {', '.join(unknown)}")
    known = len(asked) - len(unknown)
    if any("mended in" in line for line in lines):
        return 1, "\n".join(lines)
    return 0, "\n".join([*lines, f"audit: nothing known against {known} libraries"])


def main() -> None:
    """Run it on this environment."""
    command = [sys.executable, "-m", "pip_audit", "--format", "json", "--progress-spinner", "off", "--timeout", "15"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    try:
        report = json.loads(done.stdout)
    except ValueError:
        report = None
    if report is None:
        reason = (done.stderr.strip().splitlines() or ["no answer"])[-1]
        print(f"audit: NOT RUN, {reason[:300]}")
        return
    code, text = told(report)
    print(text)
    sys.exit(code)


if __name__ == "__main__":
    main()
