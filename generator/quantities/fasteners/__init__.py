"""Bolts and wrenches: tables, threads and classes, torque and band, what a casting holds, what to set."""
