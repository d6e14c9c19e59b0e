"""The same core over many places: lists of them, worked through in parallel and resumable."""
