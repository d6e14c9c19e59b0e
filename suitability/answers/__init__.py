"""Answers: each result told as one sheet, the only place where words are chosen."""
