"""Handing work to a worker, so that a broker that is away is no error for whoever asked."""

from __future__ import annotations

import logging
from typing import Any

from kombu.exceptions import KombuError
from kombu.exceptions import OperationalError as BrokerAwayError
from redis.exceptions import RedisError

logger = logging.getLogger(__name__)


def send(task: Any, *arguments: Any, do_it_here: bool = False) -> bool:
    """Send a task. Whether it went out.

    What is to be done stands in a row that is looked at every half minute (``shopfloor.tasks``), so that a message that
    could not be sent, or was lost with its worker, is sent again. With ``do_it_here`` there is no such row, and the
    work is done at once instead.
    """
    try:
        task.delay(*arguments)
    except (BrokerAwayError, KombuError, RedisError, OSError) as problem:
        logger.error("%s could not be sent to a worker: %s", task.name, problem)
        if do_it_here:
            task.apply(arguments)
        return False
    return True
