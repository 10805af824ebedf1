"""Records for the tests of the paper: a plain one, and one with as much as a bad day brings."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

from findings.reports.cautions import CAUTIONS, NOT_INSPECTED
from findings.reports.coverage import coverage_of
from findings.reports.listed import turns_of
from findings.reports.record import (
    FORMAT,
    CustomerFacts,
    EngineFacts,
    EpisodeFacts,
    FaultFacts,
    Findings,
    FunctionTestFacts,
    IssueFacts,
    JobFacts,
    LineFacts,
    PersonFacts,
    ReadingFacts,
    Recommendation,
    Record,
    ScanFacts,
    SeenFacts,
    SettingFacts,
    ShopFacts,
    UnitFacts,
    VesselFacts,
    VisualFacts,
    WorkFacts,
)

EAST = timezone(timedelta(hours=-4))
START = datetime(2025, 6, 3, 9, 30, tzinfo=EAST)
ORLA = PersonFacts(name="Orla Brandt", role="Owner", qualification="Marine diesel technician, 22 years")
TOMAS = PersonFacts(name="Tomas Reef", role="Technician", qualification="")


def at(days: float) -> datetime:
    return START + timedelta(days=days)


def episode(
    opened: str, closed: str | None, *, gap: str | None = None, days: float = 0, stored: bool = False
) -> EpisodeFacts:
    return EpisodeFacts(
        opened_at=at(days),
        opened_hours=Decimal(opened),
        beginning_unknown=stored,
        last_status="stored" if stored else "active",
        last_seen_at=at(days),
        last_seen_hours=Decimal(opened),
        closed_at=at(days + 1) if closed else None,
        closed_hours=Decimal(closed) if closed else None,
        closed_by="clear" if closed else "",
        gap_hours=Decimal(gap) if gap else None,
        gap_days=30 if gap else None,
        sightings=1,
    )


def fault(
    code: str,
    meaning: str,
    state: str,
    says: str,
    *episodes: EpisodeFacts,
    engine: str = "Port",
    status: str = "",
    job: bool = True,
) -> FaultFacts:
    return FaultFacts(
        code=code,
        system="SPN/FMI",
        meaning=meaning,
        unit=f"Engine control unit ({engine.lower()})",
        engine=engine,
        state=state,
        status_now=status,
        says=says,
        proven_to_at=None,
        proven_to_hours=None,
        in_this_job=job,
        episodes=episodes,
        last_work=WorkFacts(
            at=at(1),
            hours=Decimal("812.4"),
            job="1032",
            by="Tomas Reef",
            text="Replaced the oil pressure sender, cleaned the ground at the block.",
            codes=(code,),
        ),
    )


def reading(
    parameter: str,
    value: str,
    verdict: str,
    says: str,
    *,
    engine: str = "Port",
    low: str | None = "40",
    high: str | None = "65",
) -> ReadingFacts:
    return ReadingFacts(
        at=at(60),
        hours=Decimal("961.7"),
        engine=engine,
        parameter=parameter,
        value=Decimal(value),
        unit="psi",
        unit_label="psi",
        minimum=Decimal(value) - 2,
        maximum=Decimal(value) + 3,
        condition="warm, 2000 rpm",
        instrument="Gauge G-12",
        phase="Sea trial",
        low=Decimal(low) if low else None,
        nominal=None,
        high=Decimal(high) if high else None,
        limits_from="Norrland D6T service manual, ed. 4, p. 112" if low else "",
        verdict=verdict,
        says=says,
        by="Tomas Reef",
        instrument_serial="4471-B",
        calibrated_until=date(2025, 7, 1),
    )


def engine(position: str, serial: str, hours: str) -> EngineFacts:
    return EngineFacts(
        position=position,
        maker="Norrland",
        model="D6T-370",
        family="Norrland D6T",
        serial=serial,
        year=2019,
        fuel="Diesel",
        rated_power_kw=Decimal("272"),
        rated_rpm_low=3200,
        rated_rpm_high=3400,
        gear_ratio=Decimal("2.04"),
        propeller="22 × 24, 4 blades, right hand",
        hours=Decimal(hours),
        hours_at=at(60),
        meter_replaced=position == "Starboard",
    )


def findings() -> Findings:
    return Findings(
        shop=ShopFacts(
            name="Marlin Creek Marine",
            address="14 Slipway Lane\nPort Alder, FL 33999",
            phone="(555) 555-0110",
            email="office@marlincreek.example.com",
            time_zone="America/New_York",
        ),
        customer=CustomerFacts(name="Wes Harrow", contact="", address="220 Ferry Road\nPort Alder, FL 33999"),
        vessel=VesselFacts(
            name="Second Wind",
            hin="GBD12345A525",
            hin_remark="",
            registration="FL 0000 XX",
            kind="Inboard boat",
            maker="Tidewright",
            model="34 Express",
            model_year=2019,
            length_m=Decimal("10.4"),
        ),
        job=JobFacts(
            number="1032", opened_at=at(58), condition_on_arrival="Scuffs on the port quarter. Swim platform loose."
        ),
        reviewer=TOMAS,
        reviewed_at=at(61),
        summary="The port engine lost oil pressure indication under way. The sender had failed and its ground was "
        "corroded; both were put right, and the code stayed away in a sea trial of 1.4 hours.\n\n"
        "The starboard engine’s charging voltage is at the low end of its band.",
        remarks="Oil pressure was confirmed with a mechanical gauge at the block.",
        engines=(engine("Port", "NL-20417", "961.7"), engine("Starboard", "NL-20418", "955.2")),
        units=(
            UnitFacts(
                name="Engine control unit (port)",
                engine="Port",
                code_system="SPN/FMI (SAE J1939)",
                serial="CU-88120",
                hardware="H4",
                software="5.12.0",
                calibration="D6T-370-A7",
                identified_at=at(58),
            ),
            UnitFacts(
                name="Engine control unit (starboard)",
                engine="Starboard",
                code_system="SPN/FMI (SAE J1939)",
                serial="",
                hardware="",
                software="",
                calibration="",
                identified_at=None,
            ),
        ),
        scans=(
            ScanFacts(
                at=at(58),
                hours=Decimal("960.3"),
                unit="Engine control unit (port)",
                engine="Port",
                phase="On arrival",
                is_complete=True,
                instrument="Reader R2",
                by="Tomas Reef",
                not_understood=0,
                seen=(
                    SeenFacts(code="SPN 100 FMI 4", status="active", count=3),
                    SeenFacts(code="SPN 168 FMI 18", status="stored", count=None),
                ),
            ),
            ScanFacts(
                at=at(60),
                hours=Decimal("961.7"),
                unit="Engine control unit (port)",
                engine="Port",
                phase="Sea trial",
                is_complete=True,
                instrument="Reader R2",
                by="Tomas Reef",
                not_understood=1,
                seen=(),
            ),
        ),
        faults=(
            fault(
                "SPN 110 FMI 0",
                "Engine coolant temperature: above normal, most severe",
                "returned",
                "Returned · active: seen again 84 h (41 days) after it was cleared; it has returned twice.",
                episode("700.5", "702.0"),
                episode("786", "790.2", gap="84", days=30),
                episode("955.2", None, gap="165", days=55),
                engine="Starboard",
                status="active",
            ),
            fault(
                "SPN 100 FMI 4",
                "Engine oil pressure: voltage below normal or shorted low",
                "cleared",
                "Cleared at 960.9 h and absent at 961.7 h: holding for 0.8 h.",
                episode("960.3", "960.9", days=58),
            ),
            fault(
                "SPN 168 FMI 18",
                "Battery potential: below normal, moderately severe",
                "stored",
                "Stored: first seen at 960.3 h, so it began at some time before.",
                episode("960.3", None, days=58, stored=True),
                status="stored",
            ),
            fault(
                "SPN 94 FMI 18",
                "Fuel delivery pressure: below normal, moderately severe",
                "historic",
                "Historic: cleared at 610 h and held, absent 90 h later.",
                episode("604.5", "610"),
                job=False,
            ),
        ),
        readings=(
            reading("Oil pressure", "52.5", "in range", "52.5 psi, in range"),
            reading("Fuel pressure", "38", "out", "38 psi, 2 psi below the band"),
            reading(
                "Oil pressure",
                "42",
                "near the limit",
                "42 psi, in range but only just: 2 psi inside the lower limit",
                engine="Starboard",
            ),
            reading(
                "Boost pressure",
                "18",
                "no limits known",
                "18 psi, no limits to compare with",
                engine="Starboard",
                low=None,
                high=None,
            ),
        ),
        lines=(
            LineFacts(
                engine="Port",
                concern="Oil light came on off the inlet, engine sounded fine.",
                cause="Sender failed; ground at the block corroded.",
                correction="Replaced sender, cleaned and sealed the ground.",
            ),
            LineFacts(engine="", concern="Swim platform knocks.", cause="", correction=""),
        ),
        work=(
            WorkFacts(
                at=at(59),
                hours=Decimal("960.9"),
                job="1032",
                by="Tomas Reef",
                text="Replaced sender, cleaned ground, cleared the code.",
                codes=("SPN 100 FMI 4",),
            ),
        ),
        recommendations=(
            Recommendation(
                urgency="before next use",
                text="Starboard: find out why the coolant runs hot before the boat is used again.",
            ),
            Recommendation(urgency="soon", text="Fuel pressure, port: replace the primary filter and measure again."),
            Recommendation(urgency="watch", text="Charging voltage, starboard, at the next service."),
        ),
        not_inspected=NOT_INSPECTED,
        cautions=CAUTIONS,
        visual=(
            VisualFacts(
                at=at(59), hours=Decimal("960.9"), engine="Port", place="Raw-water hose at the pump",
                text="Outer layer cracked under the clamp.\nNo leak at 2000 rpm.", severity="Repair soon",
                recommendation="Replace the hose and both clamps.", by="Tomas Reef",
            ),
        ),
        tests=(
            FunctionTestFacts(
                at=at(59), hours=None, engine="", operated="Bilge blower, from the helm switch", lasted="4 min",
                text="Strong flow at the vent.", verdict="Worked", by="Tomas Reef",
            ),
        ),
        settings=(
            SettingFacts(
                at=at(20), hours=Decimal("900.0"), engine="Port", setting="Coolant temperature alarm", sort="Alarm",
                before="203 °F", after="194 °F", text="To be warned earlier.", authority="The owner",
                consent="Wes Harrow, by phone, Jun 23, 2025", job="1019", by="Tomas Reef",
            ),
            SettingFacts(
                at=at(59), hours=None, engine="", setting="Buzzer", sort="", before="", after="off",
                text="It was asked for.", authority="The owner", consent="", job="1032", by="Tomas Reef",
                set_back_at=at(60), set_back_to="on", set_back_by="Orla Brandt",
            ),
        ),
    )  # fmt: skip


def issue(number: str = "1032-1") -> IssueFacts:
    code = "H7KM-4R2P"
    return IssueFacts(
        number=number,
        code=code,
        supersedes="",
        signed_at=datetime(2025, 8, 5, 16, 40, tzinfo=EAST),
        signer=ORLA,
        verify_url=f"https://reports.marlincreek.example.com/verify/{number}/{code}/",
    )


def covered(facts: Findings) -> Findings:
    """The findings with the coverage that follows from them."""
    turns = turns_of(facts.units, facts.work, facts.clears or (), facts.job.number)
    rows = coverage_of(facts.engines, facts.units, facts.scans, facts.readings, turns)
    return replace(facts, coverage=tuple(rows))


def record() -> Record:
    return Record(format=FORMAT, issue=issue(), findings=covered(findings()))


def bare() -> Record:
    """A job without engines, codes, readings, work or recommendations: every section says that there is nothing."""
    base = findings()
    nothing = replace(
        base,
        engines=(),
        units=(),
        scans=(),
        faults=(),
        readings=(),
        lines=(),
        work=(),
        recommendations=(),
        visual=(),
        tests=(),
        settings=(),
        summary="Only looked at.",
        remarks="",
        reviewer=None,
        reviewed_at=None,
        job=replace(base.job, condition_on_arrival=""),
    )
    return replace(record(), findings=nothing)


def bad_day() -> Record:
    """Forty faults, sixty readings, and words that do not break."""
    base = findings()
    long_word = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft" * 2
    states = ["active", "stored", "returned", "cleared", "historic"]
    faults = []
    for n in range(40):
        state = states[n % 5]
        history = [episode(f"{300 + n * 10}", f"{305 + n * 10}")]
        if state == "returned":
            history.append(episode(f"{405 + n * 10}", None, gap="100", days=40))
        elif state in {"active", "stored"}:
            history = [episode(f"{300 + n * 10}", None, stored=state == "stored")]
        faults.append(
            fault(
                f"SPN {1200 + n} FMI {n % 20}",
                long_word if n == 7 else f"Invented parameter {n}: data erratic",
                state,
                f"{state.capitalize()}: a sentence about number {n}.",
                *history,
                engine="Port" if n % 2 else "Starboard",
                status="active" if state in {"active", "returned"} else "",
            )
        )
    readings = [
        replace(
            reading(
                f"Parameter {n}",
                f"{38 + n % 30}",
                "out" if n % 30 < 2 else "in range",
                "said in words",
                engine="Port" if n % 2 else "Starboard",
            ),
            condition=long_word if n == 3 else "warm, 2000 rpm",
            at=at(60).astimezone(UTC).astimezone(EAST),
        )
        for n in range(60)
    ]
    return Record(
        format=FORMAT,
        issue=issue("1032-2"),
        findings=replace(
            covered(replace(base, readings=tuple(readings))),
            faults=tuple(faults),
            summary=f"{base.summary}\n\n{long_word}\n\n<b>not bold</b> & “quoted”",
            customer=replace(base.customer, name=long_word),
            recommendations=tuple(Recommendation(urgency="soon", text=f"Recommendation {n}. " * 6) for n in range(60)),
        ),
    )


def much() -> Record:
    """Sixty codes, half of them listed by one scan, and two hundred readings: a refit of two engines."""
    base = findings()
    faults, seen = [], []
    for n in range(60):
        came_back = n % 10 == 0
        side = "Port" if n % 2 else "Starboard"
        history = [episode(f"{300 + n * 8}", f"{305 + n * 8}" if n % 3 or came_back else None)]
        if came_back:
            history.append(episode(f"{400 + n * 8}", None, gap="95", days=40))
        state = "returned" if came_back else "cleared" if n % 3 else "active"
        code = f"SPN {1200 + n} FMI {n % 20}"
        says = {
            "returned": "Returned · active: seen again 95 h (30 days) after it was cleared; it has returned once.",
            "cleared": f"Cleared at {305 + n * 8} h and absent at 961.7 h: holding for {656 - n * 8} h.",
            "active": f"Active: seen once, at {300 + n * 8} h.",
        }[state]
        faults.append(
            fault(
                code,
                f"Invented parameter {n}: voltage above normal, or shorted to high source",
                state,
                says,
                *history,
                engine=side,
                status="" if state == "cleared" else "active",
            )
        )
        if n % 2:
            seen.append(SeenFacts(code=code, status="active", count=n))
    readings = []
    for n in range(200):
        limited = n % 4 != 0
        verdict = "no limits known" if not limited else "out" if n % 40 == 1 else "in range"
        value = f"{38 if verdict == 'out' else 42 + n % 20}"
        words = {"out": f"{value} psi, 2 psi below the band", "in range": f"{value} psi, in range"}
        readings.append(
            replace(
                reading(
                    f"Parameter {n}",
                    value,
                    verdict,
                    words.get(verdict, f"{value} psi, no limits to compare with"),
                    engine="Port" if n % 2 else "Starboard",
                    low="40" if limited else None,
                    high="65" if limited else None,
                ),
                minimum=None,
                maximum=None,
                at=at(60) + timedelta(minutes=n),
                phase="On arrival" if n < 100 else "Sea trial",
            )
        )
    scans = (replace(base.scans[0], seen=tuple(seen)), base.scans[1])
    facts = replace(base, faults=tuple(faults), readings=tuple(readings), scans=scans, visual=(), tests=(), settings=())
    return Record(format=FORMAT, issue=issue("1032-3"), findings=covered(facts))


def torn(shift: int = 0) -> Record:
    """Everything that a page break could part from what it belongs to; ``shift`` lines move the breaks."""
    base = findings()
    urged = [
        Recommendation(
            urgency=urgency, text=f"{urgency} item {n}: " + f"look at part {n} again, " * (1 + n % 5) + "end."
        )
        for urgency in ("before next use", "soon", "watch")
        for n in range(22)
    ]
    urged.append(Recommendation(urgency="watch", text="watch item 22: " + "a sentence as long as a letter, " * 130))
    history = [episode("300", "301")]
    history += [episode(str(310 + n * 10), str(311 + n * 10), gap="9", days=n) for n in range(70)]
    faults = [fault("SPN 110 FMI 0", "Coolant temperature: above normal", "returned", "Returned 70 times.", *history)]
    faults += [
        fault(
            f"SPN {1300 + n} FMI 4",
            "Invented",
            "stored",
            "Stored.",
            episode("955", None, stored=True),
            status="stored",
            engine="Port" if n % 2 else "Starboard",
        )
        for n in range(70)
    ]
    readings = [
        replace(
            reading(f"Value {n}", "38" if n < 18 else "50", "out" if n < 18 else "in range", "50 psi, in range",
                    engine="Port" if n % 2 else "Starboard"),
            phase=("On arrival", "Sea trial")[n % 4 // 2],
        )
        for n in range(110)
    ]  # fmt: skip
    units = tuple(
        replace(base.units[n % 2], name=f"Unit {n} ({'port' if n % 2 == 0 else 'starboard'})") for n in range(24)
    )
    facts = replace(
        base,
        summary="\n".join(["Line of the summary."] * (1 + shift)),
        recommendations=tuple(urged),
        faults=tuple(faults),
        readings=tuple(readings),
        units=units,
        not_inspected=tuple(f"Thing {n} of the boat" for n in range(70)),
    )
    return Record(format=FORMAT, issue=issue("1032-4"), findings=covered(facts))


def of_many_tongues() -> Record:
    """Names in every alphabet that the paper has letters for."""
    base = record()
    names = (
        "Ελένη Παπαδοπούλου · Алексей Щукин · أحمد البحار · דוד ים-סוף · श्रीमती गंगा · สมชาย ใจดี · Đặng Thị Hồng · Łódź"
    )
    facts = replace(
        base.findings,
        customer=replace(base.findings.customer, name=names),
        vessel=replace(base.findings.vessel, name="Καλυψώ Щука"),
        summary=f"{base.findings.summary}\n\n{names}",
    )
    return replace(base, findings=facts)
