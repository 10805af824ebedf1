"""How an action says no: one sentence that the person can act on."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Self

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

NOTHING_DIFFERS = "Nothing is different from what stands there."


class Refused(Exception):  # noqa: N818  (a refusal is an answer, not a defect)
    """The rules of the shop do not allow it, or the input is wrong.

    ``sentence`` is shown to the person. ``fields`` maps a form field's name to the sentence that belongs beside it.
    ``once_undone`` is called when all that the act wrote is undone, by the envelope of the outermost act: it keeps
    that this was tried, where that has to be known.
    """

    def __init__(
        self,
        sentence: str,
        *,
        fields: Mapping[str, str] | None = None,
        once_undone: Callable[[], object] | None = None,
    ) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.fields = dict(fields or {})
        self.once_undone = once_undone

    def renamed(self, names: Mapping[str, str]) -> Self:
        """The same refusal on a page whose fields have other names."""
        other = type(self).__new__(type(self), *self.args)
        other.__dict__.update(self.__dict__)
        other.fields = {names.get(name, name): sentence for name, sentence in self.fields.items()}
        return other


class Conflict(Refused):
    """Somebody else saved the same record first. ``theirs`` and ``mine`` hold value by field name."""

    def __init__(self, sentence: str, *, theirs: Mapping[str, object], mine: Mapping[str, object], by: str) -> None:
        super().__init__(sentence)
        self.theirs = dict(theirs)
        self.mine = dict(mine)
        self.by = by


class NotYet(Refused):
    """What it names is not here yet, and may still come: who sends it keeps it, and sends it again."""


def one_limit(faults: Sequence[ValidationError]) -> list[ValidationError]:
    """The faults of one number: where its bound is told, not also how many digits that has."""
    if any(one.code in {"min_value", "max_value"} for one in faults):
        return [one for one in faults if one.code not in {"max_digits", "max_whole_digits"}]
    return list(faults)


def refusal_of(error: ValidationError, otherwise: str = "Some fields need another look.") -> Refused:
    """What the framework says of a record, as a refusal: each sentence beside its field.

    What it says of the whole is the refusal's own sentence, ``otherwise`` where it says nothing of that.
    """
    faults = {name: ValidationError(one_limit(errors)) for name, errors in error.update_error_dict({}).items()}
    by_field = {name: " ".join(found.messages) for name, found in faults.items()}
    return Refused(by_field.pop(NON_FIELD_ERRORS, otherwise), fields=by_field)
