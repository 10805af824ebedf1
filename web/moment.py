"""Pages that ask the database several things see it as it was at one moment."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from typing import Concatenate, ParamSpec

from django.db import connection, transaction
from django.http import HttpRequest
from django.http.response import HttpResponseBase

P = ParamSpec("P")
READS = frozenset({"GET", "HEAD"})


@contextmanager
def one_moment() -> Iterator[None]:
    """Read the database as it is now: what an act commits meanwhile is not seen. For what only reads, and is short.

    Inside another transaction nothing is added to it.
    """
    if connection.in_atomic_block:
        yield
        return
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        yield


def at_one_moment(
    view: Callable[Concatenate[HttpRequest, P], HttpResponseBase],
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Have a page be of one moment where it only reads: an act stands in it whole, or not at all.

    Without it a job may be read before an act and its charges after it: charges without the discount that the same act
    gave. Only for views whose answer is made when they return.
    """

    @wraps(view)
    def of_one_moment(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if request.method not in READS:
            return view(request, *args, **kwargs)
        with one_moment():
            return view(request, *args, **kwargs)

    return of_one_moment
