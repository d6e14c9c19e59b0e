"""What holds the whole project together: imports, start-up, documents, words."""
