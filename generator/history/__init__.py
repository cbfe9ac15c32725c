"""A job as plain text for a person at a desk: what was done, by whom, when, and what is still open."""
