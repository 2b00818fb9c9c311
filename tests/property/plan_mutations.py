"""Plan files spoilt at random, the same way for the same seed; for whatever reads them to be tried on.

A reader is anything that takes the bytes of a file. It survives a spoilt file if it gives something or raises
``ProblemsFound``, within ``LONGEST``. ``tests/property/test_plan_fuzz.py`` tries the reader of plans, and any
later stage can be tried the same way: ``survives(read_and_resolve, raw)``.
"""

from __future__ import annotations

import gc
import random
import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from cagewright.base.problems import ProblemsFound

ROOT = Path(__file__).parents[2]
SEEDS = [
    *sorted(p for p in (ROOT / "examples").glob("*.yaml") if not p.name.endswith(".shop.yaml")),
    *sorted((ROOT / "examples" / "mistakes").glob("*.yaml")),
]
LONGEST = 2.0
"""The longest that one file may take, s of the processor's time: a requirement, not a benchmark."""
NUMBER = re.compile(rb"(?<![\w.])-?\d+(?:\.\d+)?")
WORD = re.compile(rb"[A-Za-z_][A-Za-z0-9_]+")
NUMBERS = [
    b"1e308", b"-1e308", b"1e999", b".inf", b"-.inf", b".nan", b"NaN", b"inf", b"0", b"-0", b"1e-300",
    b"9" * 400, b"0x" + b"f" * 300, b"0o777", b"1_000", b"1:30", b"1/0", b"1 1/0 in", b"9999999 in",
    b"1" + b"0" * 5000, b"1e1000000000",
]  # fmt: skip
VALUES = [
    b"null", b"~", b"", b"true", b"no", b"[]", b"{}", b"[[]]", b"{a: {b: c}}", b"''", b'"\\0"', b'"\\x1b[2J"',
    b"-", b"*x", b"&x", b"!!python/object:os.system x", b"!!binary aGk=", b"<<", b"? a", b"|", b">-", b"%",
    b"@", b"`", b"# ", b"...", b"---", b"x" * 3000, b"2001-01-01", "ß€𝄞".encode(), b"[1, 2, 3]",
    b"{on: main_hoop}", b"{foot: x, on: y}",
]  # fmt: skip
JUNK = [
    b"\x00", b"\x07", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\xc3", b"\t", b"\r", b"\r\n", b"\xc2\x85",
    b"\xe2\x80\xa8", b"\x7f", b"\xed\xa0\x80",
]  # fmt: skip

Spoil = Callable[[bytes, random.Random], bytes]


def truncated(raw: bytes, luck: random.Random) -> bytes:
    return raw[: luck.randrange(len(raw) + 1)]


def flipped(raw: bytes, luck: random.Random) -> bytes:
    new = bytearray(raw)
    for _ in range(luck.randint(1, 8)):
        if new:
            new[luck.randrange(len(new))] ^= 1 << luck.randrange(8)
    return bytes(new)


def shuffled_lines(raw: bytes, luck: random.Random) -> bytes:
    lines = raw.splitlines(keepends=True)
    luck.shuffle(lines)
    return b"".join(lines)


def moved_line(raw: bytes, luck: random.Random) -> bytes:
    lines = raw.splitlines(keepends=True)
    if lines:
        lines.insert(luck.randrange(len(lines)), lines.pop(luck.randrange(len(lines))))
    return b"".join(lines)


def doubled_part(raw: bytes, luck: random.Random) -> bytes:
    a, b = sorted(luck.randrange(len(raw) + 1) for _ in range(2))
    at = luck.randrange(len(raw) + 1)
    return raw[:at] + raw[a:b] + raw[at:]


def dropped_part(raw: bytes, luck: random.Random) -> bytes:
    a = luck.randrange(len(raw) + 1)
    return raw[:a] + raw[a + luck.randint(1, 40) :]


def another_number(raw: bytes, luck: random.Random) -> bytes:
    return _at_one_of(NUMBER, raw, luck.choice(NUMBERS), luck)


def another_value(raw: bytes, luck: random.Random) -> bytes:
    return _at_one_of(luck.choice((NUMBER, WORD)), raw, luck.choice(VALUES), luck)


def another_word(raw: bytes, luck: random.Random) -> bytes:
    words = WORD.findall(raw) or [b"x"]
    return _at_one_of(WORD, raw, luck.choice(words), luck)


def junk(raw: bytes, luck: random.Random) -> bytes:
    at = luck.randrange(len(raw) + 1)
    return raw[:at] + luck.choice(JUNK) + raw[at:]


def nested(raw: bytes, luck: random.Random) -> bytes:
    deep = luck.choice((5, 39, 41, 200, 3000))
    opening, closing = luck.choice((
        (b"[", b"]"),
        (b"{a: ", b"}"),
        (b"- ", b""),
        (b"[{a: ", b"}]"),
        (b"? ", b""),
    ))
    return _at_one_of(luck.choice((NUMBER, WORD)), raw, opening * deep + b"1" + closing * deep, luck)


def other_line_ends(raw: bytes, luck: random.Random) -> bytes:
    return raw.replace(b"\n", luck.choice((b"\r\n", b"\r", b"\n\n", b"\n\t", b"\n  ")))


def other_coding(raw: bytes, luck: random.Random) -> bytes:
    return raw.decode("utf-8", "replace").encode(
        luck.choice(("utf-16", "utf-32", "latin-1", "utf-8-sig")), "replace"
    )


def bomb(raw: bytes, luck: random.Random) -> bytes:
    wide, high = luck.randint(2, 12), luck.randint(3, 12)
    rows = [b"z0: &z0 [1, 2, 3]"]
    rows += [b"z%d: &z%d [%s]" % (i, i, b", ".join([b"*z%d" % (i - 1)] * wide)) for i in range(1, high)]
    return raw + b"\n" + b"\n".join(rows) + b"\n" + b"tubes: *z%d\n" % (high - 1)


def long_list(raw: bytes, luck: random.Random) -> bytes:
    item = luck.choice((b"1", b"[1, 2, 3]", b"{on: main_hoop, up: 3}", b"x", b"{foot: a}"))
    return _at_one_of(re.compile(rb"\["), raw, b"[" + (item + b", ") * luck.choice((50, 500, 3000)), luck)


def _at_one_of(what: re.Pattern[bytes], raw: bytes, new: bytes, luck: random.Random) -> bytes:
    hits = [m.span() for m in what.finditer(raw)]
    if not hits:
        return raw + new
    a, b = luck.choice(hits)
    return raw[:a] + new + raw[b:]


SMALL: list[Spoil] = [
    truncated, flipped, shuffled_lines, moved_line, doubled_part, dropped_part, another_number, another_value,
    another_word, junk, nested, other_line_ends, other_coding, bomb, long_list,
]  # fmt: skip


def spoilt(count: int, seed: int) -> Iterator[tuple[str, bytes]]:
    """``count`` spoilt plans with what was done to them."""
    raws = [p.read_bytes() for p in SEEDS]
    for n in range(count):
        luck = random.Random(f"{seed}/{n}")
        which = luck.randrange(len(raws))
        ways = [luck.choice(SMALL) for _ in range(luck.choice((1, 1, 1, 2, 3)))]
        raw = raws[which]
        for way in ways:
            raw = way(raw, luck)
        yield f"{n}: {SEEDS[which].name} {' '.join(w.__name__ for w in ways)}", raw


def rows(row: bytes, count: int) -> bytes:
    """The row ``count`` times, with its number for every ``#``."""
    return b"".join(row.replace(b"#", b"%d" % n) + b"\n" for n in range(count))


def big() -> Iterator[tuple[str, bytes]]:
    """Files as large as are read, and larger, each of one kind all through."""
    head = b"cagewright: 1\ntitle: x\n"
    member = b"  m#: {role: diagonal, tube: t, path: [[1, 2, 3], a]}"
    bodies: dict[str, bytes] = {
        "unknown keys": rows(b"k#: 1", 90_000),
        "one key": rows(b"a: 1", 190_000),
        "empty values": rows(b"k#:", 90_000),
        "points": b"points:\n" + rows(b"  p#: [1, 2, 3]", 19_000),
        "bad points": b"points:\n" + rows(b"  p#: [1, x]", 24_000),
        "unknown names": b"plates:\n" + rows(b"  p#: {corners: [q#, r, s], thickness: 2}", 11_000),
        "unknown names beside known ones": b"points:\n" + rows(b"  point_number_#: [1, 2, 3]", 9_000)
        + b"plates:\n" + rows(b"  p#: {corners: [point_numbre_#, r, s], thickness: 2}", 5_000),
        "unknown steels": b"steels:\n" + rows(b"  s#: {yield_strength: 1, tensile: 2, source: x}", 5_000)
        + b"tubes:\n" + rows(b"  t#: {od: 38, wall: 2, steel: u#}", 5_000),
        "taken names": b"points:\n" + rows(b"  p#: {at: [1, 2, 3], mirror: p0}", 10_000),
        "long name": b"members: {" + b"m" * 900_000 + b": 1}\n",
        "long words": b"members:\n" + rows(b"  m#" + b"m" * 50_000 + b": 1", 18),
        "open brackets": b"a: " + b"[" * 900_000,
        "open braces": b"a: " + b"{" * 900_000,
        "dashes": b"a: " + b"- " * 450_000,
        "question marks": b"a: " + b"? " * 450_000,
        "quotes": b"a: " + b'"' * 900_000,
        "anchors": b"a: [" + b"&a 1, *a, " * 90_000 + b"]",
        "comment": b"#" * 900_000,
        "spaces": b"a:" + b" " * 900_000 + b"1",
        "line breaks": b"\n" * 900_000,
        "colons": b"a" + b":" * 900_000,
        "digits": b"a: " + b"9" * 900_000,
        "folded": b"a: >\n" + b"  x\n" * 200_000,
        "escapes": b'a: "' + b"\\u0041" * 150_000 + b'"',
        "a chain of members": b"tubes: {t: {od: 38, wall: 2, steel: E355+N}}\nmembers:\n"
        + b"".join(
            b"  m%d: {role: diagonal, tube: t, path: [{on: m%d, up: 1}, [1, 2, 3]]}\n" % (i, (i + 1) % 400)
            for i in range(400)
        ),
        "too many members": b"members:\n" + rows(member, 8_000),
        "shared": b"a: &a [" + b"1, " * 5000 + b"]\nb: [" + b"*a, " * 17 + b"1]\n",
        "shared paths": b"shell:\n  lines:\n    l: {path: &p [" + b"[1, 2, 3], " * 1900 + b"]}\n"
        + rows(b"    l#: {path: *p}", 11),
    }  # fmt: skip
    yield from ((name, head + body) for name, body in bodies.items())
    yield "10 MB of words", head + b"a: b\n" * 2_000_000
    yield "10 MB of zeros", bytes(10_000_000)
    yield "10 MB of one character", b"x" * 10_000_000


def survives(read: Callable[[bytes], object], raw: bytes) -> tuple[object, float]:
    """What the reader makes of the bytes (or the ProblemsFound it raised), and how long it took, s.

    Where that was too long it is read twice more and the shortest counts, what earlier tests left in memory
    kept from the garbage collector: neither a busy machine nor a full heap is the reader's.
    """
    made, took = _timed(read, raw)
    gc.freeze()
    for _ in range(2):
        if took >= LONGEST:
            took = min(took, _timed(read, raw)[1])
    gc.unfreeze()
    return made, took


def _timed(read: Callable[[bytes], object], raw: bytes) -> tuple[object, float]:
    start = time.process_time()
    try:
        made: object = read(raw)
    except ProblemsFound as found:
        made = found
    return made, time.process_time() - start
