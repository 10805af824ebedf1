"""The judgment of a value that is not logged yet, as the sheet shows it."""

from __future__ import annotations

from dataclasses import dataclass, field

from findings.drawing.pictures import RangeStrip, Verdict


@dataclass(frozen=True)
class Said:
    """The judgment of a value that is not logged yet; ``strip`` is None where nothing judges it."""

    strip: RangeStrip | None
    odd: list[str] = field(default_factory=list)

    @property
    def verdict(self) -> str:
        """In range, near, out; empty where nothing judges it."""
        return self.strip.verdict.value if self.strip else ""

    @property
    def verdict_left_out(self) -> str:
        """The verdict, where the sentence does not say it itself."""
        return "" if self.strip is None or self.verdict in self.strip.sentence else self.verdict

    @property
    def mark(self) -> str:
        """The verdict as the style sheet names it."""
        return (
            {Verdict.IN_RANGE: "in", Verdict.NEAR: "near", Verdict.OUT: "out"}.get(self.strip.verdict, "")
            if self.strip
            else ""
        )
