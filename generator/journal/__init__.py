"""The journal's own parts. From outside, import `generator.journal.fold`."""
