"""The job book: a plan to work from, as one HTML file for the workshop wall and the phone in the pocket."""

from planner.book.facts import Paper, Signature
from planner.book.page import book_page

__all__ = ["Paper", "Signature", "book_page"]
