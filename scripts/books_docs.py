"""Writes the pages of docs/books made from the data: one per rule book, the list, and the measures."""

from __future__ import annotations

import sys
from pathlib import Path

from cagewright.check.bench import QUANTITIES
from cagewright.check.clauses import CLAUSES
from cagewright.check.describe import say_applies, say_limit, say_scope
from cagewright.check.findings import CAUTION
from cagewright.check.library import book_ids, built_in
from cagewright.check.read import terms_read
from cagewright.check.readings import Measure
from cagewright.check.rules import EXAMPLE, KIND, Book, Rule
from cagewright.check.said import UNIT
from cagewright.check.vocabulary import PARTS

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
    if applies:
        head += ["", f"For: {applies}."]
    table = ["", "| clause | what it asks | looks at | limit | how sure |", "|---|---|---|---|---|"]
    return "\n".join([*head, *table, *(row_line(rule) for rule in book.rules), "", *sources(book), ""])


def row_line(rule: Rule) -> str:
    cells = (
        rule.clause,
        rule.title,
        f"{rule.measure}: {say_scope(rule)}" if say_scope(rule) else rule.measure,
        say_limit(rule),
        "memory: warns only, check the current book" if rule.certainty == "memory" else rule.certainty,
    )
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def sources(book: Book) -> list[str]:
    """A line for every row: its id, source and note."""
    return [
        "Rows and their sources:",
        "",
        *(f"- `{r.id}`: {r.source}." + (f" {r.note}" if r.note else "") for r in book.rules),
    ]


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
        "| book | title | edition | rows | of them from memory |",
        "|---|---|---|---|---|",
    ]
    for book in books:
        memory = sum(rule.certainty == "memory" for rule in book.rules)
        lines.append(
            f"| [{book.id}]({book.id}.md) | {book.title} | {book.edition} | {len(book.rules)} | {memory} |"
        )
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


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, text in pages().items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    sys.stdout.write(f"{len(pages())} pages in {FOLDER}\n")


if __name__ == "__main__":
    main()
