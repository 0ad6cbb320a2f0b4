"""A job book read back by an independent parser (html5lib, which holds a page against the HTML standard)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element  # the type only: html5lib parses

import html5lib

XHTML = "{http://www.w3.org/1999/xhtml}"


def tree(page: str) -> Element:
    """The page as elements; any breach of the standard is an error."""
    root: Element = html5lib.HTMLParser(html5lib.getTreeBuilder("etree"), strict=True).parse(page)
    return root


def words(element: Element) -> str:
    """All text of an element on one line, without what is written in style sheets, scripts and drawings."""
    return " ".join("".join(_texts(element)).split())


def _texts(element: Element) -> Iterator[str]:
    name = element.tag.rpartition("}")[2] if isinstance(element.tag, str) else "comment"
    if name in {"style", "script", "svg", "comment"}:
        return
    yield element.text or ""
    for child in element:
        yield from _texts(child)
        yield child.tail or ""
    if name in {"p", "li", "td", "th", "h1", "h2", "h3", "dt", "dd", "label", "div"}:
        yield " "


def having(element: Element, word: str) -> list[Element]:
    """Elements of a class."""
    return [e for e in element.iter() if word in (e.get("class") or "").split()]


def with_id(element: Element, name: str) -> Element:
    (found,) = [e for e in element.iter() if e.get("id") == name]
    return found


def texts_of(element: Element, name: str) -> list[str]:
    return [words(e) for e in element.iter(f"{XHTML}{name}")]


@dataclass
class Read:
    """A page and its parts."""

    page: str
    root: Element = field(init=False)

    def __post_init__(self) -> None:
        self.root = tree(self.page)

    @property
    def steps(self) -> list[Element]:
        return having(self.root, "step")

    def keys(self) -> list[str | None]:
        return [e.get("data-tick") for e in self.root.iter() if e.get("data-tick") is not None]

    def section(self, name: str) -> str:
        return words(with_id(self.root, name))
