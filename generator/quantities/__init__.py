"""Units, formulas and tables: pure arithmetic, no YAML, no HTML."""
