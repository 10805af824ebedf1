"""Numbers that go further than a standard has them."""


def beyond(*told: tuple[str, int, int]) -> str:
    """Which numbers are too large, and how far each goes; empty where none is. Each: its name, itself, the largest."""
    said = []
    for name, number, most in told:
        article = "a" if name[0] == "P" else "an"
        if number > most:
            said.append(f"{name} {number} is too large: {article} {name} is from 0 to {most}.")
    return " ".join(said)
