"""How lines of the log are made: structured by structlog, whoever writes them, and put out on the console."""

from __future__ import annotations

import sys
from typing import Any

import structlog

_SHARED: list[Any] = [
    structlog.contextvars.merge_contextvars,
    structlog.stdlib.add_logger_name,
    structlog.stdlib.add_log_level,
    structlog.processors.TimeStamper(fmt="iso", utc=True),
    structlog.stdlib.PositionalArgumentsFormatter(),
]


def logging_to_console(level: str) -> dict[str, Any]:
    """The setting ``LOGGING``; ``level`` is what everything but the log of the doors is told from."""
    structlog.configure(
        processors=[structlog.stdlib.filter_by_level, *_SHARED, structlog.stdlib.ProcessorFormatter.wrap_for_formatter],
        logger_factory=structlog.stdlib.LoggerFactory(),
        cache_logger_on_first_use=True,
    )
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "line": {
                "()": structlog.stdlib.ProcessorFormatter,
                "processor": structlog.dev.ConsoleRenderer(
                    colors=sys.stderr.isatty(),
                    exception_formatter=structlog.dev.plain_traceback,  # a rich one would show what people typed
                ),
                "foreign_pre_chain": _SHARED,
            }
        },
        "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
        "root": {"handlers": ["console"], "level": level},
        "loggers": {
            "django": {"handlers": [], "level": level, "propagate": True},
            "django.request": {"handlers": [], "level": "ERROR", "propagate": True},
            "django.server": {"handlers": [], "propagate": True},
            "garboard.security": {"handlers": [], "level": "INFO", "propagate": True},  # whatever LOG_LEVEL says
        },
    }
