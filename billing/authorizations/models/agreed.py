"""What a customer authorized, when a manager went on past it, and the shop's own rules."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from web.versions import Versioned
from workorders.models import Job, JobLine

NOTHING, MOST = Decimal("0"), Decimal("9999999")
ANY_WAY, IN_WRITING, NEVER = "any", "writing", "never"
OPEN_SUM = [
    (ANY_WAY, "however the customer agrees to it"),
    (IN_WRITING, "only in writing: signed on the screen, on paper, or by mail or message"),
    (NEVER, "never: a sum is authorized"),
]


def sum_column(label: str, **more: object) -> models.DecimalField:  # type: ignore[type-arg]
    """A column for a sum of money, zero among them."""
    return models.DecimalField(
        label,
        max_digits=11,
        decimal_places=2,
        validators=[MinValueValidator(NOTHING), MaxValueValidator(MOST)],
        **more,  # type: ignore[arg-type]
    )


class AuthorizationRules(Versioned):
    """How far past an authorized sum the shop goes without asking again. There is one row; nothing is preset."""

    tolerance_percent = models.DecimalField(
        "allowed on top, %",
        max_digits=6,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(NOTHING), MaxValueValidator(Decimal("100"))],
    )
    tolerance_amount = sum_column("allowed on top", null=True, blank=True)
    nothing_on_top = models.BooleanField("nothing beyond it without asking again", default=False)
    estimate_first = models.BooleanField("a written estimate before work begins", default=False)
    estimate_from = sum_column("for work from", null=True, blank=True)
    specify_more = models.BooleanField("consent by word to more says which parts and labor", default=False)
    time_and_materials = models.CharField(
        "time and materials without a ceiling", max_length=7, choices=OPEN_SUM, default=ANY_WAY
    )
    citation = models.CharField("where the rule is from", max_length=160, blank=True)

    class Meta:
        verbose_name_plural = "authorization rules"
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_row_of_authorization_rules")]

    def __str__(self) -> str:
        return "Rules of authorization"


class Authorization(models.Model):
    """What a customer agreed to: a sum, one that must not be passed, or time and materials with no ceiling.

    ``likely`` is what such work was said to come to, and stops nothing. It is never changed; it may be withdrawn.
    """

    PHONE, MESSAGE, PAPER, PERSON, DRAWN = "phone", "message", "paper", "person", "drawn"
    HOW = [
        (DRAWN, "signed on the screen"),
        (PHONE, "by phone"),
        (MESSAGE, "by mail or message"),
        (PAPER, "on paper"),
        (PERSON, "in person, by word"),
    ]

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="authorizations")
    line = models.ForeignKey(
        JobLine, on_delete=models.PROTECT, related_name="+", null=True, blank=True, verbose_name="for line"
    )
    revision = models.PositiveSmallIntegerField("version of the estimate", null=True, blank=True)
    amount = sum_column("sum, with tax")
    adds = models.BooleanField("on top of what was authorized before", default=False)
    is_ceiling = models.BooleanField("not to exceed", default=False)
    is_open = models.BooleanField("time and materials, with no ceiling", default=False)
    likely = sum_column("likely to come to, with tax", null=True, blank=True)
    how = models.CharField(max_length=7, choices=HOW)
    who = models.CharField("who agreed", max_length=80)
    reached = models.CharField("phone number or address", max_length=80, blank=True)
    said_at = models.DateTimeField("when it was agreed")
    words = models.TextField("what was agreed", blank=True, max_length=3000)
    taxes = models.JSONField("taxes in the sum", null=True, editable=False)
    """Each tax in the sum of an answer, by its words of then and what it came to; older answers have none kept."""
    sheet = models.TextField("what was signed for", blank=True, editable=False)
    sheet_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    signature_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    signature_size = models.PositiveBigIntegerField(null=True, editable=False)
    picture_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    picture_size = models.PositiveBigIntegerField(null=True, editable=False)
    picture_as_brought_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    noted_at = models.DateTimeField(default=timezone.now, editable=False)
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    withdrawn_at = models.DateTimeField("withdrawn", null=True, blank=True, editable=False)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )
    why_withdrawn = models.CharField(max_length=200, blank=True, editable=False)

    class Meta:
        ordering = ["job", "pk"]
        indexes = [models.Index(fields=["job"], name="time_and_materials_of_jobs", condition=models.Q(is_open=True))]
        constraints = [
            models.CheckConstraint(condition=models.Q(amount__gte=0), name="authorized_not_negative"),
            models.CheckConstraint(condition=~models.Q(who=""), name="authorized_by_somebody"),
            models.CheckConstraint(
                condition=models.Q(is_open=False, likely=None)
                | models.Q(is_open=True, amount=0, adds=False, is_ceiling=False),
                name="time_and_materials_without_a_sum",
            ),
            models.CheckConstraint(
                condition=models.Q(withdrawn_at=None, withdrawn_by=None)
                | models.Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="authorization_withdrawn_by_somebody",
            ),
            models.CheckConstraint(
                condition=~models.Q(how="drawn") | (~models.Q(signature_sha256="") & ~models.Q(sheet="")),
                name="authorization_drawn_has_its_signature",
            ),
        ]

    def __str__(self) -> str:
        return f"Authorization of {self.job}"


class AnsweredPiece(models.Model):
    """One line or option of the estimate with the customer's answer to it, as the page showed it then."""

    authorization = models.ForeignKey(Authorization, on_delete=models.PROTECT, related_name="pieces")
    key = models.UUIDField()
    position = models.PositiveSmallIntegerField()
    is_option = models.BooleanField()
    words = models.CharField(max_length=160)
    alternatives = models.CharField(max_length=40, blank=True)
    amount = sum_column("what it adds, with tax")
    is_taken = models.BooleanField()

    class Meta:
        ordering = ["authorization", "position"]
        constraints = [models.UniqueConstraint(fields=["authorization", "key"], name="one_answer_to_a_piece")]

    def __str__(self) -> str:
        return self.words


class GoingOn(models.Model):
    """A manager's word to go on past what was authorized, up to a sum, with the reason."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="goings_on")
    after = models.ForeignKey(Authorization, on_delete=models.PROTECT, related_name="+", null=True)
    up_to = sum_column("up to, with tax")
    reason = models.CharField(max_length=300)
    noted_at = models.DateTimeField(default=timezone.now, editable=False)
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)

    class Meta:
        ordering = ["job", "pk"]
        verbose_name = "going on past the authorized sum"
        constraints = [models.CheckConstraint(condition=~models.Q(reason=""), name="going_on_has_a_reason")]

    def __str__(self) -> str:
        return f"Going on with {self.job}"
