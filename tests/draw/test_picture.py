"""What all pictures of plans share: safe text, wrapped to its room, and SVG that may stand beside others."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from svg_reading import faults, labels, root_of

from planner.draw.lettering import text_width_mm
from planner.draw.picture import Form, Picture, Words, picture_svg, plain, wrapped


def picture(text: str, name: str = "a") -> str:
    words = Words(at=(5.0, 10.0), text=text)
    form = Form(d="M1 1h2v2Z", look="solid", tip=text, data=(("about", text),))
    return picture_svg(
        Picture(name=name, title=text, about=text[:20], size=(3000.0, 20.0), items=(words, form), looks={}, fills={})
    )


@settings(max_examples=80, deadline=None)
@given(st.text(max_size=300))
def test_whatever_is_written_comes_out_as_one_safe_line(text: str) -> None:
    svg = picture(text, text)
    root_of(svg)
    told = "".join(w.text for w in labels(svg))
    assert told == plain(text)
    assert len(told) <= 400
    assert not any(ord(c) < 32 or c in "\u200e\u200f\u202a\u202e\u2066\u2069\u2028" for c in told)


@settings(max_examples=80, deadline=None)
@given(st.text(alphabet=st.characters(codec="ascii"), max_size=200), st.floats(10, 60), st.integers(1, 5))
def test_lines_fit_their_room_and_keep_the_text(text: str, room: float, most: int) -> None:
    told = wrapped(text, room, 2.6, most=most)
    assert len(told) <= most
    assert all(text_width_mm(line, 2.6) <= room for line in told)
    if len(told) < most:
        assert "".join(told).replace(" ", "") == plain(text).replace(" ", "")


def test_words_are_kept_whole_where_they_fit() -> None:
    assert wrapped("take the tank off", 18.0, 2.6) == ("take the", "tank off")
    assert "".join(wrapped("x" * 50, 20.0, 2.6)) == "x" * 50


def test_a_picture_scales_and_is_named() -> None:
    svg = picture("a & b", "Job 1.tree")
    root = root_of(svg)
    assert faults(svg) == []
    assert root.attrib["viewBox"] == "0 0 3000 20"
    assert "width" not in root.attrib
    assert root.attrib["style"] == "max-width:3000mm"
    assert root.attrib["id"] == "p-job_1_tree"
    assert root.attrib["aria-labelledby"] == "p-job_1_tree-title p-job_1_tree-about"


@pytest.mark.parametrize("text", ["\ud800", "\ufffe\uffff", "a\u0000b", "]]>", "&#x1;", "<!--"])
def test_what_xml_cannot_hold_is_replaced(text: str) -> None:
    root_of(picture(text))
