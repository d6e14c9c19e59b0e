"""Sheets: what each answer says, held to its result."""
