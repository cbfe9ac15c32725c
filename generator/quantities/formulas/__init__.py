"""The language of formulas: its grammar, its checks, its trees and how they are walked."""
