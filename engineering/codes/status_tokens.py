"""The statuses in a line of words, and those that are said not to be so."""

import re

from engineering.codes.code import CodeStatus
from engineering.codes.tokens import Mark, Taken, Token
from engineering.codes.vocabulary import FLAG, STATUSES, WHOLE_STATUS, status_of

_NEGATED = re.compile(
    r"(?<![A-Z0-9])(?:NOT|NEVER|NONE|ZERO|NO|NON|WAS|WERE|BEEN|ISN'?T|HAD|NICHT|KEINE?[NR]?|PAS|NIET|GEEN|IKKE|INTE"
    r"|EI|NAO|SIN|EJ|ICKE|OHNE|SANS|SENZA|ZONDER|SEM|UDEN|UTEN|UTAN|ILMAN|AUCUNE?|NINGUN[OA]?|NESSUN[OA]?|NENHUMA?"
    r"|INGEN|INGA|INGET"
    r"|WAR|WAREN|ETAIT|FUE|ERA|FOI|VAR|OLI"
    r"|IF|WOULD|FORMERLY|WITHOUT|LAST|OLD)(?: [A-Z']{1,12})? ?$"
)
_LEGEND = re.compile(r"(?:^|[(\[,; ])(?:[A-Z]|[*+#]{1,2}) ?= ?$")
"""Before a status that a sign or a letter is said to stand for."""
_TALLY = re.compile(r" ?[:=] ?[0-9]{1,3}(?![A-Z0-9.:/-])")
_ADDED = re.compile(r" ?: ?[A-Z0-9]")
_IN_A_SENTENCE = re.compile(
    r"(?<![A-Z])(?:BUT|HOWEVER|ALTHOUGH|THOUGH|ABER|JEDOCH|DOCH|SONDERN|MAIS|PERO|SINO|MA|PERO'|MAAR|MAS|POREM|MEN|MUTTA|VAAN)"
    r"(?![A-Z])"
)
_NONE_BETWEEN = re.compile(r" (?:NONE|NIL|ZERO|KEINE[NR]?|AUCUNE?|NINGUN[OA]|NESSUN[OA]|GEEN|NENHUMA?|INGEN|INGA) ")
_PART_OF_WORD = re.compile(r"(?<![A-Z0-9])[A-Z]{2,10}-$")
_WEAKENED = re.compile(
    r"(?<![A-Z])(?:SOON|NEARLY|ALMOST|SOMETIMES|OCCASIONALLY|ONCE|BRIEFLY|MOMENTARILY|INTERMITTENTLY|RARELY|SELDOM|HARDLY"
    r"|(?:MAY|MIGHT|COULD|SHOULD|WOULD|CAN|MUST)(?: BE)?|PROBABLY|POSSIBLY|PERHAPS|MAYBE|LIKELY|ZEITWEISE|MANCHMAL|KURZ"
    r"|KURZZEITIG|GELEGENTLICH|SELTEN|WOHL|VIELLEICHT|BEI [A-Z]{3,20}|PARFOIS|RAREMENT|A VECES|TALVOLTA|A VOLTE|SOMS"
    r"|AF EN TOE"
    r"|AS VEZES|INDIMELLEM|IBLAND|IBLANT|AV OG TIL|JOSKUS|A ETE|ESTUVO|E'? STAT[OA]|STAT[OA]|ESTEVE|VAE?RT|VAE?RET"
    r"|VARIT|NEITHER|NOR|WEDER|NI|NE|NEM|HVERKEN|VERKEN|VARKEN|EIKA|NOCH [A-Z]{4,20} NOCH) ?$"
)
"""Right before a status: it was so, may be so or is so at times, or is one of two that are both denied."""


def add_statuses(taken: Taken, line: str) -> None:
    """The statuses, and those with a no, a number or a denial beside them."""
    end = 0
    found = list(STATUSES.finditer(line))
    between = {number for number in range(1, len(found)) if _is_none_of_either(line, found[number - 1], found[number])}
    tallied = [_TALLY.match(line, match.end()) for match in found] if len(found) > 1 else []
    if sum(one is not None for one in tallied) < 2 or all(
        one and one[0][-2:] in (":0", ":1", "=0", "=1") for one in tallied
    ):
        tallied = []
    for number, match in enumerate(found):
        status = status_of(match)
        if tallied and (tally := tallied[number]) is not None:
            end = tally.end()
            taken.add_place(Token(Mark.NO_STATUS, match.start(), end, line[match.start() : end], (), status))
            continue
        flag = FLAG.match(line, match.end())
        negated = _is_negated(line, end, match.start())
        is_so = not (
            negated
            or number in between
            or number + 1 in between
            or _leads_to_words(taken, line, match)
            or _LEGEND.search(line, max(0, match.start() - 6), match.start())
        )
        end = flag.end() if flag else match.end()
        if flag and not (flag["yes"] == "S" and flag.end() < len(line) and line[flag.end()] != " "):
            mark = Mark.STATUS if flag["yes"] and is_so else Mark.NO_STATUS
            taken.add_place(Token(mark, match.start(), end, line[match.start() : end], (), status, flag["no"] or ""))
        else:
            taken.add_match(Mark.STATUS if is_so else Mark.NO_STATUS, match, (), status)


def _is_none_of_either(line: str, before: re.Match[str], after: re.Match[str]) -> bool:
    """Whether "none" between two statuses may be said of either: "active none stored P0118"."""
    return _NONE_BETWEEN.fullmatch(line, before.end(), after.start()) is not None


def _is_negated(line: str, end: int, at: int) -> bool:
    """Whether the words right in front of a status say that it is not so, or only may be; none before ``end`` count."""
    last = line[max(0, at - 2) : at].strip(" ")[-1:]
    if last == "-":
        return _PART_OF_WORD.search(line, max(0, at - 12), at) is not None
    if not (last.isalpha() or last == "'"):
        return False
    negated = _NEGATED.search(line, max(end, at - 24), at) or _WEAKENED.search(line, max(end, at - 40), at)
    return negated is not None


def _leads_to_words(taken: Taken, line: str, match: re.Match[str]) -> bool:
    """Whether "history:" behind the last code begins the words of its history, and is no status."""
    if match[0] != "HISTORY" or not _ADDED.match(line, match.end()):
        return False
    return taken.has_code() and taken.last_code_ends() <= match.start()


def add_whole_words(taken: Taken, line: str) -> None:
    """Words that are a status only by themselves: the "present" of "P0217 (present)", not of "but P0217 present"."""
    for match in WHOLE_STATUS.finditer(line):
        is_sentence = line[match.start() - 1] == " " and _IN_A_SENTENCE.search(line, 0, match.start()) is not None
        taken.add_match(Mark.NO_STATUS if is_sentence else Mark.STATUS, match, (), CodeStatus.ACTIVE)
