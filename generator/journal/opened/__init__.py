"""What a job has open: the ledger of its worksheet, and what older worksheets add."""
