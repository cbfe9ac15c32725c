"""The journal's own parts; `generator.journal.fold` is the door."""
