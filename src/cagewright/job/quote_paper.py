"""The quote on paper: a one-page offer for the customer, and the cost table that stays in the shop."""

from __future__ import annotations

from cagewright.base.sheet import Column, Sheet, Table
from cagewright.job.quote import Quote
from cagewright.make.cells import facts

TO_WRITE = "…………………………"


def offer_sheet(quote: Quote, customer: str = "") -> Sheet | None:
    """The offer; None while the shop has not given every figure of it.

    Args:
        quote: the costs.
        customer: whom it is for; a line to write on where empty.
    """
    if quote.blanks:
        return None
    named = (("offered by", quote.shop), ("to", customer or TO_WRITE), ("for", quote.title),
             ("plan", f"revision {quote.revision}"))  # fmt: skip
    whole = (("price before tax", quote.net.said), ("tax", quote.tax.said), ("price", quote.price.said))
    signed = (("date", TO_WRITE), ("holds until", TO_WRITE), ("delivery", TO_WRITE),
              (f"for {quote.shop}", TO_WRITE), ("ordered, customer", TO_WRITE))  # fmt: skip
    holds = Table(
        title="It holds", columns=(Column(head=""),), rows=tuple((line,) for line in quote.contains)
    )
    return Sheet(
        name="offer",
        title="Offer",
        kind="offer",
        tables=(facts("", named), holds, facts("Price", whole), facts("", signed)),
        notes=("Not in it: what the plan does not show, and changes of it.", *quote.leaves_out),
    )


def costs_sheet(quote: Quote) -> Sheet:
    """Every line of the costs and their sum, blanks told."""
    sums = (("sum", quote.cost), ("margin", quote.margin), ("price before tax", quote.net),
            ("tax", quote.tax), ("price", quote.price), ("hours", quote.hours.total))  # fmt: skip
    return Sheet(
        name="costs",
        title="Costs",
        kind="costs",
        tables=(costs_table(quote), facts("All told", tuple((what, v.said) for what, v in sums))),
        notes=(quote.headline, *(b.words for b in quote.blanks), *quote.leaves_out, *quote.cautions),
    )


def costs_table(quote: Quote) -> Table:
    """The lines: what, how much of it, what one costs, what all of it costs, and where that is from."""
    heads = ("what", "how much", "one", "amount", "from")
    rows = tuple(
        (row.what, row.how_much, "–" if row.rate.value is None else row.rate.said,
         "–" if row.amount.value is None else row.amount.said, row.basis or row.amount.why)
        for row in quote.rows
    )  # fmt: skip
    right = {"one", "amount"}
    columns = tuple(Column(head=h, align="right" if h in right else "left") for h in heads)
    return Table(title="Costs, line by line", columns=columns, rows=rows)
