"""What the README shows is what the project does."""

import re
import runpy
import subprocess
import sys
from pathlib import Path

from cagewright.plan.read import read_plan_text
from cagewright.shape.resolve import resolve

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_plan_in_the_readme_is_a_cage():
    text = re.search(r"```yaml\n(.*?)```", README, re.DOTALL)
    assert text is not None
    assert len(resolve(read_plan_text(text[1], file="README.md")).members) == 2


def test_every_command_is_in_the_readme():
    helped = subprocess.run(
        [sys.executable, "-m", "cagewright", "--help"], capture_output=True, text=True, check=True
    ).stdout
    commands = re.findall(r"^  (\w[\w-]*)  ", helped.split("Commands:")[1], re.MULTILINE)
    assert len(commands) >= 6
    assert [c for c in commands if f"`{c}" not in README] == []


def test_every_link_leads_somewhere():
    links = re.findall(r"\]\(([^)#:]+)\)", README)
    assert links
    assert [link for link in links if not (ROOT / link).exists()] == []


def test_the_picture_is_the_demo():
    drawn = runpy.run_path(str(ROOT / "scripts" / "readme_picture.py"))["picture"]()
    assert (ROOT / "docs" / "brackwater.svg").read_text(encoding="utf-8") == drawn
