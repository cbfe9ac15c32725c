"""What comes in from a shop's folder: names, bytes, YAML, pictures."""
