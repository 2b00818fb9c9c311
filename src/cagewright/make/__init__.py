"""What goes to the shop: cut list, bend sheets, cope wraps, weld map; SVG, DXF, CSV."""
