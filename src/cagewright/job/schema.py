"""What editors are told of plan, set and tube-reading files."""

from __future__ import annotations

from cagewright.plan.schema import plan_schema as plan_schema
from cagewright.plan.schema import set_schema as set_schema
from cagewright.plan.schema import tube_schema as tube_schema
