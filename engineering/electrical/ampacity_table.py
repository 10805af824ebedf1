"""33 CFR 183.425, Table 5: the allowable amperage of conductors, and its note 1 for engine spaces."""

INSULATIONS_C = (60, 75, 80, 90, 105, 125, 200)
"""Temperature ratings of insulation in °C, in the order of the columns."""

TABLE_5_A: dict[str, tuple[int, ...]] = {
    "18": (10, 10, 15, 20, 20, 25, 25), "16": (15, 15, 20, 25, 25, 30, 35), "14": (20, 20, 25, 30, 35, 40, 45),
    "12": (25, 25, 35, 40, 45, 50, 55), "10": (40, 40, 50, 55, 60, 70, 70), "8": (55, 65, 70, 70, 80, 90, 100),
    "6": (80, 95, 100, 100, 120, 125, 135), "4": (105, 125, 130, 135, 160, 170, 180),
    "2": (140, 170, 175, 180, 210, 225, 240), "1": (165, 195, 210, 210, 245, 265, 280),
    "1/0": (195, 230, 245, 245, 285, 305, 325), "2/0": (225, 265, 285, 285, 330, 355, 370),
    "3/0": (260, 310, 330, 330, 385, 410, 430), "4/0": (300, 360, 385, 385, 445, 475, 510),
}  # fmt: skip
"""By AWG size, in A, with 30 °C around the conductor."""
IN_ENGINE_SPACE = {60: 0.58, 75: 0.75, 80: 0.78, 90: 0.82, 105: 0.85, 125: 0.89, 200: 1.0}
"""What is left of the table with 50 °C around the conductor, by insulation. Source: note 1; 0.85 as marine catalogs
print it, 0.58, 0.75 and 0.82 as wire tables for buildings have them at 50 °C, the others from memory."""
