"""Drawings and tables as files, for whoever lays answers out."""

from __future__ import annotations

from cagewright.base.drawing import Drawing
from cagewright.make.csvs import to_csv as to_csv
from cagewright.make.svg import to_svg as to_svg


def to_dxf(drawing: Drawing) -> bytes:
    """The drawing as DXF, true size in mm."""
    from cagewright.make import dxf  # loading it takes a second that the workbench saves

    return dxf.to_dxf(drawing)
