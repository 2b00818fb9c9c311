"""What is in a plan and what the shop cuts, as answers: the same wherever they are laid out."""

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from cagewright.base.plain import plain
from cagewright.job.contents import contents_of
from cagewright.job.cutting import cutting_of, to_see_to_in
from cagewright.job.opening import open_job
from cagewright.job.papers import shop_tables_of, table_name
from cagewright.stock.shop import NO_SHOP
from kept import KEPT

pytestmark = pytest.mark.usefixtures("kept_answers")
EXAMPLES = Path(__file__).parents[3] / "examples"
MM, INCH = (open_job(EXAMPLES / f"brackwater{end}.yaml", KEPT) for end in ("", "-inch"))


@pytest.mark.slow
@pytest.mark.parametrize("job", [MM, INCH], ids=["mm", "inch"])
def test_the_command_says_what_the_answer_says(job):
    found = contents_of(job)
    ended = subprocess.run(
        [sys.executable, "-m", "cagewright", "show", str(job.path), "--json"],
        capture_output=True, text=True, check=True, env={**os.environ, "COLUMNS": "200"},
    )  # fmt: skip
    assert json.loads(ended.stdout) == json.loads(json.dumps(plain(found)))
    hoop = found.members[0]
    assert hoop.length.value == pytest.approx(job.cage.members[0].length)
    assert hoop.length.unit == "mm"
    assert hoop.length.said.endswith(" mm" if job.cage.units == "mm" else '"')


@pytest.mark.slow  # whole papers, with their pushes
def test_each_member_has_the_length_of_the_cut_list():
    cutting = cutting_of(INCH)
    for member, row in zip(contents_of(INCH).members, cutting.sheets[2].tables[0].rows, strict=True):
        assert member.shown == row[0]
        assert member.length.said == f'{row[3]}"'


@pytest.mark.slow
def test_what_a_shop_cannot_bend_is_part_of_every_answer():
    """A shop without dies: the plan's contents, the cutting and the command all say so."""
    bare = replace(MM, shop=NO_SHOP)
    contents, cutting = contents_of(bare), cutting_of(bare)
    wanted = [s.words for s in contents.to_see_to]
    assert any("main hoop, bend 1: the shop has no die for 45 x 2.5 mm" in words for words in wanted)
    assert set(wanted) <= {s.words for s in cutting.to_see_to} == {s.words for s in to_see_to_in(bare)}
    assert contents.level == cutting.level == "look at"
    assert (contents_of(MM).to_see_to, contents_of(MM).level) == ((), "fine")


@pytest.mark.slow
def test_show_prints_what_the_shop_must_see_to(tmp_path: Path):
    text = (EXAMPLES / "roll-bar.yaml").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("shop:")]
    (tmp_path / "plan.yaml").write_text("\n".join(lines), encoding="utf-8")
    ended = subprocess.run(
        [sys.executable, "-m", "cagewright", "show", str(tmp_path / "plan.yaml")],
        capture_output=True,
        text=True,
    )
    assert "To be seen to: member main hoop, bend 1: the shop has no die" in ended.stderr


@pytest.mark.slow
def test_lists_for_machines_are_in_decimals():
    """A mark such as 57 3/4 stands on paper; a machine's list says 57.750."""
    tables = shop_tables_of(INCH)
    sheets = cutting_of(INCH).sheets
    for sheet in sheets:
        for table in sheet.tables:
            decimal = tables[table_name(sheet, table)]
            for i, column in enumerate(decimal.columns):
                if column.unit == "in":
                    cells = [row[i] for row in decimal.rows if row[i] not in ("–", "")]
                    assert all("/" not in cell and float(cell) > -1e4 for cell in cells)
            assert len(decimal.rows) == len(table.rows)
