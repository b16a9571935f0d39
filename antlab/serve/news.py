"""What is new in the course, said when a newer one is laid out over an older one."""

import re
from pathlib import Path

CHANGES = Path("notebooks", "changes.md")  # a heading for each time, the newest first, and its lines
TOLD = "newest change told"  # in the manifest: the heading of what was told last
MOST = 6  # lines that a start may say; the page has them all


def tell(source, laid, older):
    """Return lines on what is new in the course in source, and note in the manifest laid that it was told.

    older: whether a course was laid out in that folder before. Where nobody knows which, the newest is told.
    """
    page = source / CHANGES
    if not page.is_file():
        return []
    found, last = sections(page.read_text(encoding="utf-8")), laid.get(TOLD)
    headings = list(found)
    laid[TOLD] = headings[0]
    newer = headings[: headings.index(last) if last in headings else 1] if older else []
    lines = [f"  * {line}" for heading in newer for line in found[heading]]
    if not lines:
        return []
    said = lines[:MOST]
    return [
        "New in the lessons since they were laid out here:",
        *said,
        f"All of it is in {CHANGES.as_posix()}.",
    ]


def sections(text):
    """Return what the page says: heading -> lines, the newest first."""
    parts = re.split(r"^## (.+)\n", text, flags=re.MULTILINE)[1:]
    lines = (re.findall(r"^\* (.+)", part, re.MULTILINE) for part in parts[1::2])
    return dict(zip(parts[::2], lines, strict=True))
