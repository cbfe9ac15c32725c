"""Who is one person: initials as somebody typed them, compared.

An entry holds initials as they were typed. A second look that was typed as `ks` or `K.S.` is still that of KS. The same
table as site_overrides/phone/journal/people.js.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from typing import Any

from generator.quantities.sources import seen_letters


def person(who: Any) -> str:
    """Return initials in one form, however they were typed: letters and digits only, in capitals. "" is nobody."""
    return seen_letters(unicodedata.normalize("NFKD", who)).upper() if isinstance(who, str) else ""


def is_one_of(people: Iterable[str], who: Any) -> bool:
    """True if `who` names one of these people. Initials without a letter or digit name nobody."""
    named = person(who)
    return named != "" and named in map(person, people)
