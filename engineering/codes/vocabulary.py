"""Words that stand around codes in read-outs, in capitals and without accents: statuses, counts, names of lists.

English, German, French, Spanish, Italian, Dutch, Portuguese, Danish, Norwegian, Swedish, Finnish. Common practice of
the trade, no source. A word that may mean two statuses ("logged", "anstehend") is in no list of statuses: the status
is then left unread.
"""

import re
import unicodedata

from engineering.codes.code import CodeStatus

_SIGNS = str.maketrans("‐‑‒–—−×ØÆŒĐŁ’‘ʼ′´`", "------XOAODL''''''")
_APOSTROPHE = re.compile(r"(?<![A-Z0-9])(DTC|CODE|FAULT|ERROR)(?:'S|S')(?![A-Z0-9])")
"""A plural or a possessive that people write with an apostrophe: "DTC's", "codes' count"."""

_NOT_ACTIVE = (
    r"(?:PREV(?:IOUS(?:LY)?|\.)?|FORMERLY|PAST)(?:[ -]| - )ACTIVE|INACT"
    r"|NO LONGER ACTIVE|(?:NOT|NON)[ -]?(?:CURRENTLY )?ACTIVE|IN-?ACTIVE|UNACTIVE"
    r"|NICHT(?: MEHR)? AKTIV(?:E[NRS]?)?|INAKTIV(?:E[NRST]?|A|T)?|IKKE(?: LAENGERE| LENGER)? AKTIV[ET]?"
    r"|(?:INTE|EJ|ICKE)[ -](?:LANGRE )?AKTIV[AT]?|(?:NON|PLUS) ACTIF|NON[ -](?:ACTIFS|ACTIVES?)|INACTI(?:FS?|VES)"
    r"|NO ACTIV[OA]S?|INACTIV[OA]S?|NAO ATIV[OA]S?|INATIV[OA]S?|NON ATTIV[OAIE]|INATTIV[OAIE]"
    r"|NIET(?: MEER)? ACTIE(?:F|VE)|INACTIE(?:F|VE)|EI(?: ENAA)? AKTIIVI(?:NEN|SET|SIA)?"
)
_STORED = (
    r"STORED|CONFIRMED|HISTORY|HIST|HISTORIC(?:AL)?|DM2|(?:SERVICE|MODE) \$?0?3(?![0-9])"
    r"|(?:AB)?GESPEICHERTE?[NRS]?|ABGELEGTE?[NRS]?|HISTORISCHE?[NRS]?|BESTAE?TIGTE?[NRS]?"
    r"|MEMORISEE?S?|ENREGISTREE?S?|STOCKEE?S?|HISTORIQUES?|CONFIRMEE?S"
    r"|ALMACENAD[OA]S?|GUARDAD[OA]S?|MEMORIZAD[OA]S?|HISTORIC[OA]S?|CONFIRMAD[OA]S?"
    r"|MEMORIZZAT[OAIE]|SALVAT[OAIE]|REGISTRAT[OAIE]|STORIC[OAI]|STORICHE|CONFERMAT[OAIE]"
    r"|OPGESLAGEN|BEVESTIGDE?|ARMAZENAD[OA]S?|GRAVAD[OA]S?"
    r"|GEMTE?|LAGRE(?:T|DE)|BEKRAE?FTE(?:T|DE)|BEKREFTE(?:T|DE)|HISTORISK[AE]?|LAGRA[DT]E?|SPARA[DT]E?|BEKRAFTA[DT]E?"
    r"|TALLENNE(?:TTU|TUT)|VAHVISTE(?:TTU|TUT)|MUISTISSA"
)
_PENDING = (
    r"PENDING|PEND|DM6|(?:SERVICE|MODE) \$?0?7(?![0-9])|PENDIENTES?|EN ATTENTE|IN ATTESA|PENDENT[EI]S?"
    r"|AUSSTEHENDE?[NR]?|SCHWEBENDE?[NR]?|(?:AF|AV)?VENTENDE|VANTANDE|AVVAKTANDE|ODOTTAVA[TA]?"
)
_PERMANENT = r"PERMANENT(?:E[NRS]?|I|S|A|ES)?|DM28|(?:SERVICE|MODE) \$?0?A|PYSYVA[TA]?"
_ACTIVE = (
    r"(?:CURRENTLY )?ACTIVES?|(?:CURRENT|PRESENT)(?= (?:CODE|DTC|FAULT|TROUBLE))|DM1(?![0-9])"
    r"|(?:AKTUELL )?AKTIV(?:E[NRST]?|A|T)?|AKTUEL(?:LE?[NRS]?|LA)?(?: VORHANDEN)?|ACTI(?:FS?|VES)|ACTIV[OA]S?"
    r"|ATTIV[OAIE]"
    r"|ATTUAL[EI]|ACTIE(?:F|VE)|ACTUE(?:EL|LE)|ATIV[OA]S?|ATUA(?:L|IS)|AKTIIVI(?:NEN|SET|SIA)|VOIMASSA"
)
_STATUS_ORDER = (
    (CodeStatus.STORED, _NOT_ACTIVE),
    (CodeStatus.STORED, _STORED),
    (CodeStatus.PENDING, _PENDING),
    (CodeStatus.PERMANENT, _PERMANENT),
    (CodeStatus.ACTIVE, _ACTIVE),
)
STATUSES = re.compile(
    r"(?<![A-Z0-9])(?=[A-Z]{2})(?:"
    + "|".join(f"(?P<s{n}>{words})" for n, (_, words) in enumerate(_STATUS_ORDER))
    + r")(?![A-Z0-9])"
)
_WHOLE = re.compile(r"CURR(?:ENT)?|PRESENT(?:E|ES|I|S)?|VORHANDEN|AANWEZIG|ACTUEL(?:LE)?S?|NYKYINEN")
"""Words that are a status only where they stand alone between two signs."""

WHOLE_STATUS = re.compile(
    r"(?:(?<=[(,;:|=-])|(?<=[(,;:|=-] )|(?<=[0-9][0-9A-F] )|(?<=FMI [0-9] ))(?:CURR(?:ENT)?|PRESENT(?:E|ES|I|S)?"
    r"|VORHANDEN|AANWEZIG|NYKYINEN)"
    r"(?= ?(?:$|[,;|).]))"
)
MAY_BE_WHOLE = re.compile("CURR|PRESENT|VORHANDEN|AANWEZIG|NYKYINEN")
"""Without one of these in it, no line has a WHOLE_STATUS."""
UNSURE_STATUS = re.compile(
    r"(?<![A-Z0-9])(?=[A-Z])(?:LOGGED|MEMORY|PAST|PREVIOUS|OLD|OTHERS?|EARLIER|RECORDED|ANSTEHENDE?[NR]?|SPORADISCHE?[NR]?"
    r"|INTERMITTENT"
    r"|PRESENT(?:E|ES|I|S)?|CURRENT|VORHANDEN|AANWEZIG|PASSIVE?R?|LATCHED|SET|FEHLERSPEICHER"
    r"|(?:IM )?SPEICHER)(?![A-Z0-9])"
)

UNSURE_BESIDE = re.compile(
    r"(?<![A-Z0-9])(?:LOGGED|PAST|PREVIOUS|ANSTEHENDE?[NR]?|SPORADISCHE?[NR]?|INTERMITTENT|PASSIVE?R?|LATCHED"
    r"|FUGITIF)(?![A-Z0-9])"
)
"""Those that, beside a code, keep the status of the heading from it."""

COUNT_WORDS = (
    r"OCCURRENCE COUNT(?:ER)?|OCCURRENCE\(S\)|OCCURRENCES?|COUNTS?|CNT|OCCS?|OC|OCCURR?|TIMES SEEN|ANZAHL|ANZ"
    r"|HAUFIGKEIT|HAEUFIGKEIT|VORKOMMEN|NOMBRE|NBRE"
    r"|OCURRENCIAS?|OCURR?|RECUENTO"
    r"|CONTEO|OCCORRENZE|OCCORRENZA|OCCORR|CONTEGGIO|AANTAL|OCORRENCIAS?|OCORR|CONTAGEM|ANTALL?|FOREKOMSTER|FOREKOMST"
    r"|LUKUMAARA"
    r"|MAARA|ESIINTYMAT|QUANTIDADE"
)
COUNT_AFTER = (
    r"X|TIMES?|COUNTS?|OCCURRENCES?|MAL|FOIS|VECES|VEZ(?:ES)?|VOLT[AE]|KEER|MAAL|GANG(?:ER?)?|GGR|KERTAA|KERRAN|KRT"
)

NOUNS = (
    r"CODES?|DTCS?|FAULTS?|TROUBLES?|DM[0-9]{1,2}|(?:SERVICE|MODE) \$?0?[37A]|FEHLER(?:CODES?|SPEICHER|N)?"
    r"|STORUNG(?:EN|SCODES?)?"
    r"|DEFAUTS?|ERREURS?|PANNES?|CODIGOS?|FALLAS?|FALLOS?|AVERIAS?|ERRORES|ERROR[EI]?|ERRORS|CODIC[EI]|GUAST[OI]"
    r"|STORING(?:EN|SCODES?)?|FOUT(?:EN|CODES?)?|FALHAS?|ERROS?|AVARIAS?|FEJL(?:KODER?)?|FEIL(?:KODER?)?|FEL(?:KOD(?:ER(?:NA)?|EN)?)?"
    r"|VIKA(?:KOODIT?|KOODEJA)?|VIAT"
)
"""What lists of codes are called."""
_SCANS = r"SCANS?|READ-?OUTS?|READOUTS?|DIAGNOS[A-Z]{0,7}|RESULTS?|REPORT|LIST|MEMORY"
_SMALL = (
    r"AND|OR|ALL|THE|OF|IN|FOR|ON|ENGINE|UNIT|MODULE|STATUS|STATE|UND|ODER|IM|DER|DIE|ET|OU|DE|DES|DU|LE|LES|LA|LOS"
    r"|LAS|DEL|DI"
    r"|DELLA|DELLE|E|Y|EN|OG|OCH|JA|VAN|DA|DO|DOS|TROUBLE|DIAGNOSTIC|WITH|LAMP|COUNT|TOTAL|NUMBER|NOW|PREVIOUSLY"
    r"|CURRENTLY"
    r"|FLASH|BLINK|GENERIC|SPN|FMI|FOUND|PRESENT|CURRENT|LOGGED"
)
NOUN = re.compile(rf"(?<![A-Z0-9])(?=[A-Z])(?:{NOUNS})(?![A-Z0-9])")
SCAN_NOUN = re.compile(rf"(?<![A-Z0-9])(?=[A-Z])(?:{_SCANS})(?![A-Z0-9])")
HEADING_WORD = re.compile(rf"(?:{NOUNS}|{_SCANS}|{_SMALL})")

_NEGATOR = r"NO|ZERO|0|KEINE?[NR]?|AUCUNE?S?|PAS DE|SANS|SIN|NINGUN[OA]?S?|NESSUN[OA]?|GEEN|SEM|NENHUMA?|INGEN|INGA|EI"
_FOUND = (
    r"FOUND|DETECTED|REPORTED|PRESENT[EI]?|VORHANDEN|TROUVEE?S?|DETECTEE?S?|GEFUNDEN|AANWEZIG|GEVONDEN"
    r"|FUNNET|FUNDET|HITTADES|LOYTYNYT"
)
_ALSO = r"AND|OR|UND|ODER|ET|OU|O|Y|E|EN|OG|ELLER|OCH|TAI|DE|DI|DIAGNOSTIC|TROUBLE|ARE|WERE|IN|THE|MEMORY|UNIT"
_HOW_MANY = (
    r"(?:(?:TOTAL )?(?:NUMBER|COUNT|TOTAL)(?: OF)?"
    r"|ANZAHL(?: DER)?|NOMBRE(?: DE| D')?|NUMERO(?: DE| DI)?|AANTAL|ANTALL?)"
)
EMPTY_LIST = re.compile(
    rf"(?<![A-Z_])\"?(?P<key>(?:[A-Z]{{2,12}}[_ ])?(?:{NOUNS}))\"?(?: ?: ?|=)(?:\[\]|\"\[\]\")(?= ?(?:$|[,;}}\]]))"
)
"""A list of codes with nothing in it, as data are written; a box to be ticked has a blank in it or before it."""
NONE_ELSEWHERE = r"KEINE|AUCUNE?|NESSUN[OA]|NINGUN[OA]|NENHUMA?|GEEN|INGEN|INGA"
"""“None” of other languages, where it is all that a line says."""
NO_CODES = (
    re.compile(
        rf"^\W*(?:(?:{_NEGATOR})\W+)+(?P<rest>(?:(?:{NOUNS}|{_FOUND}|{_ALSO}|STATUS)(?![A-Z0-9])[\W]*){{1,8}})$"
    ),
    re.compile(
        rf"^\W*(?:{_HOW_MANY} )?(?:(?:{NOUNS}|{_FOUND}|{_ALSO}|STATUS)(?![A-Z0-9])[ ,()]*){{1,6}}"
        rf"(?:COUNT ?)?[ :=-]{{1,4}}\(?(?:{_NEGATOR}|NONE|NIL|KEINE"
        rf"|NINGUNO|RAS)\)?\W*$"
    ),
    re.compile(
        rf"^\W*(?:(?:(?:{NOUNS}|{_FOUND}) ?)?STATUS(?: (?:{NOUNS}|{_FOUND}))?"
        r"[ :=]{1,3}0(?![0-9]|[.,][0-9])[ ,;|/]*){2,6}$"
    ),
    re.compile(rf"^\W*(?:NONE(?: FOUND| PRESENT| STORED| DETECTED)?|{NONE_ELSEWHERE})\W*$"),
)
"""On a line in which the statuses were replaced by the word STATUS."""

YES = r"YES|Y|TRUE|ON|JA|J|OUI|SI|S|SIM|KYLLA|X"
NO = r"NO|N|FALSE|OFF|NEIN|NON|NEE|NAO|NEJ|NEI|EI|0"
FLAG = re.compile(rf" ?[:=] ?(?:(?P<yes>{YES})|(?P<no>{NO})|(?P<digit>1))(?![A-Z0-9])(?!\.[0-9])")
"""Right after a status: whether the unit gives it."""


def tidied(text: str) -> str:
    """The line in capitals, with plain digits, letters, hyphens, spaces and signs, and nothing that is not seen."""
    if text.isascii():
        return _without_apostrophes(" ".join(text.upper().split()))
    plain = unicodedata.normalize("NFKD", text.upper().replace("´", "'"))
    if not plain.isascii():
        unseen = [ord(sign) for sign in set(plain) if not sign.isascii() and _is_unseen(sign)]
        digits = {ord(sign): str(unicodedata.digit(sign)) for sign in set(plain) if sign.isdecimal()}
        plain = plain.translate({**_SIGNS, **digits, **dict.fromkeys(unseen)})
    return _without_apostrophes(" ".join(plain.split()))


def _without_apostrophes(plain: str) -> str:
    return _APOSTROPHE.sub(r"\1S", plain) if "'" in plain else plain


def _is_unseen(sign: str) -> bool:
    return unicodedata.category(sign) in ("Mn", "Cf", "Cc") and not sign.isspace()


def status_of(match: re.Match[str]) -> CodeStatus:
    """The status that a match of STATUSES names."""
    return _STATUS_ORDER[int((match.lastgroup or "s0")[1:])][0]


def status_alone(cell: str) -> CodeStatus | None:
    """The status that a tidied text is as a whole: a cell of a table, or what stands between two signs."""
    text = cell.strip(" .:*()[]\"'")
    match = STATUSES.fullmatch(text)
    if match:
        return status_of(match)
    return CodeStatus.ACTIVE if _WHOLE.fullmatch(text) else None
