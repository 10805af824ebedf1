"""The markup of what a fault's page shows by the dozen: episodes, work, evidence and sisters."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal

from django.utils.safestring import SafeString
from django.utils.text import Truncator

from engineering.faults import Episode as Replayed
from engineering.faults import FaultHistory
from engineering.hours import hours_words
from engineering.plurals import plural
from findings.drawing.templatetags.drawings import fault_flag
from findings.faults.fault_page import EpisodeOnPage, EvidenceSeen, FamilyFault, WorkSeen
from findings.faults.models import Episode
from findings.faults.wording import ENDED, length_words, outcome_words
from vessels.log.afterwards import afterwards_of
from vessels.log.drawing import corrections_markup, when_markup
from vessels.log.originals import witness_words
from vessels.wording import day_words
from web.addresses import address_of
from web.markup import NOTHING, each_filled, filled
from web.sentences import within

_OUTCOMES = dict(Episode.OUTCOMES)


def _hours(hours: Decimal | None) -> str:
    return "" if hours is None else hours_words(hours)


def _when(at: datetime, hours: Decimal | None) -> SafeString:
    return filled('<div class="entry-when">{}</div>', when_markup(at, _hours(hours)))


def _on_job(number: int | None) -> SafeString:
    """The job on which something was, as words that go on."""
    if number is None:
        return NOTHING
    return filled(' · job <a href="{}">{}</a>', address_of("findings:job", number), number)


def _foot_job(number: int | None) -> SafeString:
    """The same at the foot of an entry."""
    if number is None:
        return NOTHING
    return filled('<span>job <a href="{}">{}</a></span>', address_of("findings:job", number), number)


def episodes_markup(history: FaultHistory, known: Mapping[int, EpisodeOnPage]) -> SafeString:
    """The rows of the table of episodes, the first one first."""
    found = [(episode, known[episode.number]) for episode in history.episodes if episode.number in known]
    return each_filled("{}", ((_episode(history, *pair),) for pair in found))


def _episode(history: FaultHistory, episode: Replayed, known: EpisodeOnPage) -> SafeString:
    after = length_words(known.outcome_hours, known.outcome_days)
    if known.outcome == "returned" and after:
        after = f"seen again {after}"
    return filled(
        '<tr><th scope="row" class="num">{}</th><td data-label="Away at most">{}</td>'
        '<td data-label="First seen">{}<span class="hours">{}</span> <small>{}{}</small></td>'
        '<td data-label="Last seen"><span class="hours">{}</span> <small>{}, {}, in {}</small></td>'
        '<td data-label="Ended">{}{}</td><td data-label="Outcome">{}{}</td><td data-label="Work">{}</td></tr>',
        episode.number,
        _away(history, episode, known),
        filled("<small>already {}, began before</small>", episode.opened_with)
        if episode.beginning_unknown
        else NOTHING,
        _hours(episode.opened_hours),
        day_words(episode.opened_at),
        _on_job(known.opened_on),
        _hours(episode.last_seen_hours),
        day_words(episode.last_seen_at),
        episode.last_status,
        f"{episode.sightings} {plural(episode.sightings, 'scan')}",
        ENDED.get(episode.closed_by or "", ENDED[""]),
        _end(episode, known),
        outcome_words(known.outcome, _OUTCOMES.get(known.outcome, known.outcome), is_repair=known.is_repair),
        filled(" <small>{} after</small>", after) if after else NOTHING,
        _work(episode, known),
    )


def _work(episode: Replayed, known: EpisodeOnPage) -> SafeString:
    if known.work is None:
        ended = "" if episode.closed_at is None else " before it ended"
        return filled('<span class="soft">none on record{}</span>', ended)
    return filled(
        "{}{}",
        Truncator(known.work).words(16),
        corrections_markup(afterwards_of(known.work_afterwards).notes, most_words=24),
    )


def _away(history: FaultHistory, episode: Replayed, known: EpisodeOnPage) -> SafeString:
    longest = history.longest_away(history.episodes.index(episode))
    if longest is None:
        return filled('<span class="soft">first time</span>')
    gap, comeback = length_words(longest.hours, longest.days), NOTHING
    if known.is_comeback:
        comeback = filled(" <small>comeback: within the hold time after our repair</small>")
    elif known.may_be_comeback:
        comeback = filled(" <small>whether within the hold time after our repair is not known</small>")
    if episode.not_fixed_yet:
        comeback = filled(" <small>on the same job: not fixed yet, no return</small>")
    return filled("<b>{}</b>{}", gap, comeback)


def _end(episode: Replayed, known: EpisodeOnPage) -> SafeString:
    if episode.closed_at is None:
        return NOTHING
    return filled(
        '{} <span class="hours">{}</span><small>{}{}</small>{}',
        "," if episode.closed_by == "absent" else "",
        _hours(episode.closed_hours),
        day_words(episode.closed_at),
        _on_job(known.closed_on),
        corrections_markup(afterwards_of(known.closing_afterwards).notes, most_words=24),
    )


def work_markup(work: Iterable[WorkSeen]) -> SafeString:
    """The list of work about a fault."""
    return each_filled(
        '<li class="entry">{}<div class="entry-body"><p class="written">{}</p>{}'
        '<p class="entry-foot"><span>{}</span>{}</p></div>'
        "</li>",
        (
            (
                _when(one.happened_at, one.engine_hours),
                one.text,
                corrections_markup(afterwards_of(one.later).notes),
                one.author,
                _foot_job(one.job_number),
            )
            for one in work
        ),
    )


def evidence_markup(evidence: Iterable[EvidenceSeen]) -> SafeString:
    """The list of entries that are evidence of a fault, or were."""
    return each_filled("{}", ((_evidence(one),) for one in evidence))


def _evidence(one: EvidenceSeen) -> SafeString:
    says, later = one.says, one.afterwards
    return filled(
        '<li class="entry{}{}" id="entry-{}">{}<div class="entry-body"><p><span class="entry-kind">{}</span></p>'
        '<p class="small">{}</p>{}<p class="entry-foot"><span>{}</span>{}<a href="{}">in the log</a>{}</p></div></li>',
        " is-late" if one.is_late else "",
        " is-amended" if later.replaced else "",
        one.pk,
        _when(one.happened_at, one.engine_hours),
        says[:1].upper() + says[1:],
        one.summary,
        corrections_markup(later.notes),
        witness_words(one.author, one.corrected_by),
        _foot_job(one.job_number),
        address_of("vessels:entry", one.pk),
        filled("<span>{}</span>", later.words) if later.replaced else NOTHING,
    )


def sisters_markup(sisters: Iterable[FamilyFault]) -> SafeString:
    """The list of the same code on sister engines."""
    return each_filled(
        '<li class="row"><span class="row-main"><a class="row-title" href="{}">{}</a> <small>{}</small></span>{}</li>',
        (
            (
                address_of("findings:fault", one.pk),
                f"{one.vessel}, {one.engine_position} engine" if one.engine_position in _BESIDE_OTHERS else one.vessel,
                filled(
                    "{}{}{}",
                    "By its serial this very engine. " if one.is_same_engine else "",
                    _fared(one),
                    f" {one.another}" if one.another else "",
                ),
                fault_flag(one.state, one.status_now),
            )
            for one in sisters
        ),
    )


_BESIDE_OTHERS = ("port", "starboard", "center")


def _fared(sister: FamilyFault) -> str:
    """What was done there and what came of it; where the fault stands, where nothing helped."""
    if sister.fix is None:
        return sister.sentence
    notes = afterwards_of(sister.fix_later).notes
    return filled("{}{}", _fix(sister), corrections_markup(notes, most_words=24))


def _fix(sister: FamilyFault) -> str:
    """What was done there, and what came of it."""
    done = within(Truncator(sister.fix_text or "Cleared, with no work on record").words(24))
    came = _OUTCOMES.get(sister.fix or "", sister.fix)
    return f"{done}: {came}{f', {hours_words(sister.fix_hours)}' if sister.fix_hours is not None else ''}"
