"""A newcomer's first vehicle as answers, and the ways to give answers to the command."""

from __future__ import annotations

import io
import sys
from pathlib import Path
from unittest.mock import patch

from cli.shed import Ended, catalog_at_hand, run

ANSWERS = """\
# the vehicle as a whole
Garden shed special
mm
3400 x 1450 x 1250
450
220
3
rails
640 x 50 x 80
# an upright sheet across the car
bulkhead

rail left
2 x 1100 x 520
bottom 760 0 80
engine

rail left
480 x 220 x 380
bottom 330 0 -20
gearbox

engine
420 x 190 x 220
front 570 0 130
# it goes through the bulkhead
allow
radiator

rail left
60 x 420 x 340
bottom -60 0 80
shelf
bulkhead shelf
bulkhead
150 x 900 x 2
rear bottom 759 0 590
expansion tank

bulkhead shelf
120 x 230 x 130
bottom 690 180 592
fuses

bulkhead shelf
60 x 150 x 80
bottom 700 -20 592
battery

rail left
175 x 240 x 190
bottom 640 -360 80
brake cylinder

bulkhead
round 40 x 140 along x
rear 759 330 455
steering column

bulkhead
round 35 x 700 along x
front 600 330 380
petrol tank

rail left
350 x 700 x 250
bottom 2500 0 90
# 10 mm above the rail, on rubber
allow
seat
driver's seat
rail right
500 x 420 x 500
bottom 1600 300 90

# where parts may go
bulkhead shelf

150 x 900 x 160
bottom 684 0 592

any
nothing
bigger header tank
grow
header tank
0 80 0
saturday 09:00-13:00; sunday 10:00-12:00 2
"""


class Terminal(io.StringIO):
    """A person's keyboard."""

    def isatty(self) -> bool:
        return True


def piped(text: str, *arguments: str | Path) -> Ended:
    """The command with ``text`` on a pipe."""
    with patch.object(sys, "stdin", io.StringIO(text)), catalog_at_hand():
        return run(*arguments)


def typed(text: str, *arguments: str | Path) -> Ended:
    """The command with a person at the terminal who types ``text``."""
    with patch.object(sys, "stdin", Terminal(text)), catalog_at_hand():
        return run(*arguments)
