"""Handturn: shop procedures written as YAML, compiled into pages that work on a phone with no network."""

__version__ = "0.1.0"
