"""A visual finding, a function test and a setting: by touch, by the keys alone, on a phone, and without JavaScript."""

from __future__ import annotations

import pytest
from django.core.cache import cache
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page

from findings.happenings.models import FunctionTest, SettingBack, SettingChange, Severity, VisualFinding
from tests.browser.driving import PHONE, TABLET, Tablets, choose, go, main_button, problems, touch
from tests.browser.test_keyboard import press, tab_to
from tests.cast import make_cast
from tests.shopfloor.scene import Scene

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
FORMS = ("visual_finding", "function_test", "setting")


@pytest.fixture
def scene(transactional_db: None) -> Scene:
    cache.clear()
    return Scene(make_cast())


def address(scene: Scene, name: str) -> str:
    return reverse(f"findings:{name}", args=[scene.job.number])


def test_each_form_and_what_came_of_it_at_both_sizes(scene: Scene, tablets: Tablets) -> None:
    made = [getattr(scene, name) for name in FORMS]
    page = tablets.hand_out(scene.cast.tech)
    paths = [address(scene, name) for name in (*FORMS, "job")]
    paths += [reverse(f"findings:correct_{name}", args=[one.pk]) for name, one in zip(FORMS, made, strict=True)]
    paths += [reverse("findings:set_back", args=[scene.job.number, scene.setting.pk])]
    paths += [reverse("vessels:vessel", args=[scene.cast.vessel.pk])]
    wrong: list[str] = []
    for path in paths:
        go(page, path)
        wrong += problems(page, PHONE, TABLET)
    assert not wrong, "\n\n".join(wrong)


@pytest.mark.parametrize("has_scripts", [True, False])
def test_by_touch_on_a_phone(scene: Scene, tablets: Tablets, has_scripts: bool) -> None:
    page = tablets.hand_out(scene.cast.tech, viewport=PHONE, java_script_enabled=has_scripts)
    look = touch if has_scripts else _tap
    page.goto(address(scene, "visual_finding"))
    choose(page, "engine", str(scene.cast.port.pk))
    page.fill("[name=place]", "Raw-water hose")
    page.fill("[name=text]", "Swollen")
    choose(page, "severity", "soon")
    look(main_button(page))
    assert "Say what should be done about it" in page.locator(".problems").inner_text()
    assert page.input_value("[name=text]") == "Swollen"
    page.fill("[name=recommendation]", "Replace it")
    look(main_button(page))
    assert VisualFinding.objects.get().severity == Severity.SOON
    page.goto(address(scene, "function_test"))
    choose(page, "engine", "boat")
    page.fill("[name=operated]", "Bilge blower")
    page.fill("[name=lasted]", "1,5")
    page.select_option("[name=lasted_unit]", "min")
    page.fill("[name=text]", "Air at the vent")
    choose(page, "verdict", "worked")
    look(main_button(page))
    assert FunctionTest.objects.get().entry.summary == "Bilge blower, for 1.5 min: worked."
    page.goto(address(scene, "setting"))
    choose(page, "engine", str(scene.cast.port.pk))
    choose(page, "sort", "alarm")
    for name, words in {"setting": "Coolant alarm", "before": "200", "after": "210", "unit": "°F", "text": "Sounded",
                        "authority": "The owner", "consent_by": "Wes Harrow",
                        "consent_on": f"{timezone.localdate():%Y-%m-%d}"}.items():  # fmt: skip
        page.fill(f"[name={name}]", words)
    page.select_option("[name=consent_how]", "by phone")
    look(main_button(page))
    assert SettingChange.objects.get().protects
    with page.expect_navigation():
        page.get_by_role("link", name="Set it back", exact=True).click()
    page.fill("[name=value]", "200")
    look(main_button(page))
    assert SettingBack.objects.get().value == "200"
    assert "Changed and not set back" not in page.content()


def _tap(target: object) -> None:
    """Without scripts there is nothing to look at the page with."""
    page: Page = target.page  # type: ignore[attr-defined]
    with page.expect_navigation():
        target.tap()  # type: ignore[attr-defined]


def test_by_the_keys_alone(scene: Scene, tablets: Tablets) -> None:
    page = tablets.hand_out(scene.cast.tech)
    go(page, address(scene, "job"))
    press(page.get_by_role("link", name="Visual finding"))
    tab_to(page.locator("[name=engine]").first)
    page.keyboard.press("Space")
    for name, words in {"place": "Raw-water hose", "text": "Swollen"}.items():
        tab_to(page.locator(f"[name={name}]"))
        page.keyboard.type(words)
    tab_to(page.locator("[name=severity]").first)
    page.keyboard.press("Space")
    page.keyboard.press("ArrowRight")
    tab_to(page.locator("[name=recommendation]"))
    page.keyboard.type("Replace it")
    press(main_button(page))
    [made] = VisualFinding.objects.all()
    assert (made.severity, made.entry.engine_id) == (Severity.SOON, scene.cast.port.pk)
