"""The text twin of a sheet: what its numbers are, where, and what becomes of them."""

from __future__ import annotations

from planner.draw.sheet import Sheet


def list_text(sheet: Sheet) -> str:
    """The numbered list with the middle of each part, one part a line, and a line more for what happens to it.

    Then the spots, each with every clash that falls together there; a dash stands for a number where there is none.
    """
    lines = [sheet.title, sheet.about, ""]
    for entry in sheet.entries:
        number = str(entry.number) if entry.number else "-"
        letter = f" {entry.mark.value}" if entry.mark else ""
        several = len(entry.places) > 1
        places = "; ".join(f"{state}: {place}" if several else place for state, place in entry.places)
        lines.append(f"{number:>3}{letter}  {entry.name} ({entry.subject})")
        if entry.text:
            lines.append(f"       {entry.text}")
        lines.append(f"       middle {places}")
    for spot in sheet.spots:
        number = str(spot.number) if spot.number else "-"
        lines.append(f"{number:>3} {spot.clash.value}  {spot.text}")
        for told, place in spot.told:
            lines.append(f"       {told}")
            if place:
                lines.append(f"       at {place}")
    return "\n".join(lines) + "\n"
