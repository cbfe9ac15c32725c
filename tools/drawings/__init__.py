"""The drawings of the library: `python -m tools.drawings` writes them to procedures/pictures."""
