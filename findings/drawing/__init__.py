"""Pictures of findings as SVG: state flags, fault lanes and range strips.

Pure functions over the frozen inputs of `pictures.py`: no Django, no database, no clock. The same SVG
serves the screen and the PDF: shapes carry explicit colors as presentation attributes, which print as they
are, and a class each, through which the screen's style sheet replaces them by the reader's color scheme.
"""
