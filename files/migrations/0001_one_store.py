"""Moves signed reports, CAN logs and the logo from the three places that they had into the one store.

Files that are not what their name says stay where they are; /health/ and manage.py check_files tell of them. Doing it
again does no harm, so that a move that was interrupted is finished by the next one.
"""

from contextlib import suppress
from pathlib import Path

from django.conf import settings
from django.db import migrations, transaction

from files import durable, store


def move_files(apps, schema_editor):
    media = Path(settings.MEDIA_ROOT)
    if not media.is_dir():
        return
    media.chmod(durable.FOLDER_MODE)
    for old in [*media.glob("reports/??/*.pdf"), *media.glob("can-logs/??/*")]:
        digest = old.name.removesuffix(".pdf")
        if store.DIGEST.fullmatch(digest) and store.digest_of_path(old) == digest:
            target = store.path_of(digest)
            durable.make_folder(target.parent)
            durable.move(old, target)
        elif old.is_file():
            print(f"{old} is not what its name says. It was left where it is; bring the file again.")
    _move_logo(apps, media)
    for folder in [*media.glob("reports/*"), *media.glob("can-logs/*"), media / "reports", media / "can-logs"]:
        _remove_if_empty(folder)


def _move_logo(apps, media):
    shop = apps.get_model("staff", "ShopProfile").objects.exclude(logo="").first()
    if shop is None or not str(shop.logo).startswith("shop/"):
        return
    old = media / str(shop.logo)
    if not old.is_file():
        return
    type(shop).objects.filter(pk=shop.pk).update(logo=store.name_of(store.keep_path(old).digest))

    def take_away():
        old.unlink(missing_ok=True)
        _remove_if_empty(old.parent)

    transaction.on_commit(take_away)


def _remove_if_empty(folder):
    with suppress(OSError):
        folder.rmdir()


class Migration(migrations.Migration):
    initial = True
    dependencies = [("staff", "0002_versions")]
    operations = [migrations.RunPython(move_files, migrations.RunPython.noop)]
