"""1,000 random changes of the trail, each made past every trigger and looked for.

`python -m tests.torture.tampering [changes]`. The kinds are in tampers.py; heads kept elsewhere show a cut.
"""

import sys
from collections import Counter

from tests.torture.practice import boards, folder_of_its_own
from tests.torture.told import Told

CHANGES = 1000


def main(changes: int = CHANGES) -> int:
    told = Told()
    with folder_of_its_own():
        boards(60)
        from tests.torture.tampers import tampers

        tried = list(tampers(changes, seed=9))
    for what, count in sorted(Counter(each.what.split(":")[0] for each in tried).items()):
        told.figure(f"{count:5} {what}")
    missed = [each.what for each in tried if not each.found]
    told.promise(f"{len(tried) - len(missed)} of {changes} changes found {missed[:3] or ''}", not missed)
    return told.end()


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
