"""The job book: a plan to work from, as one HTML file for the workshop wall and the phone in the pocket."""

from planner.book.facts import BookFacts, Paper, Signature
from planner.book.page import book_page, session_page

__all__ = ["BookFacts", "Paper", "Signature", "book_page", "session_page"]
