"""What a worksheet from a record must hold before a job is folded over it."""
