"""What a worksheet from a record must hold to be folded over."""
