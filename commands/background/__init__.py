"""Work that is done after the answer: asked for in a row, done by a Celery worker, and lost by nothing.

The row (``commands.models.BackgroundTask``) is what is to be done; a message only says when. ``asking`` writes the row
and sends the message, ``running`` is what the worker does with it, ``resending`` sends again what has no sign of life.
"""

from commands.background.asking import ask, do_now, done_in_this_process, open_task
from commands.background.kinds import Kind, Run, TakenOverError, register

__all__ = ["Kind", "Run", "TakenOverError", "ask", "do_now", "done_in_this_process", "open_task", "register"]
