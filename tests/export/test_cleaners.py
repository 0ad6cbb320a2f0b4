"""The three rules for texts of unknown hands, side by side: kept in a log, printed, put on one line of a picture.

They agree on what is dangerous (what acts on a terminal, what turns the writing round, halves of letters) and differ on
purpose in the rest; what is expected was written down from the categories of the Unicode standard, not from the code.
"""

from __future__ import annotations

import unicodedata

import pytest

from planner.draw.picture import plain
from planner.export.plan_words import clean
from planner.log.read import safe_text


@pytest.mark.parametrize(
    ("text", "kept", "printed", "drawn"),
    [
        ("tank, 3 mm é", "tank, 3 mm é", "tank, 3 mm é", "tank, 3 mm é"),
        ("a\tb", "a b", "a b", "a b"),
        ("a\nb", "a b", "a\nb", "a b"),
        ("a\r\nb", "a  b", "a\nb", "a b"),
        ("a\u2028b", "a b", "a\nb", "a b"),
        ("a  b ", "a  b ", "a  b ", "a b"),
        ("a\x07b", "ab", "ab", "a b"),
        ("a\x1b[31mb", "a[31mb", "a[31mb", "a [31mb"),
        ("a\u202eb", "ab", "ab", "ab"),
        ("a\u2066b\u2069", "ab", "ab", "ab"),
        ("a\ud800b", "ab", "ab", "ab"),
        ("a\u200cb", "ab", "a\u200cb", "ab"),
        ("b" * 500, "b" * 500, "b" * 500, "b" * 397 + "..."),
    ],
)
def test_each_rule_for_its_own_use(text: str, kept: str, printed: str, drawn: str) -> None:
    assert (safe_text(text), clean(text), plain(text)) == (kept, printed, drawn)


def test_nothing_that_acts_or_turns_gets_through_any_of_them() -> None:
    """Every character there is that is a control, a half of a letter or a mark of direction (Unicode annex 9)."""
    turning = {chr(c) for c in (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))}
    every = (chr(c) for c in range(0x110000))
    bad = {c for c in every if unicodedata.category(c) in {"Cc", "Cs"}} | turning
    whole = "".join(sorted(bad))
    assert not set(safe_text(whole)) & bad
    assert set(clean(whole)) & bad <= {"\n"}
    for start in range(0, len(whole), 300):
        assert not set(plain(whole[start : start + 300])) & bad
