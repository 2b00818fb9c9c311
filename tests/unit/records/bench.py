"""A bench at work in a process of its own: writes readings and says each number once it is committed.

Run: ``python bench.py RECORD FIRST COUNT NAME [most bytes a file may have]``.
"""

import sys

from cagewright.base.problems import ProblemsFound
from cagewright.records.entries import Hand, add_reading
from cagewright.records.opening import opened


def work(where: str, first: int, count: int, name: str) -> None:
    with opened(where) as record:
        print("open", flush=True)
        for number in range(first, first + count):
            add_reading(record, "BW1", ("a", f"{name}{number}"), f"{1000 + number}", hand=Hand(by=name))
            print(number, flush=True)


def main() -> int:
    where, first, count, name = sys.argv[1:5]
    if len(sys.argv) > 5:
        import resource

        most = int(sys.argv[5])
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    try:
        work(where, int(first), int(count), name)
    except ProblemsFound as found:
        print(found.problems[0].code, flush=True)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
