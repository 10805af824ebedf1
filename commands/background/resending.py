"""What beat has done every few seconds: send again what waits without a sign of life, forget what is long done."""

from __future__ import annotations

from datetime import timedelta

from django.db.models import Q
from django.db.models.functions import Now

from commands.background.asking import send, sent_again_after
from commands.background.running import free
from commands.models import BackgroundTask

FORGOTTEN_AFTER = timedelta(days=30)


def send_again() -> list[int]:
    """Send every task that is due and has no sign of life: its message was lost, or its worker killed. Their keys."""
    not_on_its_way = Q(sent_at=None) | Q(sent_at__lt=Now() - timedelta(seconds=sent_again_after()))
    sent = []
    for task in BackgroundTask.objects.filter(free(), not_on_its_way).order_by("asked_at", "pk"):
        BackgroundTask.objects.filter(pk=task.pk).update(sent_at=Now())
        if not send(task):
            break  # the queue is away; the next look tries again
        sent.append(task.pk)
    return sent


def forget_the_old() -> int:
    """Delete the rows of what ended long ago; how many."""
    old = BackgroundTask.objects.filter(ended_at__lt=Now() - FORGOTTEN_AFTER)
    return old.delete()[0]
