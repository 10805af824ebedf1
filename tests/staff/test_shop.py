"""The shop's profile and its logo."""

import io
from decimal import Decimal

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image, ImageFile

from commands.refusals import Conflict, Refused
from staff.actions import change_shop
from staff.models import ShopProfile
from staff.policy import Role
from staff.queries import shop_profile
from tests.cast import PASSWORD, make_cast

pytestmark = pytest.mark.django_db

TYPED = {
    "seen_version": "1", "name": "Harrow Point Marine", "address": "3 Wharf Road\nHarrow Point",
    "phone": "(555) 555-0140",
    "email": "desk@example.com", "units": "metric", "paper": "a4", "time_zone": "America/Chicago", "currency": "usd",
    "labor_rate": "135,50", "labor_step": "0.25", "hold_hours": "40", "hold_days": "300",
    "idle_minutes": "240", "shared_idle_minutes": "10", "own_word": PASSWORD,
}  # fmt: skip


def _picture(size=(300, 120), kind="PNG", mode="RGB", **options):
    out = io.BytesIO()
    Image.new(mode, size, "white" if mode != "RGBA" else (0, 0, 0, 0)).save(out, kind, **options)
    return out.getvalue()


def _upload(data, name="logo.png"):
    return SimpleUploadedFile(name, data, content_type="image/png")


def test_owner_saves_the_profile(client):
    cast = make_cast()
    client.force_login(cast.owner)
    assert client.post(reverse("staff:shop"), TYPED).status_code == 302
    shop = ShopProfile.objects.get()
    assert (shop.name, shop.units, shop.paper, shop.currency) == ("Harrow Point Marine", "metric", "a4", "USD")
    assert (shop.labor_rate, shop.hold_hours) == (Decimal("135.50"), Decimal("40"))
    assert shop.labor_step == Decimal("0.25")
    assert (shop.time_zone, shop.version, shop.changed_by) == ("America/Chicago", 2, cast.owner)


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("currency", "dollars", "No more than 3"),
        ("currency", "U$D", "Three capital letters"),
        ("labor_rate", "-1", "No less than 0"),
        ("labor_rate", "lots", "is not a number"),
        ("labor_rate", "1,200", "can mean 1200 or 1.200"),
        ("time_zone", "Mars/Olympus", "Choose one from the list"),
        ("hold_hours", "0", "No less than 0.1"),
        ("hold_days", "0", "No less than 1"),
        ("name", "", "Fill this in"),
        ("email", "desk", "mail address such as"),
    ],
)
def test_wrong_figures_are_explained_and_kept(client, field, value, sentence):
    client.force_login(make_cast().owner)
    answer = client.post(reverse("staff:shop"), TYPED | {field: value})
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field])
    assert answer.context["form"]["address"].value() == TYPED["address"]
    assert shop_profile().name == "Our shop"


def test_only_the_owner(client):
    cast = make_cast()
    for role in [Role.FRONT_DESK, Role.TECHNICIAN, Role.MANAGER]:
        client.force_login(cast.person(role))
        assert client.get(reverse("staff:shop")).status_code == 403
        with pytest.raises(Refused, match="change the shop profile"):
            change_shop(by=cast.person(role), seen_version=1, changes={"name": "Mine"})


def test_second_owner_sees_both_versions(client):
    cast = make_cast()
    client.force_login(cast.owner)
    change_shop(by=cast.owner, seen_version=1, changes={"phone": "555-0199", "units": "metric"})
    answer = client.post(reverse("staff:shop"), TYPED | {"units": "us"})
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Orla Brandt saved this while you were writing" in page
    assert "555-0199" in page
    assert "US (psi" in page
    assert shop_profile().phone == "555-0199"
    typed = TYPED | {"units": "us", "seen_version": answer.context["form"]["seen_version"].value()}
    assert client.post(reverse("staff:shop"), typed).status_code == 302
    assert shop_profile().phone == "(555) 555-0140"


def test_action_raises_conflict_only_for_what_differs():
    cast = make_cast()
    change_shop(by=cast.owner, seen_version=1, changes={"phone": "555-0199"})
    change_shop(by=cast.owner, seen_version=1, changes={"phone": "555-0199"})
    with pytest.raises(Conflict):
        change_shop(by=cast.owner, seen_version=1, changes={"phone": "555-0100"})


@pytest.mark.parametrize(("kind", "mode"), [("PNG", "RGBA"), ("JPEG", "RGB"), ("WEBP", "RGB"), ("PNG", "P")])
def test_logo_is_drawn_anew_as_png(client, kind, mode):
    client.force_login(make_cast().owner)
    answer = client.post(reverse("staff:shop"), TYPED | {"new_logo": _upload(_picture((3200, 400), kind, mode))})
    assert answer.status_code == 302
    shown = client.get(reverse("staff:logo"))
    assert shown["Content-Type"] == "image/png"
    with Image.open(io.BytesIO(b"".join(shown.streaming_content))) as kept:
        assert (kept.format, kept.size) == ("PNG", (1600, 200))
        assert kept.mode == ("RGBA" if mode == "RGBA" else "RGB")


def test_logo_loses_what_else_the_file_carried(client):
    client.force_login(make_cast().owner)
    exif = Image.Exif()
    exif[0x010E] = "HIDDEN-WORDS"
    data = _picture(kind="JPEG", exif=exif) + b"<script>HIDDEN-WORDS</script>"
    assert b"HIDDEN-WORDS" in data
    client.post(reverse("staff:shop"), TYPED | {"new_logo": _upload(data, "logo.jpg")})
    kept = b"".join(client.get(reverse("staff:logo")).streaming_content)
    assert kept.startswith(b"\x89PNG")
    assert b"HIDDEN-WORDS" not in kept


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", "not a PNG, JPEG or WebP"),
        (_picture(kind="GIF"), "not a PNG, JPEG or WebP"),
        (_picture()[:200], "damaged"),
        (_picture((900, 900), "JPEG")[:700], "damaged"),
        (b"\x89PNG" + b"0" * (5 * 1024 * 1024), "larger than 5 MB"),
        (_picture((8, 200)), "too small to print"),
        (_picture((8000, 8000), mode="L"), "more than 40 million pixels"),
    ],
)
@pytest.mark.parametrize("lenient", [False, True])
def test_what_cannot_be_a_logo_is_explained(client, monkeypatch, data, sentence, lenient):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", lenient)
    client.force_login(make_cast().owner)
    answer = client.post(reverse("staff:shop"), TYPED | {"new_logo": _upload(data)})
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors["new_logo"])
    assert not shop_profile().logo


def test_new_logo_replaces_the_old_and_it_can_be_taken_off(client, django_capture_on_commit_callbacks):
    client.force_login(make_cast().owner)
    client.post(reverse("staff:shop"), TYPED | {"new_logo": _upload(_picture((301, 101)))})
    first = shop_profile().logo.name
    with django_capture_on_commit_callbacks(execute=True):
        client.post(reverse("staff:shop"), TYPED | {"seen_version": 2, "new_logo": _upload(_picture((302, 102)))})
    assert shop_profile().logo.name != first
    assert not default_storage.exists(first)
    with django_capture_on_commit_callbacks(execute=True):
        client.post(reverse("staff:shop"), TYPED | {"seen_version": 3, "remove_logo": "on"})
    assert not shop_profile().logo
    assert client.get(reverse("staff:logo")).status_code == 404


def test_profile_saved_without_a_file_keeps_the_logo(client):
    client.force_login(make_cast().owner)
    client.post(reverse("staff:shop"), TYPED | {"new_logo": _upload(_picture())})
    client.post(reverse("staff:shop"), TYPED | {"seen_version": 2, "name": "Another name"})
    assert shop_profile().logo.name.startswith("files/")
