"""Spec cards as CSV: written in one form, read without a guess, looked at before anything is saved."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commands.refusals import Conflict, Refused
from engineering.measures import UNITS
from findings.readings.actions import CardRows, NewLimit, add_card, add_parameter, change_card, revise_limits
from findings.readings.card_file import HEADINGS, MOST_ROWS, NEEDED, FileRow, read_file, rows_of, text_of
from findings.readings.card_file_views import looked_at
from findings.readings.card_forms import parameters_by_name
from findings.readings.card_plan import EQUAL, NEW, REFUSED, REVISES, Plan, plan_of
from findings.readings.models import Parameter, SpecCard, SpecLimit
from tests.cast import Cast
from vessels.models import EngineFamily
from web.tables import table

HEADER = ",".join(NEEDED)
RIGHT = "Oil pressure,warm,40,55,70,psi,10,Manual,41"


def file_of(*lines: str, header: str = HEADER) -> str:
    return "\n".join([header, *lines])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "There is nothing to read"),
        (" \n\n", "There is nothing to read"),
        ("Oil pressure,40,70", "The first line has to name the columns"),
        ("parameter,condition", "Missing: at least, nominal, at most, unit, near within %, document, page."),
        (file_of(header=f"{HEADER},unit"), "names a column twice: unit"),
        (file_of(*[RIGHT] * (MOST_ROWS + 1)), "more than 1000 rows"),
        (file_of(*[RIGHT] * 100_000), "more than 1000 rows"),
        (file_of("Oil pressure;warm;40,5;;70;psi;;;", header=HEADER.replace(",", ";")), "separated by semicolons"),
        (file_of("Oil pressure\twarm\t1.500\t\t\tpsi\t\t\t", header=HEADER.replace(",", "\t")), "separated by tabs"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_read_says_why(text: str, said: str) -> None:
    read = read_file(text)
    assert said in read.problem
    assert not read.rows


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("Ölþ".encode("latin-1"), "not UTF-8"),
        (HEADER.encode("utf-16"), "not UTF-8"),
        (b"parameter\0", "is no text"),
        (b"x" * 500_001, "more than 500 kB"),
    ],
)
def test_a_file_that_is_no_text_says_so(content: bytes, said: str) -> None:
    assert said in text_of(content)[1]


@pytest.mark.parametrize(
    ("line", "decimal", "why"),
    [
        ("Oil pressure,warm,40,55,70", "unsaid", "This row has 5 cells, and the first line 9"),
        ("Oil pressure,warm,40,5,55,70,psi,10,Manual,41", "unsaid", "This row has 10 cells"),
        ('Oil pressure,"warm,40,55,70,psi,10,Manual,41', "unsaid", "A quotation mark is opened and not closed"),
        ('Oil pressure,"warm"er,40,55,70,psi,10,Manual,41', "unsaid", "A quotation mark"),
        ('Oil pressure,warm,"40,5",,,psi,,,', "unsaid", "at least: “40,5” has a comma. Write 40.5"),
        ("Oil pressure,warm,40.5,,,psi,,,", "comma", "at least: “40.5” has a point. Write 40,5"),
        ("Oil pressure,warm,1e308,,,psi,,,", "unsaid", "at least: “1e308” is no number"),
        ("Oil pressure,warm,,,NaN,psi,,,", "unsaid", "at most: “NaN” is no number"),
        ("Oil pressure,warm,,Infinity,7,psi,,,", "unsaid", "nominal: “Infinity” is no number"),
        ("Oil pressure,warm,1/2,,,psi,,,", "unsaid", "at least: “1/2” is no number"),
        ("Oil pressure,warm,40 psi,,,psi,,,", "unsaid", "at least: “40 psi” is no number"),
        ("Oil pressure,warm,٤٠,,,psi,,,", "unsaid", "is no number"),
        ("Oil pressure,warm,40,,,psi,ten,,", "unsaid", "near within %: “ten” is no number"),
    ],
)
def test_a_row_that_cannot_be_read_says_why_with_its_line(line: str, decimal: str, why: str) -> None:
    read = read_file(file_of(RIGHT, line), decimal)
    assert read.problem == ""
    assert read.rows[0].why == "" or decimal == "comma"
    assert read.rows[1].line == 3
    assert why in read.rows[1].why


def test_rows_after_a_broken_one_keep_their_lines() -> None:
    text = file_of('Oil pressure,"warm, \n hot",40,,,psi,,,', "", 'x,"y"z,,,,,,,', RIGHT)
    assert [(one.line, bool(one.why)) for one in read_file(text).rows] == [(2, False), (5, True), (6, False)]


def test_a_byte_order_mark_and_other_line_ends_make_no_difference() -> None:
    plain = read_file(file_of(RIGHT))
    assert read_file("\ufeff" + file_of(RIGHT).replace("\n", "\r\n")) == plain
    assert read_file(text_of(file_of(RIGHT).replace("\n", "\r").encode("utf-8-sig"))[0]) == plain


def test_said_decimals_are_read_as_said() -> None:
    semicolons = file_of("Oil pressure;warm;40,5;;70;psi;;;", header=HEADER.replace(",", ";"))
    assert read_file(semicolons, "comma").rows[0].cells["at least"] == "40.5"
    assert "has a comma" in read_file(semicolons, "point").rows[0].why
    whole = file_of("Oil pressure;warm;40;;70;psi;;;", header=HEADER.replace(",", ";"))
    assert read_file(whole).rows[0].cells["at least"] == "40"


def planned(text: str, *cards: SpecCard, only: bool = False, decimal: str = "unsaid") -> Plan:
    fresh = [SpecCard.objects.get(pk=one.pk) for one in cards]
    for one in fresh:
        one._prefetched_objects_cache = {"limits": list(one.limits.filter(ended_at=None).select_related("parameter"))}
    return plan_of(read_file(text, decimal), fresh, system="us", parameters=parameters_by_name(), only=only)


def written(*cards: SpecCard) -> str:
    """The file as somebody saves it."""
    fresh = list(SpecCard.objects.filter(pk__in=[one.pk for one in cards]))
    for one in fresh:
        one._prefetched_objects_cache = {"limits": list(one.limits.filter(ended_at=None).select_related("parameter"))}
    return table("x.csv", HEADINGS, rows_of(fresh)).content.decode()


@pytest.fixture
def oil(db: None) -> Parameter:
    return Parameter.objects.get(name="Oil pressure")


@pytest.fixture
def card(cast: Cast, oil: Parameter) -> SpecCard:
    limits = [
        NewLimit(oil, "psi", "warm", Decimal(40), Decimal(55), Decimal(70), page="41"),
        NewLimit(oil, "psi", "cold", Decimal(50), source="Bulletin 7"),
    ]
    return add_card(by=cast.tech, family=cast.family, title="Warm", document="Manual", limits=limits)


@pytest.mark.django_db
class TestPlan:
    def test_each_row_says_what_it_does(self, cast, card):
        one = [NewLimit(Parameter.objects.get(name="Oil pressure"), "psi", low=Decimal(1))]
        other = add_card(by=cast.tech, family=cast.family, title="Other", document="Bulletin", limits=one)
        plan = planned(
            file_of(
                "warm,Oil pressure,warm,40,55,70,psi,10,Manual,41",
                "Warm,Oil pressure,COLD ,45,,,psi,,Bulletin 7,",
                "Other,Coolant temperature,,,,190,°F,5,,",
                "Other,Oil pressure,hot,9,,2,psi,,,",
                "Other,Coolant temperature, ,,,180,°F,,,",
                "Third,Oil pressure,,9,,,psi,,,",
                ",Oil pressure,hot,9,,,psi,,,",
                "Other,Oil presure,hot,9,,,psi,,,",
                "Other,Oil pressure,a,9,,,,,,",
                "Other,Oil pressure,b,9,,,V,,,",
                "Other,Oil pressure,c,,9,,psi,,,",
                "Other,Oil pressure,😀,9,,,psi,,,",
                "Other,,,9,,,psi,,,",
                "Other,Oil pressure,hotter,9,,,psi,51,,",
                "Other,Oil pressure,hottest,99999999999,,,psi,,,",
                "Other,Oil pressure,hot,0.00001,,,psi,,,",
                header=f"card,{HEADER}",
            ),
            card, other,
        )  # fmt: skip
        states = [row.state for row in plan.rows]
        assert states == [EQUAL, REVISES, NEW, *[REFUSED] * 13]
        assert [row.line for row in plan.rows] == list(range(2, 18))
        assert plan.rows[1].before == "cold: at least 50 psi, near within 10 % of the limit; Bulletin 7"
        assert plan.rows[1].after == "COLD: at least 45 psi, near within 10 % of the limit; Bulletin 7"
        assert plan.rows[2].after == "at most 190 °F, near within 5 % of the limit; Bulletin"
        whys = [row.why for row in plan.rows[3:]]
        for why, said in zip(
            whys,
            [
                "at least: The lower limit is above the upper one", "Line 4 is for the same", "card: “Third” is not a",
                "card: Say which card", "parameter: Nothing that is measured here is called “Oil presure”",
                "unit: Enter one of:", "unit: This does not measure oil pressure", "Give at least one of",
                "condition: Papers cannot show", "parameter: Write what these limits are for", "From 0 to 50 %",
                "larger than anything", "At most four decimals",
            ],
            strict=True,
        ):  # fmt: skip
            assert said in why, (why, said)
        assert not plan.may_be_applied
        assert [(one.title, list(names)) for one, names in plan.stays] == [("Other", ["Oil pressure"])]

    def test_two_cards_of_one_title_are_told_apart_by_number_alone(self, cast, card, oil):
        twin = add_card(by=cast.tech, family=cast.family, title="WARM", document="Manual", engine_models="D6T-270",
                        limits=[NewLimit(oil, "psi", low=Decimal(1))])  # fmt: skip
        lines = [f"Warm,{number},Oil pressure,,2,,,psi,,," for number in ("", twin.pk, 10**9, "x")]
        plan = planned(file_of(*lines, header=f"card,card number,{HEADER}"), card, twin)
        assert f"cards {card.pk} and {twin.pk} are called “Warm”" in plan.rows[0].why
        assert (plan.rows[1].state, plan.rows[1].card) == (REVISES, twin)
        assert all("is not a card of this family" in row.why for row in plan.rows[2:])
        odd = planned(file_of(f"Cold,{twin.pk},Oil pressure,,2,,,psi,,,", header=f"card,card number,{HEADER}"), twin)
        assert odd.rows[0].why == f"card: card {twin.pk} is called “WARM”, not “Cold”."

    @pytest.mark.parametrize(("length", "shown"), [(60, "x" * 60), (61, "x" * 59 + "…")])
    def test_a_long_title_that_is_no_card_is_shown_in_sixty_signs(self, card, length, shown):
        plan = planned(file_of(f"{'x' * length},{RIGHT}", header=f"card,{HEADER}"), card)
        assert plan.rows[0].why == f"card: “{shown}” is not a card of this family."

    def test_what_is_no_column_is_told(self, card):
        header = f"{HEADER},remark,only for"
        plan = planned(file_of(f"{RIGHT},look,model X", header=header), card, only=True)
        assert plan.remarks == [
            "Not read, as it is no column of this table: “remark”.",
            "For which engines a card is (“only for”) is not changed by a file.",
        ]

    def test_a_card_never_has_more_limits_than_its_table(self, cast, card):
        lines = [f"Oil pressure,at {at} rpm,40,,,psi,,," for at in range(199)]
        plan = planned(file_of(*lines), card, only=True)
        assert plan.problem == "“Warm” would have 201 limits. A card has at most 200."
        rows = CardRows(card, 1, [one for cards in plan.cards for one in cards.limits])
        with pytest.raises(Refused, match="more than 200"):
            revise_limits(by=cast.tech, family=cast.family, cards=[rows])


TEXT = st.text(st.sampled_from("aB '=+-@\"',;\t\n½é"), max_size=8)
CELLS = st.lists(
    st.tuples(TEXT, TEXT, TEXT), min_size=1, max_size=4, unique_by=lambda one: " ".join(one[0].split()).casefold()
)
FIGURES = st.one_of(
    st.tuples(st.just("count"), st.lists(st.decimals(0, 9_000_000_000, places=4), min_size=3, max_size=3)),
    st.tuples(st.just("degC"), st.lists(st.decimals(-60, 900, places=4), min_size=3, max_size=3)),
)


@pytest.mark.django_db
class TestRoundTrip:
    @given(CELLS, TEXT.filter(str.strip), TEXT.filter(str.strip), FIGURES, st.decimals(0, 50, places=2))
    @settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
    def test_out_and_in_changes_nothing(self, cast, texts, title, document, figures, near):
        unit, values = figures
        low, nominal, high = sorted(values)
        of = add_parameter(by=cast.tech, name=f"In {unit}", kind=UNITS[unit].kind.value)
        rows = [NewLimit(of, unit, one, low, nominal, high, near, source, page) for one, source, page in texts]
        card = add_card(by=cast.tech, family=cast.family, title=title, document=document, limits=rows)
        plan = planned(written(card), card)
        assert [row.state for row in plan.rows] == [EQUAL] * len(rows), plan.rows

    def test_every_unit_comes_back_as_it_went(self, cast):
        limits = []
        for unit in UNITS.values():
            of = add_parameter(by=cast.tech, name=f"Figure of {unit.kind}", kind=unit.kind.value)
            low = Decimal(300 if unit.key == "K" else 1)
            limits.append(NewLimit(of, unit.key, f"unit {len(limits)}", low=low))
        card = add_card(by=cast.tech, family=cast.family, title="All", document="Manual", limits=limits)
        plan = planned(written(card), card, only=True)
        assert {row.state for row in plan.rows} == {EQUAL}, [row for row in plan.rows if row.state != EQUAL]

    def test_the_form_of_what_goes_out(self, cast, client, card):
        cold = Parameter.objects.get(name="Coolant temperature")
        change_card(
            by=cast.tech, card=card, changes={"engine_models": "D6T-370"},
            limits=[NewLimit(cold, "degC", "=warm", Decimal("-40.50"), None, Decimal("1E+2"), Decimal("7.50"))],
        )  # fmt: skip
        client.force_login(cast.desk)
        answer = client.get(reverse("findings:card_csv", args=[card.pk]))
        assert answer["Content-Type"] == "text/csv; charset=utf-8"
        assert answer.content.decode().split("\r\n") == [
            "card,card number,parameter,condition,at least,nominal,at most,unit,near within %,document,page,only for",
            f"Warm,{card.pk},Coolant temperature,'=warm,'-40.5,,100,°C,7.5,Manual,,model D6T-370",
            "",
        ]
        assert client.get(reverse("findings:family_csv", args=[card.family_id])).content == answer.content


def hidden(page: str, name: str) -> str:
    found = re.search(rf'name="{name}"[^>]*value="([^"]*)"', page)
    assert found, name
    return found[1]


@pytest.mark.django_db
class TestPages:
    def sent(self, client, at: str, text: str, **more: Any) -> Any:
        return client.post(at, {"text": text, "look": "yes", **more})

    def look(self, client, at: str, text: str) -> dict[str, Any]:
        """What the page that shows the changes sends when they are saved."""
        answer = self.sent(client, at, text)
        assert answer.status_code == 200
        names = ("looked_at", "seen", "entry_id")
        return {"text": text, "apply": "yes"} | {one: hidden(answer.content.decode(), one) for one in names}

    def test_looked_at_then_saved_once(self, cast, client, card):
        client.force_login(cast.tech)
        at = reverse("findings:card_bring", args=[card.pk])
        text = file_of(RIGHT.replace("40", "44"), "Coolant temperature,,,,190,°F,,,12")
        page = self.sent(client, at, text).content.decode()
        assert "2 rows: 1 new, 1 limit revised." in page
        assert "40 to 70 psi, nominal 55 psi, near within 10 % of the band; Manual, page 41" in page
        assert "1 limit of “Warm” not in the table: it stays as it is" in page
        assert "Save 2 changes" in page
        assert card.limits.count() == 2
        body = self.look(client, at, text)
        for _ in range(2):
            assert client.post(at, body).status_code == 302
        in_force = card.limits.filter(ended_at=None).values_list("parameter__name", "condition", "low", "page")
        assert set(in_force) == {
            ("Oil pressure", "warm", 44, "41"),
            ("Oil pressure", "cold", 50, ""),
            ("Coolant temperature", "", None, "12"),
        }
        assert card.limits.get(low=44).replaces.low == 40
        card.refresh_from_db()
        assert (card.version, card.changed_by) == (2, cast.tech)
        assert "There is nothing to save." in self.sent(client, at, text).content.decode()

    def test_another_text_than_was_looked_at_is_shown_and_not_saved(self, cast, client, card):
        client.force_login(cast.tech)
        at = reverse("findings:card_bring", args=[card.pk])
        body = self.look(client, at, file_of(RIGHT.replace("40", "44")))
        answer = client.post(at, body | {"text": file_of(RIGHT.replace("40", "45"))})
        assert answer.status_code == 422
        assert "This text was not looked at yet" in answer.content.decode()
        assert "45 to 70 psi" in answer.content.decode()
        assert card.limits.count() == 2

    def test_a_card_that_was_changed_in_between_is_told(self, cast, client, card, oil):
        client.force_login(cast.tech)
        at = reverse("findings:card_bring", args=[card.pk])
        body = self.look(client, at, file_of(RIGHT.replace("40", "44")))
        change_card(by=cast.manager, card=card, changes={}, limits=[NewLimit(oil, "psi", "warm", Decimal(30))])
        answer = client.post(at, body)
        page = answer.content.decode()
        assert answer.status_code == 409
        assert f"{cast.manager.name} saved a card after you looked, so nothing was saved." in page
        assert "at least 30 psi" in page
        assert card.limits.get(ended_at=None).low == 30
        again = body | {"seen": hidden(page, "seen")}
        assert client.post(at, again).status_code == 302
        assert card.limits.get(ended_at=None).low == 44

    def test_a_row_that_cannot_be_taken_stops_all_and_stays_in_the_text(self, cast, client, card):
        client.force_login(cast.tech)
        at = reverse("findings:card_bring", args=[card.pk])
        text = file_of(RIGHT.replace("40", "44"), "Oil presure,,1,,,psi,,,")
        answer = self.sent(client, at, text)
        page = answer.content.decode()
        assert "Oil presure,,1,,,psi,,," in page
        assert "cannot be taken" in page
        assert 'name="apply"' not in page
        body = {"text": text, "apply": "yes", "looked_at": looked_at(text, "unsaid"), "seen": f"{card.pk}:1"}
        refused = client.post(at, body | {"entry_id": str(uuid4())})
        assert refused.status_code == 422
        assert "Nothing was saved: correct the rows" in refused.content.decode()
        assert card.limits.count() == 2

    @pytest.mark.parametrize("content", [b"\xff\xfe", b"\0", b"x" * 600_000, b"", file_of(RIGHT).encode("utf-16")])
    def test_a_file_that_cannot_be_read_is_an_answer(self, cast, client, card, content):
        client.force_login(cast.tech)
        at = reverse("findings:card_bring", args=[card.pk])
        answer = client.post(at, {"file": SimpleUploadedFile("limits.csv", content), "look": "yes"})
        assert answer.status_code == 422
        assert "errorlist" in answer.content.decode()

    def test_a_file_goes_into_the_text_and_replaces_none(self, cast, client, card):
        client.force_login(cast.tech)
        at = reverse("findings:card_bring", args=[card.pk])
        file = SimpleUploadedFile("limits.csv", ("\ufeff" + file_of(RIGHT)).encode())
        answer = client.post(at, {"file": file, "look": "yes"})
        assert RIGHT in answer.content.decode()
        assert "1 row: 1 as on the card." in answer.content.decode()
        file.seek(0)
        answer = client.post(at, {"file": file, "text": "mine", "look": "yes"})
        assert answer.status_code == 422
        assert "There is a text already, and it was kept" in answer.content.decode()
        assert "mine" in answer.content.decode()

    def test_a_whole_family_comes_in_at_once_or_not_at_all(self, cast, client, card, oil):
        other = add_card(by=cast.tech, family=cast.family, title="Cold", document="M",
                         limits=[NewLimit(oil, "psi", low=Decimal(1))])  # fmt: skip
        client.force_login(cast.tech)
        at = reverse("findings:family_bring", args=[cast.family.pk])
        header = f"card,{HEADER}"
        text = file_of(f"Warm,{RIGHT.replace('40', '44')}", "Cold,Oil pressure,,2,,,psi,,,", header=header)
        body = self.look(client, at, text)
        change_card(by=cast.manager, card=other, changes={}, limits=[NewLimit(oil, "psi", low=Decimal(3))])
        assert client.post(at, body).status_code == 409
        assert card.limits.get(ended_at=None, condition="warm").low == 40
        body = self.look(client, at, text)
        assert client.post(at, body).status_code == 302
        assert card.limits.get(ended_at=None, condition="warm").low == 44
        assert other.limits.get(ended_at=None).low == 2

    def test_five_hundred_rows_ask_no_more_than_five(self, cast, client, card):
        client.force_login(cast.tech)
        at = reverse("findings:card_bring", args=[card.pk])
        asked = []
        for count in (5, 150):
            text = file_of(*[f"Oil pressure,at {row} rpm,40,,,psi,,," for row in range(count)])
            self.sent(client, at, text)
            with CaptureQueriesContext(connection) as queries:
                assert self.sent(client, at, text).status_code == 200
            asked.append(len(queries))
        assert asked[0] == asked[1]


@pytest.mark.django_db
def test_a_card_of_another_family_is_refused(cast: Cast, card: SpecCard) -> None:
    other = EngineFamily.objects.create(maker="Norrland", name="Other")
    rows = CardRows(card, 1, [NewLimit(Parameter.objects.get(name="Oil pressure"), "psi", low=Decimal(1))])
    with pytest.raises(Refused, match="another engine family"):
        revise_limits(by=cast.tech, family=other, cards=[rows])
    with pytest.raises(Refused, match="no limit"):
        revise_limits(by=cast.tech, family=cast.family, cards=[])
    with pytest.raises(Conflict):
        revise_limits(by=cast.tech, family=cast.family, cards=[CardRows(card, 7, rows.limits)])
    assert SpecLimit.objects.count() == 2


def test_a_row_is_known_by_its_line_and_cells() -> None:
    assert read_file(file_of(RIGHT)).rows == [FileRow(2, dict(zip(NEEDED, RIGHT.split(","), strict=True)))]


@given(
    st.text(st.sampled_from("a1,;\t\"'\n\r=-. é\0\ufeff"), max_size=80), st.sampled_from(["unsaid", "point", "comma"])
)
@settings(max_examples=300, deadline=None)
def test_whatever_is_sent_has_an_answer(text: str, decimal: str) -> None:
    for sent in (text, file_of(text), file_of(text, header=HEADER.replace(",", ";"))):
        read = read_file(sent, decimal)
        assert bool(read.problem) + bool(read.rows) <= 1
        for row in read.rows:
            assert bool(row.why) or row.cells.keys() >= set(NEEDED)
            assert row.line >= 1
        assert len({row.line for row in read.rows}) == len(read.rows)


@pytest.mark.django_db
def test_the_list_of_cards_leads_to_the_tables_of_each_family_once(cast: Cast, card: SpecCard, client: Any) -> None:
    oil = Parameter.objects.get(name="Oil pressure")
    limits = [NewLimit(oil, "psi", low=Decimal(1))]
    other = EngineFamily.objects.create(maker="Quillon", name="Q4")
    for family, title in ((cast.family, "Cold"), (other, "Warm")):
        add_card(by=cast.tech, family=family, title=title, document="M", limits=limits)
    for who, may_edit in ((cast.tech, True), (cast.desk, False)):
        client.force_login(who)
        page = client.get(reverse("findings:cards")).content.decode()
        for family in (cast.family, other):
            assert page.count(reverse("findings:family_csv", args=[family.pk])) == 1
            assert page.count(reverse("findings:family_bring", args=[family.pk])) == int(may_edit)
