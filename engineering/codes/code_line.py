"""The tokens of one line put together: each SPN with its FMI, each code with its status and count."""

from engineering.codes.code import Code, CodeProblem, CodeStatus, CodeSystem
from engineering.codes.lines import SeenCode
from engineering.codes.notation import make_code
from engineering.codes.spn import COUNT_NOT_AVAILABLE
from engineering.codes.text_tokens import Mark, Token


class LineOfCodes:
    """Puts the tokens of one line together: each SPN with its FMI, each code with its status and count."""

    def __init__(self, line: int, heading: CodeStatus | None, flash: CodeSystem) -> None:
        """``heading`` is the status of codes that have none of their own; ``flash`` whose codes FLASH tokens are."""
        self._line = line
        self._heading = heading
        self._flash = flash
        self._spn: Token | None = None
        self._fmi: Token | None = None
        self._waiting: list[CodeStatus] = []
        self._first_is_status: bool | None = None
        self._found: list[tuple[Code, str]] = []
        self._statuses: list[list[CodeStatus]] = []
        self._counts: list[int | None] = []
        self._early_count: int | None = None
        self._open_from = 0
        self._unclear: list[Token] = []
        self.problems: list[str] = []
        self.codes: list[SeenCode] = []

    def take(self, token: Token) -> None:
        """Take the next token of the line."""
        if token.mark is Mark.STATUS and token.status:
            self._take_status(token.status)
        elif token.mark is Mark.COUNT:
            self._take_count(int(token.values[0]))
        elif token.mark in (Mark.SPN, Mark.FMI):
            self._take_half(token)
        elif token.mark is Mark.UNCLEAR_PAIR:
            self._unclear.append(token)
        elif token.mark is Mark.UNCLEAR_NUMBER:
            number = token.values[0]
            self.problems.append(f"“{number}” was not read: write “count {number}” after its code if it is a count.")
        elif token.mark is Mark.FLASH:
            for text in token.values[0].replace(";", ",").split(","):
                self._take_code(self._flash, text, text.strip())
        else:
            system = CodeSystem.OBD if token.mark is Mark.OBD else CodeSystem.SPN
            self._take_code(system, "-".join(token.values), token.raw)

    def finish(self) -> None:
        """After the last token: ``codes`` and ``problems`` are complete."""
        self._drop_half()
        self._judge_unclear()
        for (code, raw), statuses, count in zip(self._found, self._statuses, self._counts, strict=True):
            given: list[CodeStatus | None] = list(dict.fromkeys(statuses)) or [self._heading]
            problem = _reserved(code)
            if code.system is CodeSystem.SPN and count == COUNT_NOT_AVAILABLE:
                count = None  # noqa: PLW2901 - a unit sends 127 where it keeps no count
            for status in given:
                self.codes.append(SeenCode(code, status, count, self._line, None, raw, problem))

    def _take_status(self, status: CodeStatus) -> None:
        if self._first_is_status is None:
            self._first_is_status = True
        if self._first_is_status:
            if self._found and self._open_from < len(self._found):
                self._waiting = []
                self._open_from = len(self._found)
            self._waiting.append(status)
            return
        for statuses in self._statuses[self._open_from :] or self._statuses[-1:]:
            statuses.append(status)
        self._open_from = len(self._statuses)

    def _take_count(self, count: int) -> None:
        if self._counts and self._counts[-1] is None:
            self._counts[-1] = count
        elif not self._counts:
            self._early_count = count
        else:
            self.problems.append(f"The count {count} belongs to no code without a count before it.")

    def _take_half(self, token: Token) -> None:
        """An SPN waits for its FMI, or an FMI for its SPN, whichever stands first."""
        if token.mark is Mark.SPN:
            if self._spn is not None:
                self._drop_half()
            self._spn = token
        else:
            if self._fmi is not None:
                self._drop_half()
            self._fmi = token
        if self._spn and self._fmi:
            first, last = sorted((self._spn, self._fmi), key=lambda half: half.start)
            text = f"{self._spn.values[0]}-{self._fmi.values[0]}"
            self._spn = self._fmi = None
            self._take_code(CodeSystem.SPN, text, f"{first.raw} {last.raw}")

    def _drop_half(self) -> None:
        if self._spn:
            self.problems.append(f"{self._spn.raw} stands without an FMI: write both, like 110-0.")
        if self._fmi:
            self.problems.append(f"{self._fmi.raw} stands without an SPN: write both, like 110-0.")
        self._spn = self._fmi = None

    def _take_code(self, system: CodeSystem, text: str, raw: str) -> None:
        if self._first_is_status is None:
            self._first_is_status = False
        try:
            code = make_code(system, text)
        except CodeProblem as problem:
            self.problems.append(problem.sentence)
            return
        self._found.append((code, raw))
        self._statuses.append(list(self._waiting) if self._first_is_status else [])
        self._counts.append(self._early_count)
        self._early_count = None

    def _judge_unclear(self) -> None:
        """Say which pairs were not read, but for one that repeats a code of the line: "SPN 110 FMI 0 (110-0)"."""
        found = {code.text for code, _ in self._found}
        for token in self._unclear:
            if f"{int(token.values[0])}-{int(token.values[1])}" in found:
                continue
            if found:
                why = "was not read, as the other codes of the line name their system"
            else:
                why = "may be an SPN with FMI, a blink code or a date"
            self.problems.append(f"“{token.raw}” {why}: write SPN and FMI, or choose the system.")


def _reserved(code: Code) -> str | None:
    if code.system is not CodeSystem.SPN:
        return None
    fmi = int(code.text.partition("-")[2])
    return f"FMI {fmi} is reserved." if 22 <= fmi <= 30 else None


def seen_sentence(seen: SeenCode) -> str:
    """One code of a line in words, without a full stop."""
    status = str(seen.status) if seen.status else "no status given"
    count = f", count {seen.count}" if seen.count is not None else ""
    problem = f" ({seen.problem.rstrip('.')})" if seen.problem else ""
    return f"{seen.code}, {status}{count}{problem}"
