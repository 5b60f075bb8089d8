"""Names made comparable: no accents, no case, no punctuation."""

import re
import unicodedata
from difflib import SequenceMatcher

# Letters that Unicode does not split into a base letter and an accent.
_LETTERS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i"})
# Müller is also written Mueller; both become "muller".
_UMLAUTS = re.compile(r"(?<=[aou])e")
ALIKE = 0.75


def folded(text: str) -> str:
    """ "Zoë  O'Neill-Müller" -> "zo oneill muller" (umlauts in either spelling give the same)."""
    plain = text.casefold().translate(_LETTERS)
    plain = "".join(char for char in unicodedata.normalize("NFKD", plain) if not unicodedata.combining(char))
    plain = re.sub(r"['’`]", "", plain)
    return _UMLAUTS.sub("", " ".join(re.findall(r"\w+", plain)))


def are_alike(one: str, other: str) -> bool:
    """Whether two folded names may be the same person's: a name in common, or nearly the same letters."""
    parts, others = set(one.split()), set(other.split())
    if any(len(part) > 2 for part in parts & others):
        return True
    likeness = SequenceMatcher(None, " ".join(sorted(parts)), " ".join(sorted(others))).ratio()
    return likeness >= ALIKE
