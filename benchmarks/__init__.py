"""Figures of the program, measured on the machine at hand."""
