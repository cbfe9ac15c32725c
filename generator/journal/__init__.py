"""The journal's own parts; `generator.fold` is the door."""
