"""Growing spots: how a position differs from the open air."""
