"""Authorizations, an app of its own inside billing."""

from django.apps import AppConfig


class AuthorizationsConfig(AppConfig):
    """Set-up of authorizations."""

    name = "billing.authorizations"
    label = "authorizations"

    def ready(self) -> None:
        """Have charges looked at, show the sum beside them, let what was authorized count, offer what was declined."""
        from billing.authorizations import deferred, history
        from billing.authorizations.actions.deferring import note_what_was_charged
        from billing.authorizations.filing import kept_papers
        from billing.authorizations.guarding import stop_past_the_sum, stop_touch_past_the_sum
        from billing.authorizations.queries import says_what_it_costs
        from billing.authorizations.ruled import ask_about_no_answer, refuse_work_without_estimate
        from billing.authorizations.shown import on_lines
        from billing.authorizations.signing import kept_files
        from billing.authorizations.tasks import DRAW_AUTHORIZATION
        from billing.estimates import answered
        from commands import background
        from files import references
        from vessels import sections
        from workorders import guards, happened, offered
        from workorders.sections import LINES, Section, register

        guards.before_adding(stop_past_the_sum)
        guards.around_a_touch(stop_touch_past_the_sum)
        guards.before_moving(refuse_work_without_estimate)
        guards.before_moving(ask_about_no_answer)
        guards.counts_as_a_price(says_what_it_costs)
        register(Section(LINES, "billing/authorizations/on_lines.html", on_lines, 30))
        register(Section(LINES, "billing/authorizations/deferred_on_lines.html", deferred.on_lines, 15))
        sections.register("billing/authorizations/deferred_on_vessel.html", deferred.on_vessel, 35)
        answered.register(history.answer_to)
        answered.register_answers(history.standing_answer)
        answered.register_charged(note_what_was_charged)
        happened.register(happened.Source("answers", history.steps, 10))
        offered.register(offered.Source("deferred work", deferred.offers, 20))
        references.register("authorizations", kept_files)
        references.register("authorizations on paper", kept_papers)
        background.register(DRAW_AUTHORIZATION)
