"""CSV read back with the standard library's reader; rules from RFC 4180 (2005), section 2 (from memory)."""

import csv
import io

import pytest

from cagewright.base.sheet import Column, Table
from cagewright.make.csvs import to_csv


def table(*rows):
    return Table(title="t", columns=(Column(head="what"), Column(head="long", unit="mm")), rows=rows)


def back(made):
    return list(csv.reader(io.StringIO(made.decode("utf-8-sig"), newline=""), strict=True))


def test_head_carries_the_unit():
    assert back(to_csv(table()))[0] == ["what", "long (mm)"]


def test_lines_end_in_cr_lf_and_the_last_too():
    made = to_csv(table(("a", "1")))
    assert made.endswith(b"\r\n")
    assert made.count(b"\r\n") == made.count(b"\n") == 2


@pytest.mark.parametrize("cell", ['say "so"', "a,b", "two\r\nlines", "Ø45 × 2.5 °", '20 3/8"', "", " lead"])
def test_cells_come_back_as_they_were(cell):
    assert back(to_csv(table((cell, cell))))[1] == [cell, cell]


@pytest.mark.parametrize("cell", ["=1+1", "+cmd", "-2+3", "@sum(a1)", "\t=1", "\r=1", "-", '=HYPERLINK("x")'])
def test_formulas_are_defused(cell):
    assert back(to_csv(table((cell, "1"))))[1][0] == "'" + cell


@pytest.mark.parametrize("cell", ["-12.5", "+3", "-.5", "1e-3", "-1.2E+4", "0"])
def test_numbers_stay_numbers(cell):
    assert back(to_csv(table((cell, cell))))[1] == [cell, cell]


def test_a_spreadsheet_is_told_the_encoding():
    assert to_csv(table(("45°", "1"))).startswith(b"\xef\xbb\xbf")


def test_headings_are_defused_too():
    risky = Table(title="t", columns=(Column(head="=x"),), rows=())
    assert back(to_csv(risky)) == [["'=x"]]
