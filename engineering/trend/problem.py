"""What a calculation about trends refuses."""

from __future__ import annotations


class TrendProblem(ValueError):  # noqa: N818 - named after what it tells the user
    """An input that makes no sense; ``sentence`` says how to mend it, ``field`` is the argument it is about."""

    def __init__(self, sentence: str, *, field: str = "") -> None:
        """Keep the sentence for the field it belongs to."""
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field
