"""Printed sheets: one template each, filled from the plain data of a result, set by typst."""
