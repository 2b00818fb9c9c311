"""What editors are told of plan and set files."""

from __future__ import annotations

from cagewright.plan.schema import plan_schema as plan_schema
from cagewright.plan.schema import set_schema as set_schema
