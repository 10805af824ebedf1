"""The preview of a CAN log: what was understood of it, what is ticked beforehand, and what it asks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.utils import timezone

from engineering.codes import CodeStatus
from findings.canlogs.choosing import (
    CodeRow,
    ValueRow,
    code_rows,
    counted_kinds,
    value_rows,
)
from findings.canlogs.forms import HoursAsked, LogItForm
from findings.canlogs.models import CanLog
from findings.canlogs.moments import Moment, moment_of
from findings.canlogs.preview import MOST_ROWS, CodeHeard, Understood
from findings.canlogs.queries import LoggedFrom, logged_from, other_job_words, remembered_mapping
from findings.canlogs.senders import MOST_SENDERS, Sender, Target, targets_of, usual_targets
from findings.canlogs.unread import hides_codes, was_not_counted
from findings.canlogs.wording import lasts_words, oddities_of
from findings.faults.phases import common_phase, usual_phase
from findings.faults.queries import unit_choices
from vessels.models import ControlUnit, Engine
from vessels.shown_hours import doubt_about
from workorders.frames import job_frame
from workorders.models import Job


@dataclass
class PreviewPage:
    """One visit to the preview of a log."""

    request: HttpRequest
    log: CanLog
    understood: Understood

    @property
    def data(self) -> QueryDict | None:
        """What was sent."""
        return self.request.POST if self.request.method == "POST" else None

    @cached_property
    def units(self) -> Sequence[ControlUnit]:
        """The boat's units."""
        return unit_choices(self.log.job.vessel)

    @cached_property
    def engines(self) -> Sequence[Engine]:
        """The boat's engines."""
        return list(self.log.job.vessel.engines.filter(removed_on=None).order_by("pk"))

    @cached_property
    def senders(self) -> Sequence[Sender]:
        """Those that are asked about."""
        return self.understood.senders[:MOST_SENDERS]

    @cached_property
    def targets(self) -> list[Target]:
        """Where senders can belong."""
        return targets_of(self.units, self.engines)

    @cached_property
    def usual(self) -> dict[Sender, Target]:
        """Where they usually do."""
        asked = usual_targets(self.senders, self.targets, remembered_mapping(self.log.job.vessel))
        return {sender: asked.get(sender, self.targets[-1]) for sender in self.understood.senders}

    @cached_property
    def logged(self) -> LoggedFrom:
        """What is logged of it already."""
        return logged_from(self.log)

    @cached_property
    def on_other_jobs(self) -> list[tuple[Job | None, LoggedFrom]]:
        """What is logged of it on other jobs of the boat."""
        return [(job, logged) for job, logged in self.logged.by_job() if job != self.log.job]

    @cached_property
    def not_ticked(self) -> str:
        """Why nothing is ticked beforehand."""
        for _, logged in self.on_other_jobs:
            return f"This file is logged{other_job_words(logged.first.entry, self.log)}: select only what is missing."
        return ""

    @cached_property
    def moment(self) -> Moment:
        """Date and time recorded."""
        now, zone = timezone.now(), timezone.get_current_timezone()
        return moment_of(self.understood.summary, now=now, opened=self.log.job.opened_at, zone=zone)

    @cached_property
    def codes(self) -> list[CodeRow]:
        """The rows of codes."""
        return self._code_rows(self.understood.codes[:MOST_ROWS])

    @cached_property
    def statuses(self) -> list[CodeRow]:
        """The rows of status bits."""
        return self._code_rows(self.understood.statuses[:MOST_ROWS])

    @cached_property
    def values(self) -> list[ValueRow]:
        """The rows of values."""
        values, why = self.understood.values[:MOST_ROWS], self.not_ticked
        return value_rows(values, self.data, usual=self.usual, logged=self.logged, on_other_job=why)

    def _code_rows(self, codes: Sequence[CodeHeard]) -> list[CodeRow]:
        why = self.not_ticked
        return code_rows(codes, self.data, usual=self.usual, logged=self.logged, on_other_job=why)

    def form(self) -> LogItForm:
        """The form, as it was sent or as it usually is."""
        job = self.log.job
        counted = {
            target.engine.pk: hours
            for sender, hours in self.understood.hours.items()
            if (target := self.usual[sender]).engine
        }
        wanted, at = self.request.GET.get("phase", ""), self.moment.at or timezone.now()
        phase = common_phase(
            usual_phase(job, engine=target.engine, unit=target.unit, wanted=wanted, at=at)
            for target in set(self.usual.values())
            if target.unit or target.engine
        )
        return LogItForm(
            self.data,
            initial={"phase": phase},
            moment=self.moment,
            senders=self.senders,
            targets=self.targets,
            usual=self.usual,
            engines=[
                HoursAsked(one, counted.get(one.pk), doubt_about(one, counted.get(one.pk), at)) for one in self.engines
            ],
        )

    def places(self, form: LogItForm) -> dict[Sender, Target]:
        """Where each sender belongs by the form."""
        by_value = {target.value: target for target in self.targets}
        places = dict.fromkeys(self.understood.senders, self.targets[-1])
        return places | {
            sender: by_value[form.cleaned_data[f"to_{index}"]] for index, sender in enumerate(self.senders)
        }

    def answer(self, form: LogItForm, *, status: int = 200) -> HttpResponse:
        """The page."""
        understood, job = self.understood, self.log.job
        context = {
            "frame": job_frame(self.request.user, job, "findings:job"),
            "job": job,
            "log": self.log,
            "form": form,
            "understood": understood,
            "summary": understood.summary,
            "codes": self.codes,
            "statuses_heard": self.statuses,
            "values": self.values,
            "statuses": list(CodeStatus),
            "senders": [(form[f"to_{index}"], sender, self._says(sender)) for index, sender in enumerate(self.senders)],
            "engine_fields": [(form[f"hours_{one.pk}"], form[f"condition_{one.pk}"]) for one in self.engines],
            "logged": self.logged.on_job(job),
            "on_other_jobs": self.on_other_jobs,
            "has_units": bool(self.units),
            "left_out": _left_out(understood),
            "lasts": lasts_words(understood.summary),
            "oddities": oddities_of(understood.summary),
            "was_not_counted": was_not_counted(understood.summary),
        }
        return render(self.request, "findings/canlogs/preview.html", context, status=status)

    def _says(self, sender: Sender) -> str:
        """What a sender says, counted."""
        said = counted_kinds(
            {
                "code": sum(one.sender == sender for one in self.understood.codes),
                "status bit": sum(one.sender == sender for one in self.understood.statuses),
                "value": sum(one.sender == sender for one in self.understood.values),
            }
        )
        if said:
            return ", ".join(said)
        if was_not_counted(self.understood.summary) or hides_codes(self.understood.summary, [sender]):
            return "no codes that could be read"
        return "no codes" if sender in self.understood.tell_codes else "nothing to log"


def _left_out(understood: Understood) -> list[str]:
    """What is too much for the page, in words."""
    counted = [
        (len(understood.senders) - MOST_SENDERS, "senders"),
        (len(understood.codes) - MOST_ROWS, "codes"),
        (len(understood.statuses) - MOST_ROWS, "status bits"),
        (len(understood.values) - MOST_ROWS, "values"),
    ]
    return [f"{count:,} more {what}" for count, what in counted if count > 0]
