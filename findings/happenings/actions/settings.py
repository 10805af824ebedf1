"""What people do with settings: log that one was changed permanently, and that it was set back."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from commands.envelope import command
from commands.questions import ask_once
from commands.refusals import Refused
from findings.faults.actions import to_log_findings
from findings.happenings.checking import refuse_again, refuse_empty, refuse_strange_engine, refuse_too_long
from findings.happenings.kinds import SET_BACK, SETTING
from findings.happenings.models import ConsentHow, EndedChange, SettingBack, SettingChange, SettingSort
from findings.happenings.setting_words import back_summary, change_summary, same_value, with_unit
from findings.happenings.standing import endings, is_of, standing
from findings.happenings.wording import one_line
from staff.models import Person
from staff.policy import Permission
from vessels.log.belonging import of_a_boat, refuse_amending, refuse_what_no_longer_counts
from vessels.log.chain import NewEntry, append
from vessels.models import Engine, LogEntry, Vessel
from vessels.wording import date_words, day_words, moment_words
from workorders.models import Job

A_YEAR = timedelta(days=366)
CONSENT = "An alarm, a limit or a shutdown is changed only with the customer’s consent: say {}."

of_a_boat(
    SettingChange,
    vessel=lambda change: change.entry.vessel_id,
    refused=lambda _: Refused("This setting was changed on another boat."),
)


@command("log_setting", needs=to_log_findings, writes_to="vessel")
def log_setting(
    *,
    by: Person,
    vessel: Vessel,
    engine: Engine | None,
    setting: str,
    sort: str,
    after: str,
    text: str,
    authority: str,
    before: str = "",
    unit: str = "",
    consent_by: str = "",
    consent_on: date | None = None,
    consent_how: str = "",
    job: Job | None = None,
    engine_hours: Decimal | None = None,
    entry_id: UUID | None = None,
    happened_at: datetime | None = None,
    amends: LogEntry | None = None,
) -> SettingChange:
    """Log that a setting was changed permanently, on an engine or on the boat: from what, to what, why (``text``).

    ``before`` is empty where it is not known. An alarm, a limit or a shutdown needs the customer's consent.

    Raises:
        Refused: something of this is missing, nothing changed, the consent is of after the change, it is a setting
            back that belongs to an earlier change, or the engine was gone by then.
    """
    first, text = None, text.strip()
    if amends is not None:
        refuse_amending(amends, vessel=vessel, kind=SETTING)
        happened_at = happened_at or amends.happened_at
        wrong = SettingChange.objects.get(pk=amends.pk)
        first = wrong.first or wrong
    change = SettingChange(
        setting=one_line(setting),
        sort=sort,
        before=one_line(before),
        after=one_line(after),
        unit=one_line(unit),
        authority=one_line(authority),
        consent_by=one_line(consent_by),
        consent_on=consent_on,
        consent_how=consent_how,
        first=first,
    )
    _check(change, text, happened_at)
    refuse_strange_engine(engine, engine_hours, happened_at, amends)
    new = NewEntry(
        kind=SETTING,
        vessel=vessel,
        author=by,
        summary=change_summary(change),
        happened_at=happened_at,
        id=entry_id,
        engine=engine,
        job_id=job.pk if job else None,
        engine_hours=engine_hours,
        text=text,
        amends=amends,
    )
    refuse_again(new, job, is_same=_is_same(change, amends))
    if amends is None:
        _refuse_what_sets_back(change, vessel, engine, happened_at)
    append(new, detail=change)
    return change


def _check(change: SettingChange, text: str, happened_at: datetime | None) -> None:
    refuse_empty(
        {
            "setting": (change.setting, "Say which setting it is."),
            "sort": (change.sort, "Choose whether it is an alarm, a limit or a shutdown."),
            "after": (change.after, "Say what it is set to now."),
            "text": (text, "Say why it was changed."),
            "authority": (change.authority, "Say who or what allows it: a person, or a document."),
        }
    )
    refuse_too_long(
        {
            "setting": (change.setting, 160),
            "before": (change.before, 80),
            "after": (change.after, 80),
            "unit": (change.unit, 20),
            "authority": (change.authority, 160),
            "consent_by": (change.consent_by, 120),
            "text": (text, 5000),
        }
    )
    if change.sort not in SettingSort.values:
        raise Refused("Choose what the setting is of.", fields={"sort": "Choose one of the list."})
    if change.before and same_value(change.before, change.after):
        sentence = "This is what it was before: nothing was changed."
        raise Refused(sentence, fields={"after": sentence})
    _check_consent(change, timezone.localdate(happened_at) if happened_at else timezone.localdate())


def _check_consent(change: SettingChange, day: date) -> None:
    """What protects is changed by consent alone, and a consent is told whole: who, on which day, how."""
    missing = {
        name: word
        for name, (said, word) in {
            "consent_by": (change.consent_by, "who gave it"),
            "consent_on": (change.consent_on, "on which day"),
            "consent_how": (change.consent_how, "how"),
        }.items()
        if not said
    }
    if missing and change.protects:
        fields = {name: CONSENT.format(word) for name, word in missing.items()}
        raise Refused(next(iter(fields.values())), fields=fields)
    if 0 < len(missing) < 3:
        whole = "A consent is told whole: say {}, or leave all of it empty."
        fields = {name: whole.format(word) for name, word in missing.items()}
        raise Refused(next(iter(fields.values())), fields=fields)
    if change.consent_on is None:
        return
    if change.consent_how not in ConsentHow.values:
        raise Refused("Choose how the consent was given.", fields={"consent_how": "Choose one of the list."})
    if change.consent_on > day:
        sentence = f"The change was on {date_words(day)}: consent comes before it, or on that day."
        raise Refused(sentence, fields={"consent_on": sentence})
    if change.consent_on < day - A_YEAR:
        on = date_words(change.consent_on)
        ask_once(
            f"consent {change.consent_on}",
            f"This is more than a year before the change of {date_words(day)}.",
            field="consent_on",
            tick=f"The consent is of {on}",
        )


def _is_same(change: SettingChange, amends: LogEntry | None) -> bool:
    """Whether a correction says of the setting what stands there; its line does not say all of it."""
    if amends is None:
        return True
    wrong = SettingChange.objects.get(pk=amends.pk)
    told = ("setting", "sort", "before", "after", "unit", "authority", "consent_by", "consent_on", "consent_how")
    return all(getattr(wrong, name) == getattr(change, name) for name in told)


def _refuse_what_sets_back(
    change: SettingChange, vessel: Vessel, engine: Engine | None, happened_at: datetime | None
) -> None:
    """Refuse a change to what the setting was before an earlier one: that sets it back, and ends the earlier one."""
    for earlier in standing(vessel, happened_at):
        is_same = is_of(earlier, engine.pk if engine else None, change.setting)
        if is_same and earlier.before and same_value(earlier.before, change.after):
            sentence = (
                f"This is what it was before it was changed on {day_words(earlier.entry.happened_at)}. "
                "Log it as set back, beside that entry on Findings."
            )
            raise Refused(sentence, fields={"after": sentence})


@command("set_back_setting", needs=Permission.LOG_FINDINGS, writes_to="change.entry.vessel")
def set_back_setting(
    *,
    by: Person,
    change: SettingChange,
    value: str,
    text: str = "",
    job: Job | None = None,
    engine_hours: Decimal | None = None,
    entry_id: UUID | None = None,
    happened_at: datetime | None = None,
) -> SettingBack:
    """Log that a setting is again what it was before a change. It ends that change, and those that came after it.

    Raises:
        Refused: the change no longer counts or ended already, this is before it, or the value is none that the setting
            had before a change.
    """
    entry = change.entry
    refuse_what_no_longer_counts(entry)
    over = endings([change.root_id]).get(change.root_id)
    if over is not None:
        back = over.back.entry
        raise Refused(f"It was already set back by {back.author.name}, {day_words(back.happened_at)}.")
    value = one_line(value)
    refuse_empty({"value": (value, "Say what it is set to now.")})
    refuse_too_long({"value": (value, 80), "text": (text.strip(), 5000)})
    if happened_at is not None and happened_at < entry.happened_at:
        at = moment_words(timezone.localtime(entry.happened_at))
        sentence = f"The setting was changed at {at}: it cannot be set back before that."
        raise Refused(sentence, fields={"happened_at": sentence})
    refuse_strange_engine(entry.engine, engine_hours, happened_at, None)
    ended = _ended_by(change, value, happened_at)
    detail = SettingBack(change=change, value=value)
    append(
        NewEntry(
            kind=SET_BACK,
            vessel=entry.vessel,
            author=by,
            summary=back_summary(change, value),
            happened_at=happened_at,
            id=entry_id,
            engine=entry.engine,
            job_id=job.pk if job else None,
            engine_hours=engine_hours,
            text=text,
        ),
        detail=detail,
        children=[EndedChange(back=detail, change_id=one.root_id) for one in ended],
    )
    return detail


def changes_of_setting(change: SettingChange, until: datetime | None = None) -> list[SettingChange]:
    """The changes of the same setting that were not set back by then, in order of happening."""
    found = standing(change.entry.vessel, until)
    return [one for one in found if is_of(one, change.entry.engine_id, change.setting)]


def _ended_by(change: SettingChange, value: str, happened_at: datetime | None) -> list[SettingChange]:
    """The changes that this value undoes: from the earliest that it was before, all that came after."""
    open_changes = changes_of_setting(change, happened_at)
    at = next((index for index, one in enumerate(open_changes) if one.before and same_value(one.before, value)), None)
    if at is None:
        at = next((index for index, one in enumerate(open_changes) if not one.before), None)
    mine = next((index for index, one in enumerate(open_changes) if one.root_id == change.root_id), None)
    if at is None or mine is None or at > mine:
        befores = list(dict.fromkeys(with_unit(one.before, one.unit) for one in open_changes[: (mine or 0) + 1]))
        sentence = (
            f"Before the change it was {' or '.join(befores)}. If it is something else now, log that as another change."
        )
        raise Refused(sentence, fields={"value": sentence})
    return open_changes[at:]
