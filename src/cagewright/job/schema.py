"""What editors are told of plan files."""

from __future__ import annotations

from cagewright.plan.schema import plan_schema as plan_schema
