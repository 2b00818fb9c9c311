"""Writes the pages of docs/books made from the data: one per rule book, the list, and the measures."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from cagewright.base.dates import say_day
from cagewright.check.applies import WORD
from cagewright.check.bench import QUANTITIES
from cagewright.check.clauses import CLAUSES
from cagewright.check.findings import CAUTION, Known, known_by
from cagewright.check.library import book_ids, built_in
from cagewright.check.limit_words import say_limit
from cagewright.check.read import terms_read
from cagewright.check.readings import Measure
from cagewright.check.rules import CAGE_ROLES, EXAMPLE, FOOT, KIND, Applies, Book, Landmark, Rule
from cagewright.check.said import UNIT, say
from cagewright.check.vocabulary import MEASURES, PARTS
from cagewright.plan.types import Role

FOLDER = Path(__file__).parents[1] / "docs" / "books"
MADE = "<!-- made by scripts/books_docs.py from the data: do not edit -->\n"
CHECK = "**Check the current book.** Rule books change every year. " + CAUTION


def pages() -> dict[str, str]:
    """Every made page by file name."""
    books = [built_in(book_id) for book_id in book_ids()]
    return {
        **{f"{book.id}.md": book_page(book) for book in books},
        "README.md": list_page(books),
        "measures.md": measures_page(),
    }


def book_page(book: Book) -> str:
    """The page of one book: what it is, where its figures come from, and every row."""
    head = [
        MADE,
        f"# {book.title}",
        "",
        f"Edition: {book.edition}. In a plan: `car: {{rules: [{book.id}]}}`.",
        "",
        CHECK,
        "",
        f"Where the figures come from: {book.source}.",
    ]
    if book.note:
        head += ["", book.note]
    applies = say_applies(book.applies)
    if book.newer:
        since = say_day(book.newer.since.first)
        head += ["", f"For cars built from {since} there is [{book.newer.book}]({book.newer.book}.md)."]
    if applies:
        head += ["", f"For: {applies}."]
    table = ["", "| clause | what it asks | looks at | limit | how sure |", "|---|---|---|---|---|"]
    return "\n".join([*head, *table, *(row_line(rule) for rule in book.rules), "", *sources(book), ""])


SURE: dict[Known, str] = {
    "read": "read",
    "restated": "restated by two sources",
    "restated once": "restated once: fails or looks kept, check the current book",
    "remembered": "memory: looks kept or broken, check the current book",
    "computed": "computed",
    "shop": "shop",
}


def row_line(rule: Rule) -> str:
    cells = (
        rule.clause,
        rule.title,
        f"{rule.measure}: {say_scope(rule)}" if say_scope(rule) else rule.measure,
        say_limit(rule),
        SURE[known_by(rule.certainty, rule.confirmed)],
    )
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def sources(book: Book) -> list[str]:
    """A line for every row: its id, source and note."""
    return [
        "Rows and their sources:",
        "",
        *(f"- `{r.id}`: {r.source}{_also(r)}." + (f" {r.note}" if r.note else "") for r in book.rules),
    ]


def _also(rule: Rule) -> str:
    return f"; the same in: {rule.confirmed}" if rule.confirmed else ""


def list_page(books: list[Book]) -> str:
    lines = [
        MADE,
        "# Rule books",
        "",
        CHECK,
        "",
        "A plan names the books its car answers to: `car: {rules: [fia-253-2009, my-series.toml]}`.",
        "A name that ends in `.toml` is a house book beside the plan: see",
        "[writing a book](writing-a-book.md) and the [measures](measures.md).",
        "",
        "| book | title | edition | rows | read | restated twice | restated once | from memory |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for book in books:
        known = Counter(known_by(rule.certainty, rule.confirmed) for rule in book.rules)
        counts = (known[word] for word in ("read", "restated", "restated once", "remembered"))
        cells = (f"[{book.id}]({book.id}.md)", book.title, book.edition, len(book.rules), *counts)
        lines.append("| " + " | ".join(map(str, cells)) + " |")
    return "\n".join([*lines, ""])


def measures_page() -> str:
    lines = [
        MADE,
        "# Measures",
        "",
        "The closed vocabulary that rows are written in. A limit is `at_least`, `more_than`, `at_most`",
        'or `less_than` with its unit; a yes-or-no measure takes `must_be = "yes"` or `"no"`, and yes where',
        "it is left out.",
    ]
    for title, parts in PARTS.items():
        lines += ["", f"## {title}"]
        for part in parts:
            for measure in part.MEASURES:
                lines += measure_lines(measure)
    lines += ["", "## Functions of their own", ""]
    for clause in CLAUSES.values():
        lines.append(f"- `{clause.name}`: {clause.meaning} Passes: {clause.passes}. Fails: {clause.fails}.")
    lines += ["", "## Bench readings", "", "| reading | per | how |", "|---|---|---|"]
    lines += [f"| {name} | {quantity.per} | {quantity.how} |" for name, quantity in QUANTITIES.items()]
    return "\n".join([*lines, ""])


def measure_lines(measure: Measure) -> list[str]:
    terms = ", ".join(f"`{key}`" + ("" if key in measure.needs else " (may)") for key in terms_read(measure))
    return [
        "",
        f"### {measure.name}",
        "",
        f"One value per {measure.per}; {limit_words(measure)}. Keys: {terms or 'none'}.",
        "",
        measure.meaning,
        "",
        f"- passes: {measure.passes}",
        f"- fails: {measure.fails}",
    ]


def limit_words(measure: Measure) -> str:
    if measure.own_limit:
        return "the limit stands in its keys"
    if measure.sort is None:
        return "yes or no"
    kind = KIND[measure.sort]
    unit = UNIT[measure.sort]
    if kind == "number":
        return f"a plain number ({unit})" if unit else "a plain number"
    return f"a limit such as {EXAMPLE[kind]}"


def say_scope(rule: Rule) -> str:
    """What the row looks at: roles, feet or joints, end, side, and to which cars it applies."""
    t = rule
    parts = (
        _roles(t.members),
        _with("joined to", t.joined_to),
        _with("feet of", t.feet_of),
        _with("where cut:", t.joints_of),
        _with("on", t.joints_on),
        f"{t.end} end" if t.near else "",
        _near(t.near),
        f"{t.side} side" if rule.measure == "members per side" else "",
        _line(t, rule.measure),
        _with("above", t.above),
        f"body line '{t.opening}'" if t.opening else "",
        f"{t.fixing} feet" if t.fixing != "any" else "",
        f"weight {t.weight}" if t.table else "",
        say_applies(rule.applies),
    )
    return ", ".join(part for part in parts if part)


def _line(rule: Rule, measure: str) -> str:
    return f"{rule.line} line" if "line" in MEASURES[measure].needs + MEASURES[measure].takes else ""


def _near(near: Landmark | None) -> str:
    if near is None:
        return ""
    return "from a foot" if near is FOOT else f"from joints of {_roles(near.joint_of)} on {_roles(near.on)}"


def _with(word: str, roles: Sequence[Role]) -> str:
    return f"{word} {_roles(roles)}" if roles else ""


def _roles(roles: Sequence[Role]) -> str:
    missing = [role for role in CAGE_ROLES if role not in roles]
    if not missing:
        return "every tube of the cage"
    if len(missing) < len(roles):
        return f"every tube of the cage but {' and '.join(missing)}"
    return ", ".join(roles)


def say_applies(applies: Applies) -> str:
    """To which cars, in words; empty for every car."""
    words = f"cars called {' or '.join(applies.body)}" if applies.body else ""
    above = f"from {say('mass', applies.weight_from, 'mm')}" if applies.weight_from is not None else ""
    below = f"to {say('mass', applies.weight_to, 'mm')}" if applies.weight_to is not None else ""
    since = f"from {say_day(applies.since.first)}" if applies.since else ""
    until = f"until {say_day(applies.until.last)}" if applies.until else ""
    dated = " ".join(word for word in (since, until) if word)
    dates = f"cars {WORD[applies.by]} {dated}" if dated else ""
    return ", ".join(word for word in (words, above, below, dates) if word)


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, text in pages().items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    sys.stdout.write(f"{len(pages())} pages in {FOLDER}\n")


if __name__ == "__main__":
    main()
