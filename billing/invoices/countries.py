"""The codes of countries that an invoice as structured data may name.

Code list 7 of EN 16931 as Factur-X 1.0.07 gives it (its Schematron refuses others): ISO 3166-1 alpha-2, XI for Northern
Ireland and 1A for Kosovo, which has no code of ISO 3166-1.
"""

from __future__ import annotations

from commands.refusals import Refused

_CODES = """
AD AE AF AG AI AL AM AO AQ AR AS AT AU AW AX AZ BA BB BD BE BF BG BH BI BJ BL BM BN BO BQ BR BS BT BV BW BY
BZ CA CC CD CF CG CH CI CK CL CM CN CO CR CU CV CW CX CY CZ DE DJ DK DM DO DZ EC EE EG EH ER ES ET FI FJ FK
FM FO FR GA GB GD GE GF GG GH GI GL GM GN GP GQ GR GS GT GU GW GY HK HM HN HR HT HU ID IE IL IM IN IO IQ IR
IS IT JE JM JO JP KE KG KH KI KM KN KP KR KW KY KZ LA LB LC LI LK LR LS LT LU LV LY MA MC MD ME MF MG MH MK
ML MM MN MO MP MQ MR MS MT MU MV MW MX MY MZ NA NC NE NF NG NI NL NO NP NR NU NZ OM PA PE PF PG PH PK PL PM
PN PR PS PT PW PY QA RE RO RS RU RW SA SB SC SD SE SG SH SI SJ SK SL SM SN SO SR SS ST SV SX SY SZ TC TD TF
TG TH TJ TK TL TM TN TO TR TT TV TW TZ UA UG UM US UY UZ VA VC VE VG VI VN VU WF WS YE YT ZA ZM ZW XI
1A
"""
COUNTRIES = frozenset(_CODES.split())


def refuse_unknown_country(code: str) -> None:
    """Refuse what the standard has no country for; empty is what nobody said.

    Raises:
        Refused: there is no such country.
    """
    if code and code not in COUNTRIES:
        sentence = (
            f"“{code}” is no code of a country that an invoice may name. Use two letters of ISO 3166-1, such as US."
        )
        raise Refused(sentence, fields={"country": sentence})
